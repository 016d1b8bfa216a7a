"""Pieces worked by ratio: steps in working order, what samples change, what is kept when a panel is cut."""

import json
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.ratio import RATIO_TECHNIQUES, STARTING_RATIOS, ByRatio
from projects.calc.recipe import Recipe
from projects.models import Fabric, Piece, Project, RecipeVersion, Sample, Workroom
from projects.models import Recipe as RecipeRow
from projects.planning import Rows, plan_project, plan_rows
from projects.planning.export import plan_json
from projects.planning.following import texture_minutes
from projects.planning.learned_rates import Rates
from projects.planning.plan import Plan
from projects.planning.snapshot import changes, keep, read_kept
from tests import make
from tests.make import MM
from tests.strategies import ratio_recipes

KINDS = {
    "gathers": ["cut", "mark", "sew", "draw", "press"],
    "shirring": ["cut", "mark", "sew", "press"],
    "english": ["cut", "mark", "draw", "sew", "press"],
    "honeycomb": ["cut", "mark", "sew", "press"],
    "lattice": ["cut", "mark", "sew", "press"],
    "quilting": ["cut", "mark", "sew", "press"],
    "trapunto": ["cut", "mark", "sew", "press"],
}


def content(technique: str, **values: object) -> Recipe:
    usual = dict(zip(("across", "along"), STARTING_RATIOS[technique], strict=True))
    numbers = {"spacing": 10 * MM, "row": 12 * MM, "rows": 2}
    return Recipe(ratio=ByRatio(technique, **{**usual, **numbers, **values}))


def rows(recipe: Recipe, *samples: Sample, fabric: Fabric | None = None, **piece: object) -> Rows:
    """One piece, nothing in a database."""
    cloth = fabric or Fabric(pk=1, name="Linen voile", width=1_400 * MM, grams=92, thickness=180_000)
    version = RecipeVersion(pk=1, recipe=RecipeRow(pk=1, name="Texture"), number=1, content=recipe.to_json())
    project = Project(pk=1, number=1, title="Concert coat", state="in_hand")
    usual = {"pk": 1, "name": "Front", "across": 300 * MM, "along": 200 * MM, "order": 1}
    made = Piece(project=project, fabric=cloth, version=version, **{**usual, **piece})
    return Rows(project=project, workroom=Workroom(pk=1), pieces=(made,), samples=samples)


def measured(recipe: Recipe, fabric: int = 1, **values: object) -> Sample:
    usual = {
        "across_technique": recipe.ratio.technique, "along_technique": recipe.ratio.technique,
        "content": recipe.to_json(), "fabric_id": fabric, "version_id": 1, "made_on": date(2026, 3, 2),
    }  # fmt: skip
    return Sample(**{**usual, **values})


def kinds(plan: Plan) -> list[str]:
    return [step.kind for step in plan.steps if step.of_panel]


@pytest.mark.parametrize("technique", RATIO_TECHNIQUES)
def test_each_technique_has_its_steps_in_working_order(technique: str) -> None:
    plan = plan_rows(rows(content(technique)))
    assert not plan.pieces[0].problem
    assert kinds(plan) == [*KINDS[technique], "check", "baste", "trim"]
    texture = [step for step in plan.steps if step.kind in ("mark", "sew")]
    assert all(step.minutes > 0 and step.detail for step in texture)
    assert any("starting value" in n.text or "no sample yet" in n.text for n in plan.pieces[0].notes)
    json.dumps(plan_json(plan))


def test_drawing_up_is_checked_against_the_finished_size() -> None:
    plan = plan_rows(rows(content("english")))
    line, draw = plan.pieces[0].panels[0].plan, plan.step("1.1:draw::1")
    assert [m.length for m in draw.measures] == [line.across.finished, line.along.finished]
    assert "1,4" not in draw.title and "dots in" in draw.title


