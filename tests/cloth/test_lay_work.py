"""A lay being worked on: what is asked, panels held, the best kept; accepting it with what it takes."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from projects.activities import balances, lay_work, lays, stock
from projects.activities.lay_question import keep, question
from projects.activities.panels import sync_panels
from projects.calc.lay.legal import first_fault
from projects.calc.lay.pairs import together
from projects.calc.lengths import parse
from projects.models import ClothFlaw, ClothLength, Fabric, KeptLay, LayDraft, Person, Project
from projects.planning import plan_project
from projects.planning.fabric_plan import FabricPlan
from projects.planning.lay_json import lay_from_json
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db


@pytest.fixture
def cloth(workroom: object) -> Fabric:
    """What the wash takes is known, so that no swatch is needed."""
    return make.fabric(shrink_along=Decimal(0), shrink_across=Decimal(0))


@pytest.fixture
def coat(cloth: Fabric) -> Project:
    return project_of(cloth, "Front", "Back", "Sleeve")


def project_of(cloth: Fabric, *names: str, across: int = 500, along: int = 700, **values: Any) -> Project:
    """A project of plain panels, each with 15 mm to be sewn at the sides and its hems."""
    project = make.project(**values)
    for order, name in enumerate(names):
        piece = make.piece(
            project, name=name, fabric=cloth, across=across * MM, along=along * MM, order=order
        )
        sync_panels(piece)
    return project


def line_of(project: Project) -> FabricPlan:
    return plan_project(Project.objects.get(pk=project.pk)).fabrics[0]


def options(project: Project, **values: Any) -> LayDraft:
    return lay_work.set_options(project=project, fabric=line_fabric(project), values=values)


def line_fabric(project: Project) -> Fabric:
    return Fabric.objects.get(pk=line_of(project).fabric_id)


def accept(project: Project, person: Person, **values: Any) -> KeptLay:
    usual = {"project": project, "fabric": line_fabric(project), "seen": None, "person": person}
    return lays.accept(**{**usual, **values})


def test_what_lies_on_the_shelf_is_used_before_anything_is_bought(coat: Project, cloth: Fabric) -> None:
    short, long = make.length(cloth, received=1_600 * MM), make.length(cloth, received=5_000 * MM)
    options(coat, gap=5 * MM)
    line = line_of(coat)
    assert (line.lay_state, line.lay.length, line.buy) == ("improved", 0, 0)
    assert [on.cloth_id for on in line.lay_on] == [short.pk], "the smallest that serves"
    assert line.uses == ((short.label, line.lay_on[0].used),)
    assert line.need == line.on_hand == line.lay_on[0].used
    options(coat, lengths=[long])
    assert [on.cloth_id for on in line_of(coat).lay_on] == [long.pk]
    options(coat, use_stash=False)
    line = line_of(coat)
    assert [on.name for on in line.lay_on] == [""]
    assert line.on_hand == 0 and line.buy >= line.lay.length


def test_lengths_count_as_they_are_worked(cloth: Fabric) -> None:
    """Washed before it is cut: a tenth shorter and narrower, and a flaw wherever it may be by then."""
    Fabric.objects.filter(pk=cloth.pk).update(shrink_along=Decimal("0.1"), shrink_across=Decimal("0.05"))
    row = make.length(cloth, received=2_000 * MM)
    ClothFlaw.objects.create(cloth=row, along=100 * MM, across=200 * MM, length=33 * MM, width=10 * MM)
    coat = project_of(cloth, "Front")
    asked = question(options(coat))
    length = asked.request.lengths[0]
    assert (length.width, length.length) == (1_330 * MM, 1_800 * MM)
    flaw = length.flaws[0]
    assert flaw.x <= 190 * MM and flaw.x + flaw.width >= Decimal("199.5") * MM
    assert flaw.y <= 90 * MM and flaw.y + flaw.length >= Decimal("119.7") * MM
    assert asked.request.width == 1_330 * MM
    line = line_of(coat)
    assert line.need == -(-line.lay_on[0].used * 10 // 9), "as cloth before the wash"


def test_panels_of_one_name_are_told_apart(cloth: Fabric) -> None:
    coat = project_of(cloth, "Front", "Front")
    draft = options(coat)
    assert [p.name for p in question(draft).request.panels] == ["Front", "Front (2)"]
    assert {p.name for p in line_of(coat).lay.placements} == {"Front", "Front (2)"}


def test_a_panel_is_moved_and_the_others_lie_around_it(coat: Project) -> None:
    draft = lay_work.move(draft=options(coat), name="Back", x=300 * MM, y=200 * MM)
    line = line_of(coat)
    back = next(p for p in line.lay.placements if p.name == "Back")
    assert (back.x, back.y, line.lay_state) == (300 * MM, 200 * MM, "improved")
    assert first_fault(question(draft).request, line.lay) == ""
    draft = lay_work.pin(draft=draft, name="Front")
    assert {pin["name"] for pin in draft.pins} == {"Back", "Front"}
    draft = lay_work.unpin(draft=draft, name="Back")
    assert [pin["name"] for pin in draft.pins] == ["Front"]
    assert lay_work.unpin_all(draft=draft).pins == []


@pytest.mark.parametrize(
    ("place", "field", "says"),
    [
        ({"x": 1_000, "y": 0}, "x", "It fits up to 85.0 cm across."),
        ({"x": 100, "y": 0}, "y", "Back is pinned there"),
        ({"x": 0, "y": 0, "turned": True}, "turned", "may not lie across"),
        ({"x": 0, "y": 0, "on": "7"}, "on", "not there"),
    ],
)
def test_a_place_that_will_not_do_says_what_would(
    coat: Project, place: dict[str, Any], field: str, says: str
) -> None:
    draft = lay_work.move(draft=options(coat), name="Back", x=200 * MM, y=100 * MM)
    where = {**place, "x": place["x"] * MM, "y": place["y"] * MM}
    with pytest.raises(ValidationError) as refused:
        lay_work.move(draft=draft, name="Front", **where)
    assert list(refused.value.message_dict) == [field]
    text = " ".join(refused.value.message_dict[field])
    assert says in text
    if field == "y":
        assert "it fits from 85.0 cm along the cloth on" in text
    draft.refresh_from_db()
    assert [pin["name"] for pin in draft.pins] == ["Back"]


def test_the_best_so_far_stays_while_it_answers_what_is_asked(coat: Project) -> None:
    draft = options(coat)
    asked = question(draft)
    found = lay_from_json(draft.result)
    upside_down = type(found)(
        found.length, tuple(reversed(found.placements)), found.lower_bound, found.waste_share, found.shortest
    )
    keep(draft, asked, upside_down)
    draft.save()
    assert line_of(coat).lay == upside_down
    draft = options(coat, seconds=5)
    assert lay_from_json(draft.result).placements == upside_down.placements
    draft = options(coat, gap=20 * MM)
    assert first_fault(question(draft).request, lay_from_json(draft.result)) == ""
    assert lay_from_json(draft.result).placements != upside_down.placements


def test_options_of_somebody_else_are_not_overwritten(coat: Project, cloth: Fabric) -> None:
    seen = options(coat).revision
    options(coat, gap=5 * MM)
    with pytest.raises(lay_work.DraftMoved):
        lay_work.set_options(project=coat, fabric=cloth, values={"gap": 0}, seen=seen)
    assert LayDraft.objects.get().gap == 5 * MM


def test_what_can_not_be_laid_so_is_refused_and_nothing_changes(coat: Project) -> None:
    options(coat)
    with pytest.raises(ValidationError, match="wide"):
        options(coat, width=300 * MM)
    assert LayDraft.objects.get().width is None


def test_accepting_reserves_what_the_lay_takes_of_each_length(
    coat: Project, cloth: Fabric, owner: Person
) -> None:
    rows = [make.length(cloth, received=800 * MM), make.length(cloth, received=900 * MM)]
    options(coat)
    used = {on.cloth_id: on.used for on in line_of(coat).lay_on}
    kept = accept(coat, owner)
    assert {x.cloth_id: x.used for x in kept.lengths.all()} == used and len(used) == 2
    assert all(balances.reserved_for(row, coat) == used[row.pk] for row in rows)
    assert (kept.cloth, kept.length, lays.reserved_by(kept)) == (None, 0, sum(used.values()))
    line = line_of(coat)
    assert (line.lay_state, line.buy, line.lay_changed) == ("accepted", 0, False)
    assert line.need == line.on_hand == sum(used.values())
    assert lays.let_go(project=coat, fabric=cloth, person=owner).freed == sum(used.values())
    assert all(balances.reserved_for(row, coat) == 0 for row in rows)
    assert line_of(coat).lay_state == "improved"


def test_cloth_taken_meanwhile_refuses_all_of_it(coat: Project, cloth: Fabric, owner: Person) -> None:
    rows = [make.length(cloth, received=800 * MM), make.length(cloth, received=900 * MM)]
    options(coat)
    lay = line_of(coat)
    other = make.project("Capelet")
    real = stock.reserve

    def taken_first(**values: Any) -> Any:
        if values["row"] == rows[1] and values["project"] == coat:
            real(**{**values, "project": other, "amount": 400 * MM})
        return real(**values)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stock, "reserve", taken_first)
        with pytest.raises(stock.StockError, match=rows[1].label):
            accept(coat, owner, seen=lay.lay.length)
    assert not KeptLay.objects.exists() and balances.reserved_for(rows[0], coat) == 0


def test_the_lay_that_was_looked_at_is_the_one_accepted(coat: Project, owner: Person) -> None:
    options(coat)
    with pytest.raises(lays.LayMoved):
        accept(coat, owner, seen=line_of(coat).lay.length + 1)


def test_the_rolls_part_is_put_on_a_length_once_it_is_bought(
    coat: Project, cloth: Fabric, owner: Person
) -> None:
    make.length(cloth, received=800 * MM)
    options(coat, one_dye_lot=False)
    kept = accept(coat, owner)
    line = line_of(coat)
    assert kept.length and line.buy >= kept.length and line.on_hand == kept.lengths.get().used
    bought = make.length(cloth, received=2_000 * MM)
    assert line_of(coat).buy == line.buy, "not before it is put there"
    narrow = make.length(cloth, width=700 * MM)
    spoilt = make.length(cloth)
    ClothFlaw.objects.create(cloth=spoilt, along=0, across=0, length=600 * MM, width=1_400 * MM)
    for wrong in (narrow, spoilt, kept.lengths.get().cloth, make.length(make.fabric("Wool"))):
        with pytest.raises(ValidationError):
            lays.give_cloth(kept=kept, cloth=wrong, person=owner)
    lays.give_cloth(kept=kept, cloth=bought, person=owner)
    line = line_of(coat)
    assert balances.reserved_for(bought, coat) == kept.length
    assert (line.buy, line.lay_state, line.on_hand) == (0, "accepted", line.need)
    with pytest.raises(ValidationError, match="Nothing of this lay"):
        lays.give_cloth(kept=KeptLay.objects.get(), cloth=bought, person=owner)


def test_two_projects_on_one_lay(coat: Project, cloth: Fabric, owner: Person) -> None:
    cape = project_of(cloth, "Front", "Cape", along=600, title="Capelet")
    alone = [line_of(project).need for project in (coat, cape)]
    draft = options(coat, others=[cape])
    names = {panel.name for panel in question(draft).request.panels}
    assert {f"{coat.number}: Front", f"{cape.number}: Front", f"{cape.number}: Cape"} < names
    line = line_of(coat)
    assert (line.lay_state, line.laid_with, len(line.lay.placements)) == ("improved", (cape.number,), 5)
    assert [line_of(project).need for project in (coat, cape)] == alone, "until it is accepted"
    kept = accept(coat, owner)
    mine, theirs = line_of(coat), line_of(cape)
    assert list(kept.others.all()) == [cape]
    assert mine.lay == theirs.lay and mine.lay_state == theirs.lay_state == "accepted"
    assert (mine.need, mine.carried_by, theirs.need) == (kept.length, None, 0)
    assert (theirs.carried_by, theirs.laid_with) == (coat.number, (coat.number,))
    piece = cape.pieces.get(name="Cape")
    piece.along += 2 * MM
    piece.save()
    assert line_of(cape).lay_changed and line_of(coat).lay_state == "accepted"
    assert options(coat, others=[]).inputs["projects"] == []


def test_projects_washed_at_other_times_are_not_laid_together(coat: Project, cloth: Fabric) -> None:
    cape = project_of(cloth, "Cape", washing="never")
    with pytest.raises(ValidationError, match="washes its cloth at another time"):
        options(coat, others=[cape])


def test_lengths_that_come_and_go_do_not_move_what_is_pinned(coat: Project, cloth: Fabric) -> None:
    row = make.length(cloth, received=5_000 * MM, label="M")
    draft = lay_work.move(draft=options(coat), name="Back", x=0, y=100 * MM, on="1")
    assert [on.cloth_id for on in line_of(coat).lay_on] == [row.pk]
    make.length(cloth, received=9_000 * MM, label="A")
    draft = lay_work.set_options(project=coat, fabric=cloth, values={"seconds": 9})
    asked = question(draft)
    assert asked.stock(asked.request.pins[0].on).length == row
    assert ClothLength.objects.count() == 2


def test_what_is_said_to_fit_fits(cloth: Fabric) -> None:
    """A limit between two steps of what is shown is said on the side that is taken."""
    project = make.project()
    piece = make.piece(project, name="Front", fabric=cloth, across=500 * MM + 150_000, along=700 * MM)
    sync_panels(piece)
    draft = options(project)
    for _ in range(2):
        try:
            draft = lay_work.move(draft=draft, name="Front", x=1_000 * MM, y=0)
        except ValidationError as error:
            said = error.message_dict["x"][0].split("It fits up to ")[1].removesuffix(" across.")
        draft = lay_work.move(draft=draft, name="Front", x=parse(said, "cm").nm, y=0)
    assert draft.pins[0]["name"] == "Front" and not said.endswith("0.0 cm")


def test_left_and_right_lie_together_where_it_costs_nothing(cloth: Fabric) -> None:
    project = make.project()
    for name in ("Front", "Back"):
        sync_panels(make.piece(project, name=name, fabric=cloth, count=2, mirrored=True, across=300 * MM))
    draft = options(project, use_stash=False)
    pairs = question(draft).pairs
    assert len(pairs) == 2 and all(a.split()[0] == b.split()[0] for a, b in pairs)
    lay = line_of(project).lay
    assert line_of(project).lay_state == "improved"
    assert all(together(lay, ((a, 1), (b, 1))) for a, b in pairs)
