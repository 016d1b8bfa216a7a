"""Panels kept when they were cut: what was written by any earlier format is still read, number for number."""

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from projects.activities.exchange.errors import Unreadable
from projects.activities.exchange.kept_values import check_kept
from projects.calc.order_of_work import stretches
from projects.calc.panels import Cloth, PanelPlan, PieceSize, Sizing, TakeUps, panel
from projects.calc.recipe import Direction
from projects.calc.sampling import TakeUp
from projects.calc.turning import mirrored
from projects.planning.snapshot import FORMAT, UnknownFormat, changes, keep, read_kept
from tests import make
from tests.make import MM

KEPT = Path(__file__).resolve().parents[1] / "kept"


def test_there_is_a_file_for_every_format() -> None:
    written = [f"format{number}.json" for number in range(1, FORMAT + 1)]
    assert sorted(path.name for path in KEPT.glob("*.json")) == written


def test_format_1_is_read_number_for_number() -> None:
    """The file was written when the format was settled; it is never written again."""
    kept = read_kept(json.loads((KEPT / "format1.json").read_text(encoding="utf-8")))
    plan = kept.plan
    assert (kept.hand, plan.mirrored, plan.first) == ("right", True, "along")
    assert (plan.cut_width, plan.cut_length) == (963_016_476, 1_304_766_476)
    assert (plan.across.count, plan.along.count) == (30, 36)
    assert plan.across.axis.seams[:3] == (7_500_000, 19_500_000, 43_500_000)
    assert (plan.across.near.name, plan.across.axis.pressings[0].value) == ("right", "on")
    assert plan.along.axis.take_ups[0] == 16_125_000
    assert (plan.layers_max, plan.thickness, plan.sizing.wash) == (9, 1_620_000, "before")
    assert len(list(plan.across.marks())) == 30


def test_format_2_is_read_number_for_number() -> None:
    """Written when what is worked by ratio was added, a RIGHT in lattice; it is never written again."""
    kept = read_kept(json.loads((KEPT / "format2.json").read_text(encoding="utf-8")))
    plan, work = kept.plan, kept.plan.work
    assert (kept.hand, kept.fabric_id, plan.mirrored, plan.first) == ("right", 7, True, "")
    assert (plan.cut_width, plan.cut_length) == (950_000_000, 450_000_000)
    assert plan.recipe.ratio.way == "on the wrong side"
    assert (work.squares_across, work.squares_down, work.dots, work.stitches) == (36, 16, 629, 288)
    assert (work.finished_across, work.finished_along) == (312_000_041, 280_000_084)
    assert (work.grid_across.first, work.grid_across.last) == (25_000_000, 925_000_000)
    assert (plan.across.ratio.ratio, plan.across.ratio.units) == (Fraction(576_923, 200_000), 12)
    assert plan.across.parts.margin == 26_934_182
    assert (plan.layers_max, plan.thickness) == (5, 4_500_000)


def test_format_4_is_read_number_for_number() -> None:
    """Written when wadding and backing came in, quilting on both; never written anew."""
    kept = read_kept(json.loads((KEPT / "format4.json").read_text(encoding="utf-8")))
    plan = kept.plan
    assert (kept.hand, plan.cut_width, plan.cut_length) == ("left", 411_300_474, 572_485_795)
    assert [(u.role, u.thickness, u.grams) for u in plan.cloth.under] == [
        ("wadding", 4_000_000, Decimal("200.0")), ("backing", None, None),
    ]  # fmt: skip
    assert (plan.cloth_layers, plan.layers_max, plan.thickness, plan.weight) == (2, 4, None, None)


def test_format_3_is_read_number_for_number() -> None:
    """Written when the order of sewing came in, a LEFT sewn from the centre outwards; never written anew."""
    kept = read_kept(json.loads((KEPT / "format3.json").read_text(encoding="utf-8")))
    plan, axis = kept.plan, kept.plan.across.axis
    assert (kept.hand, plan.piece.work_order, axis.order) == ("left", "centre", "centre")
    assert (axis.count, plan.cut_width) == (17, 530_308_236)
    assert [stretch.origin for stretch in stretches(axis)] == [8, 8]
    assert (stretches(axis)[0].places[0], stretches(axis)[1].places[-1]) == (8, 0)


def test_tucks_are_still_kept_in_format_1() -> None:
    kept = {plan.piece.work_order: keep("left", plan)["format"] for plan in examples()}
    assert kept == {"": 1, "centre": 3, "alternate": 3}


def test_what_is_kept_is_read_back_equal() -> None:
    for plan in examples():
        written = json.loads(json.dumps(keep("left", plan)))
        assert read_kept(written).plan == plan
        assert changes(read_kept(written).plan, plan) == ()


def examples() -> list[PanelPlan]:
    e = TakeUp(125_000 * 2, 90_000, 100_000, 400_000, "this cloth", 2, 30)
    both = make.content(make.tucks(*make.GRADUATED), make.tucks((20, 7), turns_at_centre=True))
    cloth = Cloth(thickness=180_000, usable_width=1_400 * MM)
    unwashed = Cloth(shrink_along=Decimal("0.04"), shrink_across=Decimal("0.03"))
    size = PieceSize(480 * MM, 700 * MM, 15 * MM, 15 * MM, 15 * MM, 20 * MM, caught="drop", hems=("bottom",))
    plans = [
        panel(both, size, Sizing(check_every=10, border=25 * MM), TakeUps(across=e), cloth),
        panel(both, size, Sizing(wash="after"), TakeUps(), unwashed),
        panel(make.content(Direction("box", width=40 * MM, depth=20 * MM)), size),
        panel(None, size),
        panel(both, replace(size, work_order="centre")),
        panel(both, replace(size, work_order="alternate")),
    ]
    return [*plans, *(mirrored(plan) for plan in plans)]


def test_a_later_format_is_refused() -> None:
    with pytest.raises(UnknownFormat, match="update the program"):
        read_kept({"format": FORMAT + 1})


def test_a_panel_cut_by_an_earlier_calculation_keeps_its_numbers() -> None:
    """Whether by the latest version of the calculation or an earlier one: a file brings it in as it is."""
    for name in ("format1", "format2", "format3"):
        written = json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8"))
        written["fabric"] = None
        check_kept("panel", written)
    for calc in ("99", "", "1x", 1, None):
        with pytest.raises(Unreadable):
            check_kept("panel", {**written, "calc": calc})


def test_pleats_cut_before_they_had_an_order_keep_theirs() -> None:
    """Up to calculation 2 pleats had no order to choose: the same piece is worked otherwise since."""
    size = PieceSize(480 * MM, 700 * MM, 15 * MM, 15 * MM, 15 * MM, 20 * MM, work_order="alternate")
    box = make.content(Direction("box", width=40 * MM, depth=20 * MM))
    written = json.loads(json.dumps(keep("left", panel(box, size))))
    assert written["calc"] == "3" and read_kept(written).plan.across.axis.order == "alternate"
    earlier = {**written, "calc": "2", "across": without_order(written["across"])}
    check_kept("panel", {**earlier, "fabric": None})
    assert read_kept(earlier).plan.across.axis.order == ""


def without_order(side: dict[str, object]) -> dict[str, object]:
    """A kept side as it was written while its folds had no order of their own."""
    axis = side["axis"]
    assert isinstance(axis, dict)
    return {**side, "axis": {name: value for name, value in axis.items() if name != "order"}}