def test_a_sample_of_this_cloth_replaces_the_starting_value() -> None:
    """Dots for 4 to 1 measured 4.4 to 1: more flat cloth, from one sample, whatever its spacing."""
    smocked = content("english")
    other_spacing = content("english", spacing=6 * MM)
    sample = measured(other_spacing, across_flat=440 * MM, across_finished=100 * MM, across_tucks=73)
    before, after = plan_rows(rows(smocked)), plan_rows(rows(smocked, sample))
    up = after.pieces[0].ratios.across
    assert (up.ratio, up.basis, up.samples, up.units) == (Fraction(44, 10), "this cloth", 1, 73)
    need = before.pieces[0].panels[0].plan.across.need
    assert before.pieces[0].panels[0].plan.across.flat == 4 * need
    assert after.pieces[0].panels[0].plan.across.flat == -(-44 * need // 10)
    assert "sample" in {s.kind for s in before.steps}
    assert "sample" not in {s.kind for s in after.steps}


def test_a_sample_of_another_cloth_or_way_tells_less_or_nothing() -> None:
    smocked = content("english")
    far = measured(smocked, fabric=2, across_flat=440 * MM, across_finished=100 * MM, across_tucks=40)
    assert plan_rows(rows(smocked, far)).pieces[0].ratios.across.basis == "another cloth"
    by_hand = content("english", way="on a pleater")
    assert plan_rows(rows(by_hand, far)).pieces[0].ratios.across.basis == "none"
    spoiled = measured(smocked, across_flat=440 * MM, across_finished=100 * MM, content={"format": 9})
    assert plan_rows(rows(smocked, spoiled)).pieces[0].ratios.across.basis == "none"


def test_the_sample_to_make_is_large_enough() -> None:
    plan = plan_rows(rows(content("lattice", spacing=20 * MM)))
    (needed,) = plan.fabrics[0].samples
    for extent in (needed.advice.across, needed.advice.along):
        assert extent.tucks >= 12 and extent.repeats >= 2
        assert extent.flat == extent.tucks * 20 * MM
        assert extent.cut == extent.flat + 50 * MM
    assert needed.key == "ratio-lattice-"
    step = next(s for s in plan.steps if s.kind == "sample")
    assert step.minutes > 0


def test_a_panel_too_wide_is_joined_where_fullness_hides_it_and_refused_where_nothing_does() -> None:
    wide = plan_rows(rows(content("gathers"), across=1_000 * MM))
    assert len(wide.pieces[0].panels[0].plan.joins.widths) == 2
    assert "join" in kinds(wide)
    assert any("fullness hides" in n.text for n in wide.pieces[0].notes)
    flat = plan_rows(rows(content("quilting"), across=1_500 * MM))
    assert "Nothing hides a join in quilting" in flat.pieces[0].problem


def test_whole_squares_say_what_they_give() -> None:
    plan = plan_rows(rows(content("lattice", spacing=30 * MM, diagonal=42 * MM)))
    (said,) = [n.text for n in plan.pieces[0].notes if "whole squares" in n.text]
    work = plan.pieces[0].panels[0].plan.work
    assert f"{work.squares_across} by {work.squares_down} whole squares" in said


def test_texture_minutes_are_those_of_its_steps() -> None:
    plan = plan_rows(rows(content("quilting")))
    panel = plan.pieces[0].panels[0].plan
    drafted = [s for s in plan.steps if s.kind in ("mark", "sew", "press") and s.of_panel]
    setup = Decimal(10 + 15 + 10)
    total = sum(s.minutes for s in drafted)
    assert abs(texture_minutes(panel, 1, Rates({})) - (total - setup)) < Decimal("0.05")
    assert texture_minutes(panel, 3, Rates({})) == 3 * texture_minutes(panel, 1, Rates({}))


@given(ratio_recipes(), st.integers(50 * MM, 900 * MM), st.integers(50 * MM, 900 * MM), st.booleans())
@settings(derandomize=True, max_examples=80, deadline=None)
def test_what_is_kept_is_read_back_equal(recipe: Recipe, across: int, along: int, pair: bool) -> None:
    plan = plan_rows(rows(recipe, across=across, along=along, count=2, mirrored=pair))
    found = plan.pieces[0]
    assert bool(found.problem) != bool(found.panels)
    for line in found.panels:
        written = json.loads(json.dumps(keep(line.hand, line.plan, 1)))
        kept = read_kept(written)
        assert written["format"] == 2
        assert kept.plan == line.plan
        assert changes(kept.plan, line.plan) == ()
    json.dumps(plan_json(plan))


def test_what_changes_in_a_cut_panel_is_told() -> None:
    few = plan_rows(rows(content("english"))).pieces[0].panels[0].plan
    more = plan_rows(rows(content("english", spacing=8 * MM))).pieces[0].panels[0].plan
    assert [c.label for c in changes(few, more)] == ["dots", "stitches"]


@pytest.mark.django_db
def test_samples_and_panels_come_through_the_database() -> None:
    make.workroom()
    recipe = content("honeycomb")
    version = make.recipe("Honeycomb", of=recipe).versions.get()
    cloth = make.fabric()
    make.sample(
        version, cloth, across_technique="honeycomb", across_flat=210 * MM, across_finished=100 * MM,
        across_tucks=21, across_depths=0,
    )  # fmt: skip
    project = make.project()
    make.piece(project, version=version, fabric=cloth)
    plan = plan_project(project)
    assert plan.pieces[0].ratios.across.ratio == Fraction(21, 10)
    assert plan.pieces[0].panels[0].plan.work.technique == "honeycomb"


def _hostile(written: dict[str, object], path: str, value: object) -> dict[str, object]:
    *way, last = path.split(".")
    inner = written
    for key in way:
        inner = inner[key]
    inner[last] = value
    return written


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("across.ratio.ratio", "1/0"),
        ("across.ratio.ratio", "1e999999999"),
        ("across.ratio.ratio", "-4"),
        ("across.ratio.ratio", "101"),
        ("across.ratio.ratio", "1" * 61),
        ("across.ratio.se", "NaN"),
        ("across.ratio.se", "1e99"),
        ("across.ratio.low", "-1"),
        ("across.stretch", "1e999999999"),
        ("work.technique", "tucks"),
        ("work.technique", "quilting"),
        ("work.grid_across.count", 10**9),
        ("work", None),
        ("across.ratio", None),
    ],
)
def test_kept_numbers_that_can_not_be_are_refused(path: str, value: object) -> None:
    plan = plan_rows(rows(content("lattice"))).pieces[0].panels[0].plan
    written = _hostile(json.loads(json.dumps(keep("left", plan))), path, value)
    with pytest.raises((ValueError, ArithmeticError)):
        read_kept(written)


def test_a_typed_ratio_is_not_called_a_starting_value() -> None:
    typed = plan_rows(rows(content("english", across=Decimal("3.5"))))
    texts = [n.text for n in typed.pieces[0].notes]
    assert any("3.5 times as much flat cloth was typed, not measured" in text for text in texts)
    assert not any("starting value" in text for text in texts)


def test_overlapping_pleats_are_called_pleats() -> None:
    deep = make.content(make.Direction("knife", width=20 * MM, depth=30 * MM))
    plan = plan_rows(rows(deep))
    sew = next(s for s in plan.steps if s.kind == "sew")
    assert "The pleats overlap" in sew.detail and "tuck" not in sew.detail
