"""One Plan from rows: samples, versions that pieces follow, panels already cut, and what stays unknown."""

import json
import re
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.activities import panels, recipes
from projects.activities.stock import reserve
from projects.models import Panel, Person, Piece, Project, Workroom
from projects.planning import plan_project
from projects.planning.export import plan_json, plan_text
from projects.planning.plan import Plan
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
BOTH_WAYS = make.content(make.tucks(*make.GRADUATED), make.tucks((20, 5)))


def fresh(project: Project) -> Project:
    return Project.objects.select_related("client").get(pk=project.pk)


def planned(project: Project) -> Plan:
    return plan_project(fresh(project))


def synced(piece: Piece) -> Piece:
    panels.sync_panels(piece)
    return piece


def the_panel(plan: Plan, name: str) -> object:
    return next(line for piece in plan.pieces for line in piece.panels if line.name == name)


def paths(value: object, at: str = "") -> dict[str, object]:
    """Every leaf of a JSON value by its path."""
    if isinstance(value, dict):
        return {k: v for key, x in value.items() for k, v in paths(x, f"{at}/{key}").items()}
    if isinstance(value, list):
        return {k: v for i, x in enumerate(value) for k, v in paths(x, f"{at}/{i}").items()}
    return {at: value}


@pytest.fixture
def coat(workroom: Workroom) -> Project:
    return make.project()


def test_the_take_up_a_sample_shows_is_what_panels_use(coat: Project) -> None:
    cloth, version = make.fabric(), make.version()
    piece = synced(make.piece(coat, fabric=cloth, version=version))
    before = the_panel(planned(coat), "Front").plan
    assert before.across.take_up.basis == "none"

    make.sample(version, cloth)  # 442 mm made 216: 226 taken by 16 tucks of 224 mm, so 0.125 mm a tuck
    after = the_panel(planned(coat), "Front").plan
    assert after.across.take_up.basis == "this cloth"
    assert after.across.take_up.extra == 125_000
    assert after.across.axis.take_ups[0] == 2 * after.across.axis.depths[0] + 125_000
    assert after.across.flat == after.across.length + sum(after.across.axis.take_ups)
    assert after.cut_width != before.cut_width
    piece.refresh_from_db()


def test_a_sample_of_another_cloth_counts_less_and_says_so(coat: Project) -> None:
    cloth, version = make.fabric(), make.version()
    make.piece(coat, fabric=cloth, version=version)
    make.sample(version, make.fabric("Wool challis"))
    take_up = planned(coat).pieces[0].take_up_across
    assert (take_up.basis, take_up.extra) == ("another cloth", 125_000)
    assert planned(coat).fabrics[0].samples


def test_samples_of_another_way_place_or_technique_stay_apart(coat: Project) -> None:
    cloth, version = make.fabric(), make.version()
    make.piece(coat, fabric=cloth, version=version)
    make.sample(version, cloth, across_way="by gauge")
    make.sample(version, cloth, across_place="second")
    make.sample(version, cloth, across_technique="twin_needle")
    assert planned(coat).pieces[0].take_up_across.basis == "none"


def test_what_one_direction_draws_in_is_laid_wider(coat: Project) -> None:
    cloth, version = make.fabric(), make.version()
    make.piece(coat, fabric=cloth, version=version)
    before = the_panel(planned(coat), "Front").plan
    make.sample(version, cloth, along_flat=500 * MM, along_finished=490 * MM)
    after = the_panel(planned(coat), "Front").plan
    assert after.along.drawn_in > 0
    assert after.cut_length == before.cut_length * 50 // 49 + (before.cut_length * 50 % 49 > 0)


