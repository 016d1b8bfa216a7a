"""Panels worked by ratio: dots, squares and lines counted one by one over the cloth, and what must hold."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import exp, hypot, log, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.joins import join_anywhere
from projects.calc.labour import DRIVERS, STARTING_RATES, estimate
from projects.calc.panels import Cloth, PanelPlan, PieceSize, Sizing, panel
from projects.calc.ratio import STARTING_RATIOS, ByRatio
from projects.calc.ratio_counts import FlatCloth, work_of
from projects.calc.ratio_labour import quantities
from projects.calc.ratio_samples import RatioUp, RatioUps, ratio_up
from projects.calc.ratio_work import Marks, RatioWork
from projects.calc.recipe import Recipe
from projects.calc.sampling import sample_to_make
from projects.calc.turning import mirrored, on_the_face
from tests.strategies import FIXED, MM, lengths, ratio_recipes

PIECE = PieceSize(300 * MM, 200 * MM, 15 * MM, 15 * MM, 15 * MM, 15 * MM)


def by_ratio(technique: str, **values: object) -> ByRatio:
    usual = dict(zip(("across", "along"), STARTING_RATIOS[technique], strict=True))
    numbers = {"spacing": 10 * MM, "row": 12 * MM, "rows": 2}
    return ByRatio(technique, **{**usual, **numbers, **values})  # type: ignore[arg-type]


def sure(recipe: ByRatio) -> RatioUps:
    """Ratios without any doubt, so that no margin is added."""
    ups = (ratio_up((), recipe.ratio_of(name)) for name in ("across", "along"))
    return RatioUps(*(replace(up, se=Decimal(0), basis="this cloth") for up in ups))


def planned(technique: str, **values: object) -> PanelPlan:
    return panel(Recipe(ratio=by_ratio(technique, **values)), PIECE)


# -- counts, one by one --------------------------------------------------------------------------------------


def sizes() -> list[tuple[int, int, int, int]]:
    """Seeded widths, lengths and spacings, some of which divide evenly."""
    random = Random(23)
    found = [(100 * MM, 60 * MM, 10 * MM, 12 * MM), (7 * MM, 5 * MM, 10 * MM, 12 * MM)]
    while len(found) < 60:
        found.append(
            (
                random.randint(20 * MM, 400 * MM),
                random.randint(20 * MM, 300 * MM),
                random.randint(5 * MM, 30 * MM),
                random.randint(5 * MM, 30 * MM),
            )
        )
    return found


def walked(extent: int, step: int) -> int:
    """Marks laid along an edge one by one, the first at its very beginning."""
    at, found = 0, 0
    while at <= extent:
        found, at = found + 1, at + step
    return found


@pytest.mark.parametrize("technique", ["english", "honeycomb"])
@pytest.mark.parametrize(("width", "length", "spacing", "row"), sizes())
def test_dots_and_stitches_are_those_counted_on_the_cloth(
    technique: str, width: int, length: int, spacing: int, row: int
) -> None:
    recipe = by_ratio(technique, spacing=spacing, row=row)
    work = work_of(recipe, FlatCloth(width, length, 1, 1, border=25 * MM))
    columns, rows = walked(width, spacing), walked(length, row)
    assert (work.columns, work.rows, work.dots) == (columns, rows, columns * rows)
    dots = list(work.dot_points())
    assert len(set(dots)) == work.dots
    inside = (25 * MM, width + 25 * MM), (25 * MM, length + 25 * MM)
    assert all(inside[0][0] <= d.x <= inside[0][1] and inside[1][0] <= d.y <= inside[1][1] for d in dots)
    stitches = list(work.stitch_segments())
    assert len(stitches) == work.stitches
    assert all(s.start.y == s.end.y and s.end.x - s.start.x == spacing for s in stitches)
    if technique == "honeycomb":
        ends = [point for s in stitches for point in s]
        assert len(set(ends)) == len(ends)  # no dot is joined twice in its row


def drawn_squares(wide: int, high: int) -> set[tuple[int, int]]:
    """Every second square of a row, the next row's in the squares between, walked square by square."""
    return {
        (row, square) for row in range(high) for square in range(2 * (wide // 2)) if square % 2 == row % 2
    }


@pytest.mark.parametrize(("wide", "high"), [(1, 1), (2, 1), (2, 2), (7, 5), (8, 9), (43, 15)])
def test_lattice_stitches_are_the_squares_drawn_up(wide: int, high: int) -> None:
    square = 20 * MM
    work = work_of(by_ratio("lattice", spacing=square), FlatCloth(wide * square, high * square, 1, 1))
    assert (work.squares_across, work.squares_down, work.dots) == (wide, high, (wide + 1) * (high + 1))
    stitches = list(work.stitch_segments())
    squares = {(min(s.start.y, s.end.y) // square, min(s.start.x, s.end.x) // square) for s in stitches}
    assert squares == drawn_squares(wide, high)
    assert len(stitches) == work.stitches == len(squares)
    ends = [point for s in stitches for point in s]
    assert len(set(ends)) == len(ends)  # each dot is drawn up once
    assert set(ends) <= set(work.dot_points())


def clipped(c: int, falling: bool, width: int, length: int) -> float:
    """Length of x + y = c (or x - y + length = c) inside the cloth, found by walking along it in steps."""
    step = 100_000
    found = sum(0 <= (c - x if falling else x - c + length) <= length for x in range(step // 2, width, step))
    return found * step * sqrt(2)


@pytest.mark.parametrize("slant", [False, True])
@pytest.mark.parametrize(("width", "length", "spacing", "row"), sizes()[2:22])
def test_quilting_metres_are_those_of_its_lines(
    slant: bool, width: int, length: int, spacing: int, row: int
) -> None:
    """Area / spacing is what the lines measure, to half a line of each set."""
    work = work_of(
        by_ratio("quilting", spacing=spacing, row=row, slant=slant), FlatCloth(width, length, 1, 1)
    )
    lines = list(work.line_segments())
    assert len(lines) == work.lines == work.grid_across.count + work.grid_along.count  # type: ignore[union-attr]
    total = sum(hypot(s.end.x - s.start.x, s.end.y - s.start.y) for s in lines)
    longest = min(width, length) * sqrt(2) if slant else max(width, length)
    assert abs(total - work.metres) <= longest
    assert abs(work.metres - (width * length / spacing + width * length / row)) <= 1
    for s in lines:
        assert 0 <= s.start.x <= width and 0 <= s.end.x <= width
        assert 0 <= s.start.y <= length and 0 <= s.end.y <= length


def test_slanted_lines_are_clipped_to_the_cloth() -> None:
    width, length = 90 * MM, 60 * MM
    work = work_of(by_ratio("quilting", slant=True), FlatCloth(width, length, 1, 1))
    marks = [(c, True) for c in work.grid_across.positions]  # type: ignore[union-attr]
    marks += [(c, False) for c in work.grid_along.positions]  # type: ignore[union-attr]
    for (c, falling), s in zip(marks, work.line_segments(), strict=True):
        drawn = hypot(s.end.x - s.start.x, s.end.y - s.start.y)
        assert abs(drawn - clipped(c, falling, width, length)) < 300_000


@FIXED
@given(lengths(20 * MM, 900 * MM), lengths(20 * MM, 900 * MM), lengths(4 * MM, 40 * MM), st.booleans())
def test_quilting_lines_lie_as_far_apart_as_asked(width: int, length: int, spacing: int, slant: bool) -> None:
    work = work_of(by_ratio("quilting", spacing=spacing, row=0, slant=slant), FlatCloth(width, length, 1, 1))
    assert work.grid_along is None
    assert work.grid_across is not None
    apart = work.grid_across.step / sqrt(2) if slant else work.grid_across.step
    assert abs(apart - spacing) < 1
    assert abs(work.metres - width * length / spacing) <= 0.5


def test_shirring_and_gathers_measure_their_rows() -> None:
    """7 rows 12 mm apart over 80 mm, each 600 mm; two gathering rows over the width at the seam line."""
    shirred = work_of(by_ratio("shirring"), FlatCloth(600 * MM, 80 * MM, 1, 1))
    assert (shirred.rows, shirred.metres) == (7, 7 * 600 * MM)
    assert shirred.grid_along is not None and shirred.grid_along.first == 4 * MM
    cloth = FlatCloth(600 * MM, 80 * MM, 1, 1, border=25 * MM, seam_along=20 * MM)
    gathered = work_of(by_ratio("gathers"), cloth)
    assert (gathered.lines, gathered.metres) == (2, 2 * 600 * MM)
    assert gathered.grid_along is not None
    assert gathered.grid_along.positions == (42 * MM, 48 * MM)  # 3 mm on either side of 25 + 20 mm
    both = work_of(by_ratio("gathers", along=Decimal(2)), cloth)
    assert (both.lines, both.metres) == (4, 2 * 600 * MM + 2 * 80 * MM)


# -- panels --------------------------------------------------------------------------------------------------


def test_gathers_are_drawn_up_to_size_and_take_no_margin() -> None:
    """300 + 2 x 15 + 2 x 10 = 350 mm, twice as much flat cloth; along as it is."""
    plan = planned("gathers")
    assert (plan.across.need, plan.cut_width) == (350 * MM, 700 * MM)
    assert (plan.along.need, plan.cut_length) == (250 * MM, 250 * MM)
    assert plan.across.parts.margin == plan.along.parts.margin == 0
    assert plan.layers_max == 2


def test_what_draws_in_by_itself_takes_a_margin() -> None:
    """Quilting, no sample, both ways: 350 x (e^(2.58 ln 1.03) - 1); honeycomb one way: 2.33 x 0.10."""
    quilted = planned("quilting")
    share = exp(2.58 * log(1.03)) - 1
    assert quilted.across.parts.margin == pytest.approx(350 * MM * share, abs=400)
    assert quilted.along.parts.margin == pytest.approx(250 * MM * share, abs=400)
    assert quilted.cut_width == -(-quilted.across.need * 103 // 100)
    honeycomb = planned("honeycomb")
    assert honeycomb.across.parts.margin == pytest.approx(350 * MM * (exp(0.233) - 1), abs=2)
    assert honeycomb.along.parts.margin == 0


def test_the_worked_lattice() -> None:
    """40 x 40 cm, squares of 3 cm, diagonal 4.2 cm: 38 by 19 squares, 114 by 57 cm flat, 39.9 by 39.9 cm."""
    recipe = by_ratio("lattice", spacing=30 * MM, diagonal=42 * MM)
    piece = PieceSize(400 * MM, 400 * MM)
    plan = panel(Recipe(ratio=recipe), piece, Sizing(squaring=0), ratios=sure(recipe))
    assert plan.work is not None
    assert (plan.work.squares_across, plan.work.squares_down) == (39, 20)  # squaring 0: never short
    wide = panel(Recipe(ratio=recipe), PieceSize(380 * MM, 380 * MM), Sizing(), ratios=sure(recipe))
    assert wide.work is not None
    assert (wide.work.squares_across, wide.work.squares_down) == (38, 19)
    assert (wide.cut_width, wide.cut_length) == (1_140 * MM, 570 * MM)
    assert (wide.work.finished_across, wide.work.finished_along) == (399 * MM, 399 * MM)
    assert wide.across.need == 399 * MM  # half of the millimetre it is short lies at each end
    assert (wide.across.near.cut, wide.across.far.cut) == (9_500_000, 9_500_000)


def test_a_panel_sewn_unwashed_grows_first() -> None:
    cloth = Cloth(shrink_across=Decimal("0.05"), shrink_along=Decimal("0"))
    plan = panel(Recipe(ratio=by_ratio("english")), PIECE, Sizing(wash="after"), cloth=cloth)
    assert plan.across.length == -(-350 * MM * 20 // 19)
    assert plan.cut_width == 4 * plan.across.length


def test_weight_and_thickness_follow_the_ratios() -> None:
    cloth = Cloth(thickness=200_000, grams=Decimal(100))
    plan = panel(Recipe(ratio=by_ratio("honeycomb", along=Decimal("1.25"))), PIECE, cloth=cloth)
    assert plan.layers_max == 3  # 2 x 1.25 = 2.5, about 3
    assert plan.thickness == 600_000
    assert plan.weight_per_m2 == pytest.approx(Decimal(250), abs=Decimal("0.001"))
    assert plan.stacks and all(s.layers == 6 for s in plan.stacks)


def test_the_other_panel_of_a_pair_shows_the_mirror_image() -> None:
    gathered = planned("gathers", along=Decimal(2))
    right = mirrored(gathered)
    assert right.across.near.name == "right"
    face = on_the_face(right)
    assert face.work is not None and right.work is not None and right.work.grid_across is not None
    assert face.work.grid_across is not None
    assert [right.work.width - x for x in right.work.grid_across.positions][::-1] == list(
        face.work.grid_across.positions
    )
    assert on_the_face(gathered) is gathered


@FIXED
@given(
    ratio_recipes(), lengths(20 * MM, 900 * MM), lengths(1, 200 * MM), st.sampled_from(["across", "along"])
)
def test_flat_cloth_grows_with_the_need(recipe: Recipe, size: int, more: int, name: str) -> None:
    small = PieceSize(**{"across": 400 * MM, "along": 300 * MM, name: size})
    large = replace(small, **{name: size + more})
    one, two = panel(recipe, small).side(name), panel(recipe, large).side(name)
    assert one.flat <= two.flat
    assert one.ratio is not None and one.flat >= one.length
    assert sum((one.parts.lead, one.parts.pattern, one.parts.allowance_end, one.parts.trim_end)) == one.need


@FIXED
@given(ratio_recipes(), lengths(50 * MM, 900 * MM), lengths(0, 20 * MM), st.booleans(), st.booleans())
def test_every_panel_holds_its_piece(
    recipe: Recipe, size: int, squaring: int, whole: bool, bordered: bool
) -> None:
    piece = PieceSize(size, size, 12 * MM, 12 * MM, 12 * MM, 12 * MM, whole_repeats=whole)
    plan = panel(recipe, piece, Sizing(squaring=squaring, border=25 * MM if bordered else 0))
    work = plan.work
    assert work is not None
    for side, finished in ((plan.across, work.finished_across), (plan.along, work.finished_along)):
        assert finished == side.length
        assert side.length >= size + 24 * MM  # the piece with its allowances, at the least
        assert side.near.cut >= 0 and side.far.cut >= 0
    assert (work.width, work.length) == (plan.cut_width, plan.cut_length)
    for marks, extent in ((work.grid_across, work.width), (work.grid_along, work.length)):
        if marks is not None and not work.slant and work.technique != "gathers":
            assert abs(marks.first - (extent - marks.last)) <= 1  # both ends are equal


@FIXED
@given(ratio_recipes())
def test_time_hangs_on_known_drivers(recipe: Recipe) -> None:
    work = panel(recipe, PIECE).work
    assert work is not None
    counted = quantities(work)
    assert set(counted) <= set(DRIVERS)
    assert estimate(counted, STARTING_RATES) > 0
    assert all(amount > 0 for amount in counted.values())


@FIXED
@given(ratio_recipes())
def test_the_sample_has_twelve_units_and_two_repeats_each_way(recipe: Recipe) -> None:
    advice = sample_to_make(recipe)
    assert recipe.ratio is not None
    for name, extent in (("across", advice.across), ("along", advice.along)):
        assert extent.cut == extent.flat + 50 * MM
        assert extent.finished <= extent.flat
        if recipe.ratio.counts(name):
            assert extent.tucks >= 12 and extent.repeats >= 2
        else:
            assert (extent.tucks, extent.finished) == (0, 200 * MM)
    assert advice.minutes > 20


def test_a_ratio_that_is_known_better_needs_less_margin() -> None:
    recipe = by_ratio("quilting")
    start = panel(Recipe(ratio=recipe), PIECE)
    known = RatioUp(Fraction(103, 100), Decimal("0.012"), Decimal(1), Decimal(2), "this cloth", 1, 12)
    sampled = panel(Recipe(ratio=recipe), PIECE, ratios=RatioUps(known, known))
    assert sampled.across.parts.margin < start.across.parts.margin / 2
    assert isinstance(sampled.work, RatioWork)
    assert not [n for n in sampled.notes if n.kind == "unsampled"]


@pytest.mark.parametrize("technique", ["english", "honeycomb", "gathers", "shirring"])
@FIXED
@given(st.integers(40, 900), st.integers(4, 60), st.integers(300, 1_600), st.integers(0, 30))
def test_joins_lie_between_marks_and_fit_the_cloth(
    technique: str, across: int, apart: int, usable: int, border: int
) -> None:
    recipe = by_ratio(technique, spacing=apart * MM, row=apart * MM, along=Decimal("1.5"))
    cloth = Cloth(usable_width=usable * MM)
    size, sizing = PieceSize(across * MM, 200 * MM), Sizing(border=border * MM)
    plan = panel(Recipe(ratio=recipe), size, sizing, cloth=cloth)
    joins = plan.joins
    if joins is None:
        return
    assert not joins.refusal
    assert sum(joins.widths) == plan.cut_width + 20 * MM * len(joins.joins)
    assert max(joins.widths) <= usable * MM
    marks = plan.work.grid_across if plan.work else None
    for join in joins.joins if marks and technique != "gathers" else ():
        nearest = min(abs(join.position - mark) for mark in marks.positions)
        assert nearest >= marks.step // 2


def test_a_cuffs_join_lies_between_two_dots() -> None:
    """180 cm of flat cloth, dots every 6 mm from 0: halved it would be joined on dot 151."""
    recipe = by_ratio("english", spacing=6 * MM)
    joins = join_anywhere(recipe, 1_800 * MM, 1_200 * MM, 10 * MM, Marks(0, 6 * MM, 301))
    assert [join.position for join in joins.joins] == [903 * MM]
    assert joins.widths == (913 * MM, 907 * MM)


def test_joins_that_the_cloth_leaves_no_room_to_move_take_one_width_more() -> None:
    """Two widths of 1,000 mm can't be moved off the dot; three can."""
    recipe = by_ratio("english", spacing=10 * MM)
    joins = join_anywhere(recipe, 1_980 * MM, 1_000 * MM, 10 * MM, Marks(0, 10 * MM, 199))
    assert [join.position for join in joins.joins] == [665 * MM, 1_325 * MM]
