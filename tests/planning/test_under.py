"""Wadding and backing of quilted pieces: cut, bought, paid for, counted in thickness and weight."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from projects.activities import fabrics
from projects.activities.exchange import bring_project, project_text, read_file
from projects.calc.ratio import ByRatio
from projects.calc.recipe import Recipe as Content
from projects.calc.sizes import PanelError, Under
from projects.calc.under import lacking, widths
from projects.models import Fabric, Person, Piece, Project, Step, Workroom
from projects.planning import plan_project
from projects.planning.cautions import BLADES
from projects.planning.compare import compare
from projects.planning.costs import plan_costs
from projects.planning.export import plan_json
from projects.planning.plan import Plan
from projects.planning.snapshot import keep, read_kept
from projects.printing.compare import rows_of
from tests import make
from tests.make import MM

M = 1_000 * MM


def quilted(technique: str = "quilting") -> Content:
    return Content(ratio=ByRatio(technique, Decimal(1), Decimal(1), spacing=25 * MM))


@pytest.fixture
def wadding() -> Fabric:
    """Narrower than the panel: two widths are butted."""
    return make.fabric("Wool wadding", width=400 * MM, thickness=4 * MM, grams=200, price=Decimal(8))


@pytest.fixture
def backing() -> Fabric:
    return make.fabric("Cotton lawn", width=1_500 * MM, thickness=200_000, grams=70, price=Decimal(5))


@pytest.fixture
def front(owner: Person, wadding: Fabric, backing: Fabric) -> Piece:
    cloth = make.fabric("Silk", width=1_400 * MM, thickness=300_000, grams=90, price=Decimal(20))
    return make.piece(
        make.project(washing="never"), fabric=cloth, wadding=wadding, backing=backing, count=2,
        version=make.version(of=quilted()),
    )  # fmt: skip


def planned(front: Piece) -> Plan:
    return plan_project(Project.objects.get(pk=front.project_id))


@settings(derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    flat=st.integers(1, 5_000).map(lambda mm: mm * MM),
    usable=st.integers(100, 1_600).map(lambda mm: mm * MM),
    role=st.sampled_from(["wadding", "backing"]),
)
def test_widths_make_the_panel_and_fit_the_cloth(flat: int, usable: int, role: str) -> None:
    found = widths(role, flat, usable)
    join = 0 if role == "wadding" else 10 * MM
    assert sum(found) - 2 * join * (len(found) - 1) == flat
    assert all(width <= usable for width in found)
    fewer = len(found) - 1
    room = usable - 2 * join if fewer > 2 else usable - join
    assert fewer == 0 or fewer * usable - 2 * join * (fewer - 1) < flat or fewer * room < flat


def test_what_fits_turned_stays_whole() -> None:
    assert widths("wadding", 790 * MM, 600 * MM) == (395 * MM, 395 * MM)
    assert widths("wadding", 790 * MM, 600 * MM, turned=579 * MM) == (790 * MM,)
    assert len(widths("wadding", 790 * MM, 600 * MM, turned=601 * MM)) == 2


@pytest.mark.django_db
@pytest.mark.parametrize(("one_way", "parts"), [(False, 1), (True, 2)])
def test_wadding_that_fits_turned_is_not_pieced(
    front: Piece, wadding: Fabric, one_way: bool, parts: int
) -> None:
    Piece.objects.update(across=700 * MM, along=500 * MM, count=1)
    Fabric.objects.filter(pk=wadding.pk).update(width=600 * MM, one_way=one_way)
    plan = planned(front)
    panel = plan.pieces[0].panels[0].plan
    assert panel.cut_length < 600 * MM < panel.cut_width
    wool = next(f for f in plan.fabrics if f.fabric_id == wadding.pk)
    assert len(wool.panels) == parts and not wool.problem


def test_what_is_lacking() -> None:
    assert lacking("quilting", ()) == ("wadding", "backing")
    assert lacking("quilting", (Under("wadding"), Under("backing"))) == ()
    assert lacking("trapunto", (Under("backing"),)) == ("filling",)
    assert lacking("gathers", ()) == lacking(None, ()) == ()


@pytest.mark.parametrize(
    "values", [{"role": "lining"}, {"thickness": -1}, {"thickness": 10**12}, {"grams": Decimal("NaN")}]
)
def test_layers_nobody_can_sew_are_refused(values: dict[str, object]) -> None:
    with pytest.raises(PanelError):
        Under(**{"role": "wadding", **values})


@pytest.mark.django_db
def test_every_layer_is_cut_bought_and_paid_for(front: Piece) -> None:
    """Quilting without drawing in: each panel 500 x 700 with 15 mm allowances, margins and squaring."""
    plan = planned(front)
    panel = plan.pieces[0].panels[0].plan
    silk, wool, lawn = plan.fabrics
    assert [f.name for f in plan.fabrics] == ["Silk", "Wool wadding", "Cotton lawn"]
    assert [(p.name, p.width, p.length) for p in lawn.panels] == [
        (f"Backing of {line.name}", panel.cut_width, panel.cut_length) for line in plan.pieces[0].panels
    ]
    assert len(wool.panels) == 4 and sum(p.width for p in wool.panels) == 2 * panel.cut_width
    assert wool.lines[0].why == "Wadding as laid" and lawn.lines[0].why == "Backing as laid"
    assert wool.buy > 0 and lawn.buy > 0
    costs = plan_costs(front.project, plan, workroom=Workroom.load(), today=date(2026, 3, 20))
    paid = {x.name: x.planned.amount for x in costs.lines if x.group == "cloth"}
    assert paid["Wool wadding"] == round(wool.need * 800 / M)
    assert paid["Cotton lawn"] == round(lawn.need * 500 / M)


@pytest.mark.django_db
def test_thickness_and_weight_are_of_all_layers(front: Piece) -> None:
    plan = planned(front)
    panel = plan.pieces[0].panels[0].plan
    assert panel.layers_max == 3
    assert panel.thickness == 300_000 + 4 * MM + 200_000
    assert {stack.thickness for stack in panel.stacks if stack.edge} == {2 * panel.thickness}
    assert panel.weight == (90 + 200 + 70) * panel.drawn * panel.finished_area
    assert sum(f.grams for f in plan.fabrics) == 2 * panel.weight


@pytest.mark.django_db
def test_what_nobody_measured_is_asked_for(front: Piece, wadding: Fabric) -> None:
    wadding.thickness = wadding.grams = None
    wadding.save()
    plan = planned(front)
    assert plan.pieces[0].panels[0].plan.thickness is None and plan.pieces[0].panels[0].plan.weight is None
    said = " ".join(note.text for note in plan.pieces[0].notes)
    assert "How thick Wool wadding is isn't known" in said and "What Wool wadding weighs isn't known" in said


@pytest.mark.django_db
def test_what_nobody_chose_is_asked_for(front: Piece) -> None:
    Piece.objects.update(wadding=None)
    plan = planned(front)
    assert [note.about for note in plan.notes if note.text.startswith("No wadding is chosen")] == ["Front"]
    costs = plan_costs(front.project, plan, workroom=Workroom.load(), today=date(2026, 3, 20))
    assert any(m.text.startswith("Front has no wadding chosen") for m in costs.missing)


@pytest.mark.django_db
def test_what_is_not_quilted_has_nothing_under_it(front: Piece) -> None:
    Piece.objects.update(version=make.version())
    plan = planned(front)
    assert [f.name for f in plan.fabrics] == ["Silk"] and plan.pieces[0].under == ()
    assert any("isn't quilted" in note.text for note in plan.pieces[0].notes)


@pytest.mark.django_db
def test_its_step_cuts_it_and_then_it_is_bought_no_more(front: Piece, wadding: Fabric) -> None:
    step = next(s for s in planned(front).steps if s.title == "Cut the wadding from Wool wadding")
    assert step.stage == "cut" and len(step.measures) == 3
    assert BLADES in step.cautions and "blades" in step.short_cautions
    steps = [s.title for s in planned(front).steps]
    assert steps.index(step.title) < min(i for i, t in enumerate(steps) if t.startswith("Cut Front"))
    assert "Spread out Wool wadding" in steps and "Press Cotton lawn" in steps
    Step.objects.create(project=front.project, key=step.key, stage="cut", title=step.title, state="done")
    wool = next(f for f in planned(front).fabrics if f.fabric_id == wadding.pk)
    assert wool.buy == 0 and wool.for_all_panels > 0


def done(front: Piece, words: str) -> Step:
    """The first open step whose title begins so is ticked."""
    step = next(s for s in planned(front).steps if s.title.startswith(words) and s.state == "open")
    return Step.objects.create(
        project=front.project, key=step.key, stage="cut", title=step.title, state="done"
    )


def laid(front: Piece, fabric: Fabric) -> list[tuple[str, bool]]:
    line = next(f for f in planned(front).fabrics if f.fabric_id == fabric.pk)
    return [(part.name, part.cut) for part in line.parts]


@pytest.mark.django_db
def test_panels_that_are_added_get_their_wadding(front: Piece, wadding: Fabric) -> None:
    Fabric.objects.filter(pk=wadding.pk).update(width=1_500 * MM)
    ticked = done(front, "Cut the wadding")
    Piece.objects.update(count=4)
    names = [f"Wadding of Front {n}" for n in (1, 2, 3, 4)]
    assert laid(front, wadding) == list(zip(names, [True, True, False, False], strict=True))
    steps = [s for s in planned(front).steps if s.title.startswith("Cut the wadding")]
    assert [(s.title, s.state, s.in_plan) for s in steps] == [
        ("Cut the wadding of Front 1 and 1 more from Wool wadding", "done", True),
        ("Cut the wadding of Front 3 and 1 more from Wool wadding", "open", True),
    ]
    assert steps[0].key == ticked.key and steps[1].detail.startswith("2 pieces, ")
    wool = next(f for f in planned(front).fabrics if f.fabric_id == wadding.pk)
    assert wool.buy > 0
    done(front, "Cut the wadding")
    assert all(cut for _, cut in laid(front, wadding))
    Piece.objects.update(count=1)
    assert laid(front, wadding) == [("Wadding of Front", True)]


@pytest.mark.django_db
@pytest.mark.parametrize(("across", "cut"), [(540, False), (500, True), (460, True)])
def test_a_panel_that_grows_gets_wadding_of_its_size(
    front: Piece, wadding: Fabric, across: int, cut: bool
) -> None:
    """What was cut serves panels of its size and smaller ones."""
    Fabric.objects.filter(pk=wadding.pk).update(width=1_500 * MM)
    Piece.objects.update(across=500 * MM)
    done(front, "Cut the wadding")
    Piece.objects.update(across=across * MM)
    assert [state for _, state in laid(front, wadding)] == [cut, cut]


@pytest.mark.django_db
def test_another_piece_on_the_same_wadding_gets_its_own(front: Piece, wadding: Fabric) -> None:
    done(front, "Cut the wadding")
    make.piece(
        front.project, name="Bib", fabric=front.fabric, wadding=wadding, version=front.version,
        across=200 * MM, along=200 * MM,
    )  # fmt: skip
    assert [cut for name, cut in laid(front, wadding) if name.startswith("Wadding of Bib")] == [False]
    assert all(cut for name, cut in laid(front, wadding) if name.startswith("Wadding of Front"))


@pytest.mark.django_db
def test_a_smaller_panel_does_not_take_what_a_larger_one_needs(front: Piece, wadding: Fabric) -> None:
    done(front, "Cut the wadding")
    make.piece(
        front.project, name="Bib", order=0, fabric=front.fabric, wadding=wadding, version=front.version,
        across=200 * MM, along=200 * MM,
    )  # fmt: skip
    Piece.objects.filter(pk=front.pk).update(order=1)
    assert {name for name, cut in laid(front, wadding) if not cut} == {"Wadding of Bib"}


@pytest.mark.django_db
def test_unticked_it_is_to_be_cut_again(front: Piece, wadding: Fabric) -> None:
    step = done(front, "Cut the wadding")
    Piece.objects.update(count=4)
    done(front, "Cut the wadding")
    Step.objects.filter(pk=step.pk).update(state="open")
    again = [s for s in planned(front).steps if s.title.startswith("Cut the wadding") and s.state == "open"]
    assert [s.key for s in again] == [step.key]
    assert sum(not cut for _, cut in laid(front, wadding)) == 4  # two layers of two widths


@pytest.mark.django_db
def test_steps_say_the_widths_that_are_laid(front: Piece, wadding: Fabric, backing: Fabric) -> None:
    """What is worked by is what was bought: the step and the lay name the same sizes."""
    Fabric.objects.filter(pk=backing.pk).update(width=500 * MM)
    plan = planned(front)
    for fabric, words in ((wadding, "Cut the wadding"), (backing, "Cut and join the backing")):
        step = next(s for s in plan.steps if s.title.startswith(words))
        line = next(f for f in plan.fabrics if f.fabric_id == fabric.pk)
        across = [m.length for m in step.measures if m.label.startswith("width ")]
        assert across == [p.width for p in line.panels[:2]] and len(across) == 2
        assert [m.length for m in step.measures if m.label == "along the grain"] == [line.panels[0].length]
        assert "2 widths" in step.detail and "across" not in {m.label for m in step.measures}
    assert ("width_joins", 2) in step.work
    assert [m.length for m in step.measures if "join" in m.label] == [10 * MM]


@pytest.mark.django_db
def test_a_cut_panel_keeps_what_lay_under_it(front: Piece) -> None:
    panel = planned(front).pieces[0].panels[0].plan
    kept = keep("", panel, 7)
    assert kept["format"] == 4 and read_kept(kept).plan.cloth == panel.cloth


@pytest.mark.django_db
def test_compared_with_all_of_it(front: Piece) -> None:
    plain, found = make.version(), front.version
    compared = compare(front, [plain, found], workroom=Workroom.load(), today=date(2026, 3, 20), money=True)
    tucks, lines = compared.columns
    assert not lines.padded and tucks.under == ()
    assert [role for role, _ in lines.under] == ["wadding", "backing"]
    each = {"Wool wadding": 800, "Cotton lawn": 500}
    paid = sum(Decimal(each[f.name] * f.for_all_panels) / M for _, f in lines.under)
    assert lines.money.cloth == round(Decimal(2_000 * lines.length) / M + paid)
    cell = next(row for row in rows_of(compared, Workroom.load()) if row.title == "Length of cloth").cells[1]
    assert "wadding: " in cell.under and "of Cotton lawn" in cell.under


@pytest.mark.django_db
def test_it_travels_in_a_file(front: Piece, owner: Person) -> None:
    before = plan_json(planned(front))
    text = project_text(Project.objects.get(pk=front.project_id))
    brought = bring_project(read_file(text.encode()), person=owner, own=True).project
    there = Piece.objects.get(project=brought)
    assert (there.wadding.name, there.backing.name) == ("Wool wadding", "Cotton lawn")
    after = plan_json(plan_project(brought))
    assert after["pieces"][0]["under"] == before["pieces"][0]["under"] != []
    assert {**after, "project": None} == {**before, "project": None}


@pytest.mark.django_db
def test_a_fabric_under_a_piece_is_not_deleted(front: Piece, wadding: Fabric, owner: Person) -> None:
    with pytest.raises(ValidationError, match="Front of"):
        fabrics.delete_fabric(fabric=wadding, person=owner)


@pytest.mark.django_db
def test_it_is_chosen_on_the_piece(front: Piece, owner_page: Client) -> None:
    page = owner_page.get(reverse("piece_edit", args=[front.pk])).content.decode()
    assert "Under it, where it is quilted" in page and "Wool wadding" in page
    shown = owner_page.get(reverse("piece", args=[front.pk])).content.decode()
    assert "Wool wadding" in shown and "Cotton lawn" in shown