def test_a_version_that_a_piece_follows_changes_everything_that_hangs_on_it(
    coat: Project, owner: Person
) -> None:
    cloth, recipe = make.fabric(shrink_along=Decimal("0.04"), thickness=180_000), make.recipe(of=BOTH_WAYS)
    first = recipe.versions.get()
    follows = synced(make.piece(coat, fabric=cloth, version=first, count=2, mirrored=True))
    stays = synced(make.piece(coat, name="Back", fabric=cloth, version=first, order=1))
    before = plan_json(planned(coat))

    deeper = make.content(make.tucks((18, 5), (12, 8), (12, 11), (12, 8)), make.tucks((20, 6)))
    second = recipes.save_version(
        recipe=recipe, content=deeper, typed={}, person=owner, follow_piece_ids=[follows.pk]
    )
    after = plan_json(planned(coat))
    assert second.number == 2

    changed = {path for path, value in paths(after).items() if paths(before).get(path) != value}
    for what in ("cut_width_nm", "cut_length_nm", "grams", "sewn_nm/across", "along/axis/take_ups_nm/0"):
        assert f"/pieces/0/panels/0/{what}" in changed
    assert "/pieces/0/version" in changed
    assert any(path.startswith("/pieces/0/panels/1/across/axis") for path in changed)
    assert {"/fabrics/0/need_nm", "/minutes/planned"} <= changed
    assert any(re.match(r"/fabrics/0/lay/placements/\d+/width_nm", path) for path in changed)
    assert any(re.match(r"/steps/\d+/measures/\d+/length_nm", path) for path in changed)
    assert any(path.startswith("/budget/") for path in changed)

    back = [s for s in after["steps"] if s["panel"] == "Back"]
    assert after["pieces"][1] == before["pieces"][1]
    assert back == [s for s in before["steps"] if s["panel"] == "Back"]
    stays.refresh_from_db()
    assert stays.version_id == first.pk


def test_a_cut_panel_changes_in_nothing_and_says_what_would_have_changed(
    coat: Project, owner: Person
) -> None:
    cloth, recipe = make.fabric(), make.recipe()
    piece = synced(make.piece(coat, fabric=cloth, version=recipe.versions.get(), count=2, mirrored=True))
    left = piece.panels.get(number=1)
    panels.book_cut(left, person=owner, now=NOW)
    before = plan_json(planned(coat))["pieces"][0]["panels"]

    deeper = make.content(make.tucks((18, 6), (12, 9), (12, 12), (12, 9)))
    recipes.save_version(recipe=recipe, content=deeper, typed={}, person=owner, follow_piece_ids=[piece.pk])
    make.sample(recipe.versions.first(), cloth)
    Workroom.objects.update(squaring=20 * MM)
    cloth.thickness = 400_000
    cloth.save()

    after = plan_json(planned(coat))["pieces"][0]["panels"]
    said = after[0].pop("changes")
    assert before[0].pop("changes") == []
    assert after[0] == before[0]
    assert {"cut width", "cut length", "margin across"} <= {change["what"] for change in said}
    width = next(change for change in said if change["what"] == "cut width")
    assert width["kept_nm"] == before[0]["cut_width_nm"]
    assert width["now_nm"] == after[1]["cut_width_nm"]
    assert after[1]["cut_width_nm"] != before[1]["cut_width_nm"]
    assert any("Already cut" in note.text for note in planned(coat).notes)
    short = [note.text for note in planned(coat).pieces[0].notes if "less than needed now" in note.text]
    sizes = [change for change in said if change["what"] in ("cut width", "cut length")]
    assert len(short) == sum(change["now_nm"] > change["kept_nm"] for change in sizes)
    assert any(text.startswith(f"{left.name} is cut, and its width is ") for text in short)


def test_a_cut_panel_stays_when_its_piece_wants_fewer_or_can_no_longer_be_planned(
    coat: Project, owner: Person
) -> None:
    cloth = make.fabric()
    piece = synced(make.piece(coat, fabric=cloth, version=make.version(), count=3))
    third = piece.panels.get(number=3)
    panels.book_cut(third, person=owner, now=NOW)
    Piece.objects.filter(pk=piece.pk).update(count=1)
    synced(Piece.objects.get(pk=piece.pk))
    lines = planned(coat).pieces[0].panels
    assert [(line.name, line.cut, line.no_longer_wanted) for line in lines] == [
        ("Front", False, False),
        ("Front 3", True, True),
    ]
    assert set(piece.panels.filter(dropped_at=None).values_list("number", flat=True)) == {1, 3}
    Piece.objects.filter(pk=piece.pk).update(across=30_000_000 * MM)
    plan = planned(coat)
    assert plan.pieces[0].problem
    assert [line.name for line in plan.pieces[0].panels] == ["Front 3"]


def test_booking_twice_and_unbooking(coat: Project, owner: Person) -> None:
    piece = synced(make.piece(coat, fabric=make.fabric(), version=make.version()))
    panel = piece.panels.get()
    panels.book_cut(panel, person=owner, now=NOW)
    kept = Panel.objects.get(pk=panel.pk).kept
    Workroom.objects.update(squaring=0)
    panels.book_cut(panel, person=owner, now=NOW)
    assert Panel.objects.get(pk=panel.pk).kept == kept
    panels.unbook(panel)
    panels.unbook(panel)
    line = planned(coat).pieces[0].panels[0]
    assert (line.cut, line.plan.across.parts.squaring) == (False, 0)


def test_a_panel_that_cannot_be_planned_is_not_booked(coat: Project, owner: Person) -> None:
    piece = synced(make.piece(coat, fabric=make.fabric(width=300 * MM)))
    with pytest.raises(panels.NotToCut):
        panels.book_cut(piece.panels.get(), person=owner, now=NOW)
    assert piece.panels.get().cut_at is None


def test_the_lines_of_what_to_buy_sum(coat: Project, owner: Person) -> None:
    cloth = make.fabric(shrink_along=Decimal("0.04"), shrink_across=Decimal("0.03"))
    version = make.version(of=BOTH_WAYS)
    for number in range(4):
        make.piece(coat, name=f"Piece {number}", fabric=cloth, version=version, order=number)
    for received in (0, 1_300 * MM, 9_000 * MM):
        if received:
            make.length(cloth, received=received, dye_lot="7")
        fabric = planned(coat).fabrics[0]
        assert sum(line.length for line in fabric.lines) == fabric.buy
        assert fabric.buy % Workroom.load().buy_step == 0
        assert fabric.buy_exact <= fabric.buy < fabric.buy_exact + Workroom.load().buy_step
        assert fabric.need - fabric.on_hand == fabric.buy_exact
        washed = fabric.lay.length
        assert fabric.lines[1].length == -(-washed * 100 // 96) - washed
    assert fabric.buy == 0


def test_an_offcut_serves_only_what_it_can_hold(coat: Project) -> None:
    cloth = make.fabric(shrink_along=Decimal(0), shrink_across=Decimal(0))
    make.piece(coat, name="Front", fabric=cloth, across=900 * MM, along=700 * MM)
    make.piece(coat, name="Back", fabric=cloth, across=900 * MM, along=700 * MM, order=1)
    make.length(cloth, received=740 * MM, label="short")
    make.length(cloth, received=760 * MM, label="enough")
    make.length(cloth, received=5_000 * MM, label="narrow", width=900 * MM)
    fabric = planned(coat).fabrics[0]
    assert fabric.uses == (("enough", 750 * MM),)
    assert fabric.buy == 800 * MM


def test_what_others_reserve_is_not_on_hand(coat: Project, owner: Person) -> None:
    cloth = make.fabric(shrink_along=Decimal(0), shrink_across=Decimal(0))
    make.piece(coat, fabric=cloth)
    length = make.length(cloth, received=1_000 * MM)
    assert planned(coat).fabrics[0].buy == 0
    reserve(row=length, project=coat, amount=800 * MM, person=owner)
    assert planned(coat).fabrics[0].buy == 0
    other = make.project("Capelet")
    make.piece(other, fabric=cloth)
    assert planned(other).fabrics[0].buy > 0


def test_washed_and_unwashed_lengths(coat: Project) -> None:
    cloth = make.fabric(shrink_along=Decimal("0.10"), shrink_across=Decimal(0))
    make.piece(coat, fabric=cloth)  # 75 cm of washed cloth
    make.length(cloth, received=800 * MM)
    assert planned(coat).fabrics[0].buy > 0, "80 cm unwashed leaves 72 cm"
    make.length(cloth, received=760 * MM, washed=True)
    assert planned(coat).fabrics[0].buy == 0
    Project.objects.filter(pk=coat.pk).update(washing="after")
    fabric = planned(coat).fabrics[0]
    assert fabric.uses == ()
    assert any("have been washed" in note.text for note in planned(coat).notes)


def test_cloth_that_is_washed_already_shrinks_no_more(coat: Project) -> None:
    """75 cm of panels: from a length as bought 10 % more is taken, from a washed one just as much."""
    cloth = make.fabric(shrink_along=Decimal("0.10"), shrink_across=Decimal(0))
    make.piece(coat, fabric=cloth)
    unwashed = planned(coat).fabrics[0]
    why = {line.why: line.length for line in unwashed.lines}
    assert why["Shrinkage in the wash"] == unwashed.for_panels - why["Panels as laid"] > 0
    make.length(cloth, received=2_000 * MM, washed=True)
    washed = planned(coat).fabrics[0]
    why = {line.why: line.length for line in washed.lines}
    assert "Shrinkage in the wash" not in why and washed.buy == 0
    assert washed.for_panels == washed.worked == why["Panels as laid"]
    assert sum(line.length for line in washed.lines) == washed.buy


def test_dye_lots_are_not_mixed(coat: Project) -> None:
    cloth = make.fabric(shrink_along=Decimal(0), shrink_across=Decimal(0))
    for number in range(2):
        make.piece(coat, name=f"Piece {number}", fabric=cloth, across=900 * MM, order=number)
    make.length(cloth, received=800 * MM, dye_lot="A")
    make.length(cloth, received=800 * MM, dye_lot="B")
    fabric = planned(coat).fabrics[0]
    assert len(fabric.uses) == 1
    assert fabric.buy > 0
    make.length(cloth, received=800 * MM, dye_lot="B")
    assert planned(coat).fabrics[0].buy == 0


def test_the_same_number_of_queries_for_two_pieces_and_for_twenty(workroom: Workroom) -> None:
    counts = []
    for number in (2, 20):
        project = make.project()
        for order in range(number):
            cloth = make.fabric(f"Cloth {order}")
            make.length(cloth)
            version = make.version(of=BOTH_WAYS)
            make.sample(version, cloth)
            piece = make.piece(project, name=f"P{order}", fabric=cloth, version=version, order=order, count=2)
            synced(piece)
            make.step(project)
            make.step(project, key=f"{piece.pk}.1:cut::1", panel=piece.panels.first(), state="skipped")
        with CaptureQueriesContext(connection) as queries:
            plan = planned(project)
        assert len(plan.pieces) == number
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_json_holds_no_row_keys_no_paths_and_no_date_of_today(coat: Project) -> None:
    for _ in range(3):  # so that keys differ from numbers
        make.piece(make.project(), fabric=make.fabric(), version=make.version())
    piece = synced(make.piece(coat, fabric=make.fabric(), version=make.version(), count=2))
    make.step(coat)
    text = plan_text(planned(coat))
    found = paths(json.loads(text))
    assert not [path for path in found if re.search(r"(^|/|_)(id|pk|key)$", path)]
    assert f"{piece.pk}.1:" not in text
    assert str(datetime.now(UTC).date()) not in text
    assert str(Path(__file__).resolve().parents[2]) not in text
    lengths = {path: value for path, value in found.items() if "_nm" in path}
    assert lengths
    assert all(value is None or isinstance(value, int) for value in lengths.values())
    assert text == plan_text(planned(coat))


def test_the_command_finds_a_project_by_its_number(
    coat: Project, capsys: pytest.CaptureFixture[str]
) -> None:
    Project.objects.filter(pk=coat.pk).update(number=417)
    synced(make.piece(coat, fabric=make.fabric(), version=make.version()))
    call_command("plan", "417", "--json")
    assert json.loads(capsys.readouterr().out) == plan_json(planned(coat))
    call_command("plan", "417")
    assert "Front:" in capsys.readouterr().out
    with pytest.raises(CommandError, match="no project"):
        call_command("plan", "9999999")


def test_what_is_unknown_stays_unknown(coat: Project) -> None:
    cloth = make.fabric(grams=None)
    make.piece(coat, fabric=cloth, version=make.version())
    plan = planned(coat)
    panel = plan.pieces[0].panels[0].plan
    assert (panel.thickness, panel.weight, plan.fabrics[0].grams) == (None, None, None)
    said = " ".join(note.text for note in plan.pieces[0].notes)
    for word in ("thick", "light", "weighs", "shrinks"):
        assert word in said
    assert [line.why for line in plan.fabrics[0].lines if "swatch" in line.why]


def test_a_piece_that_cannot_be_planned_leaves_the_others_be(coat: Project) -> None:
    cloth = make.fabric(width=400 * MM)
    make.piece(coat, name="Front", fabric=cloth, across=900 * MM)
    make.piece(coat, name="Collar", fabric=cloth, across=200 * MM, along=80 * MM, order=1)
    broken = make.version()
    unreadable = {"format": 1, "across": {"technique": "knitting"}}
    type(broken).objects.filter(pk=broken.pk).update(content=unreadable)
    make.piece(coat, name="Back", fabric=cloth, version=broken, order=2)
    plan = planned(coat)
    front, collar, back = plan.pieces
    assert "40.0 cm" in front.problem
    assert not front.panels
    assert back.problem
    assert not collar.problem
    assert [p.name for p in plan.fabrics[0].lay.placements] == ["Collar"]
    assert {note.about for note in plan.notes if note.kind == "warning"} >= {"Front", "Back"}


def test_a_panel_wider_than_its_cloth_is_laid_in_widths(coat: Project) -> None:
    cloth = make.fabric(width=900 * MM, shrink_across=Decimal(0), shrink_along=Decimal(0))
    make.piece(coat, fabric=cloth, version=make.version())
    plan = planned(coat)
    line = plan.pieces[0].panels[0]
    assert line.plan.cut_width > 900 * MM
    names = sorted(p.name for p in plan.fabrics[0].lay.placements)
    assert names == ["Front, width 1", "Front, width 2"]
    widths = sum(p.width for p in plan.fabrics[0].lay.placements)
    assert widths == line.plan.cut_width + 2 * 10 * MM
    assert any(step.title == "Join the widths of Front" for step in plan.steps)


def test_pieces_without_cloth_are_planned_but_bought_for_in_nothing(coat: Project) -> None:
    make.piece(coat, version=make.version())
    plan = planned(coat)
    assert plan.pieces[0].panels
    assert plan.fabrics == ()
    assert any("No cloth is chosen" in note.text for note in plan.pieces[0].notes)


def test_notions(coat: Project) -> None:
    buttons = make.notion(received=5)
    coat.notion_needs.create(notion=buttons, amount=12_000, why="front")
    notion = planned(coat).notions[0]
    assert (notion.need, notion.free, notion.buy) == (Decimal(12), Decimal(5), Decimal(7))


def test_an_empty_project_has_a_plan(coat: Project) -> None:
    plan = planned(coat)
    assert (plan.pieces, plan.fabrics, plan.minutes) == ((), (), Decimal(0))
    json.loads(plan_text(plan))
