"""Pieces to panels: margin, wash, pairs, centring, caught tucks, joins, needle, weight, marks."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.axis import AxisError, Pressing, Tuck
from projects.calc.lengths import System
from projects.calc.margin import margin_parts
from projects.calc.panels import (
    Cloth,
    DrawIns,
    Opening,
    PanelError,
    PanelPlan,
    PieceSize,
    Sizing,
    TakeUps,
    begin_at,
    buy_for,
    cross_from,
    garment_seam,
    panel,
    repeat_up,
    repeat_up_any_phase,
    sewing_margin,
    washed_length,
    washed_width,
    whole,
)
from projects.calc.recipe import Direction, Recipe, assign_marks
from projects.calc.sampling import TakeUp
from projects.calc.turning import mirrored, on_the_face, turn_end_for_end, turning_refused
from tests.strategies import FIXED, MM, cloths, directions, pieces, recipes, sampled, sizings, tuck_directions

GRADUATED = tuple(Tuck(s * MM, d * MM) for s, d in ((18, 4), (12, 7), (12, 10), (12, 7)))
BARE = Sizing(squaring=0)
EXACT = TakeUp(0, 0, 0, 0, "this cloth", 2, 24)
NO_MARGIN = Sizing(squaring=0, depth_spread=0)


def across(*tucks: tuple[float, float], **more: object) -> Recipe:
    return Recipe(Direction(tucks=tuple(Tuck(int(s * MM), int(d * MM)) for s, d in tucks), **more))  # type: ignore[arg-type]


def plain_panel(recipe: Recipe | None, wide: int = 400, long: int = 300, **piece: object) -> PanelPlan:
    """A panel with nothing added: no allowance, squaring or margin."""
    size = PieceSize(wide * MM, long * MM, **piece)  # type: ignore[arg-type]
    return panel(recipe, size, NO_MARGIN, TakeUps(EXACT, EXACT))


def test_sewing_margin() -> None:
    """Formula: s 0.4 mm, n 36, se 0.3 mm, z 2.33 gives 27.54 mm; checked every 6 tucks 6.31 mm."""
    assert sewing_margin(36, 300_000) / MM == pytest.approx(27.54, abs=0.005)
    assert sewing_margin(36, 300_000, check_every=6) / MM == pytest.approx(6.31, abs=0.005)


def test_sewing_margin_both_ways_is_stricter_and_nothing_needs_none() -> None:
    assert sewing_margin(36, 300_000, both=True) == pytest.approx(27.537407 * 2.58 / 2.33 * MM, abs=2)
    assert sewing_margin(0, 300_000) == 0
    assert sewing_margin(5, 300_000, check_every=6) == sewing_margin(5, 300_000)


@given(st.integers(1, 400), st.integers(0, 10**6), st.booleans())
@FIXED
def test_sewing_margin_is_the_least_whole_nanometre(n: int, se: int, both: bool) -> None:
    margin, z = sewing_margin(n, se, both=both), 258 if both else 233
    square = z * z * (4 * 400_000**2 * n + (n * se) ** 2)
    assert (100 * (margin - 1)) ** 2 < square <= (100 * margin) ** 2


@pytest.mark.parametrize(("need", "repeat", "cut"), [(96, 27, 108), (116, 25, 125), (108, 27, 108)])
def test_repeat_rounding(need: int, repeat: int, cut: int) -> None:
    """Furnishing text: 96 in repeats of 27 is 108. Workroom text: 116 in repeats of 25 is 125."""
    assert repeat_up(need, repeat) == cut


def test_any_phase_needs_one_repeat_more() -> None:
    assert repeat_up_any_phase(96, 27) == 135


def test_shrinkage() -> None:
    """need / (1 - s): 3 m at 5 % is 3.157895 m; the width shrinks too: 1400 mm leave 1330."""
    assert buy_for(3_000 * MM, Decimal("0.05")) == 3_157_894_737
    assert washed_width(1_400 * MM, Decimal("0.05")) == 1_330 * MM
    assert washed_length(buy_for(3_000 * MM, Decimal("0.05")), Decimal("0.05")) >= 3_000 * MM
    assert buy_for(3_000 * MM, None) == 3_000 * MM


@given(st.integers(1, 10**11), st.decimals("0", "0.5", places=4))
@FIXED
def test_what_is_bought_is_enough_and_not_a_nanometre_more(need: int, shrink: Decimal) -> None:
    bought = buy_for(need, shrink)
    assert bought * (1 - Fraction(shrink)) >= need > (bought - 1) * (1 - Fraction(shrink))


def test_a_half_on_the_fold_counts_twice() -> None:
    assert whole(240 * MM, on_fold=True) == 480 * MM
    assert whole(240 * MM, on_fold=False) == 240 * MM


def test_a_panel_is_the_sum_of_its_parts() -> None:
    plan = panel(
        across((20, 5)),
        PieceSize(400 * MM, 300 * MM, 15 * MM, 10 * MM, 12 * MM, 40 * MM),
        Sizing(border=25 * MM),
        TakeUps(across=TakeUp(400_000, 100_000, 0, 0, "this cloth", 2, 24)),
    )
    parts = plan.across.parts
    assert plan.across.need == 400 * MM + 25 * MM + 20 * MM + parts.margin
    assert parts.margin == sewing_margin(22, 100_000)
    assert parts.margin_start - parts.margin_end in (0, 1)
    assert plan.cut_width == plan.across.need + plan.across.count * 10_400_000 + 50 * MM
    assert plan.cut_length == 300 * MM + 52 * MM + 20 * MM + 50 * MM
    assert plan.along.parts.margin == 0


def test_the_margin_goes_where_the_piece_says() -> None:
    for end, expected in (("first", (1, 0)), ("far", (0, 1))):
        plan = panel(across((20, 5)), PieceSize(400 * MM, 300 * MM, margin_at=end), BARE)
        parts = plan.across.parts
        assert (bool(parts.margin_start), bool(parts.margin_end)) == expected


def test_sewn_unwashed_every_measure_grows_before_it_is_folded() -> None:
    cloth = Cloth(shrink_across=Decimal("0.2"))
    plan = panel(
        across((20, 4)),
        PieceSize(400 * MM, 300 * MM),
        Sizing(squaring=0, depth_spread=0, wash="after"),
        TakeUps(across=TakeUp(800_000, 0, 0, 0, "this cloth", 2, 24)),
        cloth,
    )
    axis = plan.across.axis
    assert axis is not None
    assert (plan.across.need, plan.across.length) == (400 * MM, 500 * MM)
    assert axis.spaces()[1] == 25 * MM
    assert axis.depths[0] == 5 * MM and axis.take_ups[0] == 11 * MM
    assert axis.flat == 500 * MM + 20 * 11 * MM
    assert plan.cut_length == 300 * MM
    assert any("not known" in note.text and note.direction == "along" for note in plan.notes)


def test_washed_before_nothing_grows() -> None:
    cloth = Cloth(shrink_across=Decimal("0.2"), shrink_along=Decimal("0.1"))
    piece = PieceSize(400 * MM, 300 * MM)
    assert (
        panel(across((20, 4)), piece, BARE, cloth=cloth).cut_width
        == panel(across((20, 4)), piece, BARE).cut_width
    )


def test_whole_repeats_stay_whole_before_and_after_the_wash() -> None:
    recipe = Recipe(Direction(tucks=GRADUATED, whole_repeats=True))
    for wash in ("before", "after"):
        plan = panel(
            recipe,
            PieceSize(400 * MM, 300 * MM),
            Sizing(wash=wash),
            cloth=Cloth(shrink_across=Decimal("0.03")),
        )
        assert plan.across.need % (54 * MM) == 0
        assert plan.across.count % 4 == 0
        axis = plan.across.axis
        assert axis is not None and axis.flat % (axis.flat // (plan.across.count // 4)) == 0


def test_layers_multiply_and_make_the_thickness() -> None:
    both = Recipe(Direction(tucks=GRADUATED), Direction(tucks=GRADUATED))
    plan = panel(both, PieceSize(400 * MM, 300 * MM), cloth=Cloth(thickness=150_000))
    assert (plan.layers_max, plan.thickness) == (9, 1_350_000)
    assert panel(both, PieceSize(400 * MM, 300 * MM)).thickness is None


def test_weight_is_the_cloths_times_flat_over_finished() -> None:
    plan = panel(
        Recipe(Direction(tucks=GRADUATED)),
        PieceSize(540 * MM, 1_000 * MM),
        NO_MARGIN,
        TakeUps(EXACT, EXACT),
        Cloth(grams=Decimal(92)),
    )
    assert plan.weight_per_m2 == Decimal(92) * 1_100 / 540
    assert plan.weight == pytest.approx(Decimal(92) * Decimal("1.1"))
    assert plan.area == Decimal("1.1")
    assert panel(None, PieceSize(540 * MM, MM)).weight is None


def test_the_larger_mean_take_up_is_sewn_first() -> None:
    """First direction first less second first = n1 n2 (mean q2 - mean q1)."""
    recipe = Recipe(Direction(tucks=(Tuck(40 * MM, 10 * MM),)), Direction(tucks=(Tuck(50 * MM, 7 * MM),)))
    plan = plain_panel(recipe, 400, 300)
    other = panel(Recipe(recipe.across, recipe.along, "along"), plan.piece, NO_MARGIN, TakeUps(EXACT, EXACT))
    assert (plan.first, plan.across.count, plan.along.count) == ("across", 10, 6)
    assert other.first == "along" and "would sew less" in other.order.why
    total = plan.sewn_across + plan.sewn_along
    assert total - (other.sewn_across + other.sewn_along) == 10 * 6 * (14 - 20) * MM
    assert plan.order.saves == 360 * MM


def test_one_seam_per_tuck_with_border_and_margin() -> None:
    plan = panel(across((20, 5)), PieceSize(400 * MM, 300 * MM), Sizing(border=25 * MM))
    assert plan.sewn_across == plan.across.count * plan.cut_length
    assert plan.sewn_along == 0


def test_released_tucks_are_sewn_part_of_the_way() -> None:
    plan = plain_panel(across((20, 5), sewn=100 * MM))
    assert plan.sewn_across == 20 * 100 * MM
    found = plan.extents("across")
    assert (found.sewn_end, found.free_end) == (400 * MM, 600 * MM)
    assert plan.extents("along").free_end == 300 * MM


def test_e_depends_on_the_place_in_the_order() -> None:
    second = TakeUp(MM, 0, 0, 0, "this cloth", 1, 12)
    deep, shallow = Direction(tucks=(Tuck(20 * MM, 8 * MM),)), Direction(tucks=(Tuck(20 * MM, 4 * MM),))
    take_ups = TakeUps(EXACT, EXACT, across_second=second, along_second=second)
    for recipe, name in ((Recipe(deep, shallow), "along"), (Recipe(shallow, deep), "across")):
        plan = panel(recipe, PieceSize(400 * MM, 300 * MM), NO_MARGIN, take_ups)
        assert plan.first != name
        assert plan.side(name).take_up is second
        assert plan.other(name).take_up is EXACT


def test_seams_draw_the_cloth_in_along_themselves() -> None:
    """One way: the plain direction is cut longer. Both ways: what is sewn first is laid out wider."""
    draw = DrawIns(across=Fraction(4, 5), along=Fraction(1, 2) + Fraction(1, 4))
    take_ups = TakeUps(EXACT, EXACT)
    one = panel(across((20, 5)), PieceSize(400 * MM, 300 * MM), NO_MARGIN, take_ups, draw_ins=draw)
    assert (one.cut_length, one.along.drawn_in) == (400 * MM, 100 * MM)
    both = Recipe(Direction(tucks=(Tuck(20 * MM, 5 * MM),)), Direction(tucks=(Tuck(20 * MM, 4 * MM),)))
    plan = panel(both, PieceSize(400 * MM, 300 * MM), NO_MARGIN, take_ups, draw_ins=draw)
    first = plan.across.axis
    assert first is not None
    assert (first.spaces()[1], first.depths[0], plan.across.length) == (25 * MM, 5 * MM, 500 * MM)
    assert plan.along.textured == 300 * MM + 15 * 8 * MM
    assert plan.along.flat == 560 * MM


def test_centring_on_a_tuck_is_the_middle_of_what_it_covers() -> None:
    recipe = Recipe(Direction(tucks=GRADUATED, centring="tuck"))
    plan = panel(recipe, PieceSize(400 * MM, 300 * MM, 15 * MM, 25 * MM))
    axis = plan.across.axis
    assert axis is not None
    centre = plan.across.parts.lead + 200 * MM
    covering = [f for f in axis.folds() if f.cover_start <= centre < f.cover_end]
    assert [f.depth for f in covering] == [10 * MM]
    assert covering[0].cover_start + covering[0].cover_end == 2 * centre


def test_centring_on_a_space_is_the_middle_of_its_visible_gap() -> None:
    for on, width in ((0, 11 * MM), (1, 8 * MM), (3, 2 * MM)):
        recipe = Recipe(Direction(tucks=GRADUATED, centring="space", centre_on=on))
        plan = panel(recipe, PieceSize(400 * MM, 300 * MM))
        axis = plan.across.axis
        assert axis is not None
        gaps = list(zip(axis.cover_ends, axis.cover_starts[1:], strict=False))
        found = [gap for gap in gaps if gap[0] <= plan.across.parts.centre < gap[1]]
        assert [end - start for start, end in found] == [width]
        assert abs(sum(found[0]) - 2 * plan.across.parts.centre) <= 1


def test_centring_prefers_what_reads_the_same_both_ways() -> None:
    """About the shallow tuck 1 the recipe reads the same; the deepest is 2, and 3 is as deep."""
    tucks = ((12, 4), (12, 9), (20, 9))
    recipe = across(*tucks, centring="tuck")
    axis = panel(recipe, PieceSize(400 * MM, 300 * MM)).across.axis
    assert axis is not None
    centre = panel(recipe, PieceSize(400 * MM, 300 * MM)).across.parts.centre
    covering = [f.depth for f in axis.folds() if f.cover_start <= centre < f.cover_end]
    assert covering == [4 * MM]


def test_a_centred_tuck_where_the_pressing_turns_is_opened() -> None:
    recipe = Recipe(Direction(tucks=GRADUATED, centring="tuck", turns_at_centre=True))
    plan = panel(recipe, PieceSize(400 * MM, 300 * MM))
    axis = plan.across.axis
    assert axis is not None
    opened = [f for f in axis.folds() if f.pressing is Pressing.OPENED]
    assert [(f.depth, f.seam) for f in opened] == [(10 * MM, plan.across.parts.centre)]


def test_caught_tucks_are_listed_with_their_reason_and_kept() -> None:
    piece = PieceSize(400 * MM, 300 * MM, 15 * MM, 15 * MM, hems=("right",))
    plan = panel(across((20, 5)), piece, Sizing(depth_spread=0), TakeUps(EXACT, EXACT))
    assert [(c.number, c.reason, c.dropped) for c in plan.across.caught] == [
        (1, "left seam allowance", False),
        (22, "right hem", False),
        (23, "right edge of the panel", False),
    ]
    rows = {row.number: row.caught for row in plan.across.marks()}
    assert rows[1] == "left seam allowance" and rows[2] == ""
    assert "3 tucks are caught at the edges and kept." in [note.text for note in plan.notes]


def test_dropped_tucks_leave_the_flat_extent_and_the_numbers_stay() -> None:
    sizes = {"allowance_left": 15 * MM, "allowance_right": 15 * MM}
    keep = panel(across((20, 5)), PieceSize(400 * MM, 300 * MM, **sizes), Sizing(), TakeUps(EXACT, EXACT))
    drop = panel(
        across((20, 5)),
        PieceSize(400 * MM, 300 * MM, caught="drop", **sizes),
        Sizing(),
        TakeUps(EXACT, EXACT),
    )
    dropped = drop.across.caught
    assert dropped and all(c.dropped for c in dropped)
    assert drop.cut_width == keep.cut_width - len(dropped) * 10 * MM
    kept = {row.number: row.seam for row in keep.across.marks()}
    assert all(kept[row.number] == row.seam for row in drop.across.marks())
    assert {c.number for c in dropped} == set(kept) - {row.number for row in drop.across.marks()}


def test_an_allowance_drawn_in_catches_without_adding() -> None:
    plan = plain_panel(across((20, 5)), inside_left=30 * MM)
    assert plan.across.need == 400 * MM
    assert [c.reason for c in plan.across.caught] == ["left seam allowance"] * 2


def test_an_opening_catches() -> None:
    plan = plain_panel(across((20, 5)), openings=(Opening("across", 200 * MM, 240 * MM, "keyhole"),))
    assert [c.reason for c in plan.across.caught] == ["keyhole"] * 2


def test_what_passes_under_the_needle() -> None:
    both = Recipe(Direction(tucks=GRADUATED), Direction(tucks=GRADUATED))
    piece = PieceSize(400 * MM, 300 * MM, *[15 * MM] * 4)
    plan = panel(both, piece, cloth=Cloth(thickness=400_000))
    stacks = {s.where: s for s in plan.stacks}
    assert stacks["while the tucks are sewn"].layers == 6
    assert stacks["in the left seam"].layers == 18
    assert stacks["in the left seam"].thickness == 7_200_000
    assert "7.2 mm" in stacks["in the left seam"].warning()
    assert any("in the left" in said for said in plan.needle_warnings(System.METRIC))
    assert "dropped there are 6 layers" in stacks["in the left seam"].warning()
    assert not stacks["while the tucks are sewn"].over
    dropped = panel(both, PieceSize(400 * MM, 300 * MM, *[15 * MM] * 4, caught="drop"), cloth=plan.cloth)
    assert {s.layers for s in dropped.stacks if "seam" in s.where} == {6}
    assert all(not s.over for s in panel(both, piece).stacks)
    assert garment_seam(3, 1) == 4


def test_a_panel_wider_than_its_cloth_is_joined_inside_a_tuck() -> None:
    plan = panel(
        across((20, 10)),
        PieceSize(1_000 * MM, 300 * MM),
        cloth=Cloth(usable_width=900 * MM),
    )
    joins, axis = plan.joins, plan.across.axis
    assert joins is not None and axis is not None and not joins.refusal
    assert max(joins.widths) <= 900 * MM
    assert sum(joins.widths) == plan.cut_width + 2 * 10 * MM * len(joins.joins)
    for join in joins.joins:
        fold = axis.fold_at(axis.numbers.index(join.number))
        assert fold.start < join.position < fold.end and join.position != fold.fold


def test_pleats_are_joined_at_inner_folds() -> None:
    recipe = Recipe(Direction("knife", width=50 * MM, depth=40 * MM))
    plan = panel(recipe, PieceSize(900 * MM, 300 * MM), cloth=Cloth(usable_width=900 * MM))
    assert plan.joins is not None and plan.across.axis is not None
    inner = {f.end for f in plan.across.axis.folds()}
    assert plan.joins.joins and {j.position for j in plan.joins.joins} <= inner


def test_without_a_tuck_to_hide_it_a_join_is_refused() -> None:
    plan = panel(None, PieceSize(1_000 * MM, 300 * MM), cloth=Cloth(usable_width=900 * MM))
    assert plan.joins is not None and plan.joins.fits == 900 * MM
    assert "turn the panel" in plan.joins.refusal
    assert any(note.kind == "width" for note in plan.notes)
    assert panel(None, PieceSize(800 * MM, MM), cloth=Cloth(usable_width=900 * MM)).joins is None


def test_marks_run_from_the_first_edge_with_the_border() -> None:
    recipe = assign_marks(Recipe(Direction(tucks=GRADUATED)))
    plan = panel(recipe, PieceSize(108 * MM, 300 * MM), Sizing(0, 25 * MM, 0), TakeUps(EXACT, EXACT))
    rows = list(plan.across.marks())
    assert [row.letter for row in rows] == ["A", "B", "C", "B"] * 2
    first = rows[0]
    assert first.from_edge and first.space == first.seam
    assert first.stitch_before == first.seam
    assert first.fold_from_last == first.space + first.take_up // 2
    assert rows[1].fold_from_last == rows[1].space + rows[1].take_up // 2
    assert rows[1].fold - (rows[0].stitch_after) == rows[1].fold_from_last
    assert plan.across.last_mark_from_far_edge == plan.cut_width - rows[-1].stitch_after


def test_second_direction_marks_lie_on_cloth_the_first_has_taken_in() -> None:
    """Along is sewn second: its seams run over the finished width, its marks over the flat length."""
    recipe = Recipe(Direction(tucks=(Tuck(20 * MM, 8 * MM),)), Direction(tucks=(Tuck(25 * MM, 5 * MM),)))
    plan = plain_panel(recipe, 400, 300)
    assert [plan.sides[0].name, plan.sides[1].name] == ["across", "along"]
    assert plan.run_of("along") == plan.across.finished == 400 * MM
    assert plan.run_of("across") == plan.along.flat == 420 * MM
    assert plan.along.marked == 420 * MM


def test_which_end_to_begin_and_where_crossing_seams_start() -> None:
    def axis(space: int, depth: int, **more: object):  # type: ignore[no-untyped-def]
        plan = plain_panel(Recipe(Direction(tucks=(Tuck(space * MM, depth * MM),), **more)))  # type: ignore[arg-type]
        assert plan.across.axis is not None
        return plan.across.axis

    assert begin_at(axis(20, 5)) == "first"
    assert begin_at(axis(5, 8)) == "far"
    assert begin_at(axis(5, 8, pressing=Pressing.BACK)) == "first"
    assert begin_at(axis(5, 8, turns_at_centre=True)) == "centre"
    assert begin_at(axis(5, 8, pressing=Pressing.BACK, turns_at_centre=True)) == "both"
    assert cross_from(axis(20, 5)) == "first"
    assert cross_from(axis(20, 5, pressing=Pressing.BACK)) == "far"
    assert cross_from(axis(20, 5, pressing=Pressing.OPENED)) == "either"
    assert cross_from(axis(20, 5, turns_at_centre=True)) == "both"


def test_turned_end_for_end_only_what_reads_the_same_matches() -> None:
    opened = across((20, 5), pressing=Pressing.OPENED)
    assert turning_refused(opened) == ""
    assert turn_end_for_end(plain_panel(opened)).cut_width == plain_panel(opened).cut_width
    assert "pressed the other way" in turning_refused(across((20, 5)))
    uneven = Recipe(Direction(tucks=GRADUATED, pressing=Pressing.OPENED))
    assert "another order" in turning_refused(uneven)
    assert turning_refused(Recipe(Direction("box", width=50 * MM, depth=9 * MM))) == ""
    assert turning_refused(None) == ""
    with pytest.raises(PanelError, match="pressed the other way"):
        turn_end_for_end(plain_panel(across((20, 5))))


@pytest.mark.parametrize(
    ("piece", "field"),
    [
        ({"across": 0, "along": MM}, "across"),
        ({"across": MM, "along": 40_000 * MM}, "along"),
        ({"across": MM, "along": MM, "allowance_left": -1}, "allowance_left"),
        ({"across": True, "along": MM}, "across"),
        ({"across": MM, "along": MM, "caught": "maybe"}, "caught"),
        ({"across": MM, "along": 10**6_000}, "along"),
    ],
)
def test_absurd_pieces_are_refused_by_field(piece: dict[str, object], field: str) -> None:
    with pytest.raises(PanelError) as refused:
        PieceSize(**piece)  # type: ignore[arg-type]
    assert refused.value.field == field


def test_absurd_cloth_and_working_are_refused_by_field() -> None:
    for make, field in (
        (lambda: Cloth(shrink_along=Decimal("1")), "shrink_along"),
        (lambda: Cloth(shrink_across=Decimal("NaN")), "shrink_across"),
        (lambda: Cloth(usable_width=0), "usable_width"),
        (lambda: Sizing(check_every=0), "check_every"),
        (lambda: Sizing(wash="twice"), "wash"),
        (lambda: DrawIns(across=Fraction(1, 3)), "across"),
    ):
        with pytest.raises(PanelError) as refused:
            make()
        assert refused.value.field == field


@st.composite
def plans(draw: st.DrawFn) -> PanelPlan:
    take_ups = TakeUps(draw(sampled()), draw(sampled()), across_second=draw(st.none() | sampled()))
    recipe = draw(st.none() | recipes())
    return panel(recipe, draw(pieces()), draw(sizings()), take_ups, draw(cloths()))


@FIXED
@given(plans())
def test_parts_sum_to_wholes(plan: PanelPlan) -> None:
    for side in (plan.across, plan.along):
        parts = side.parts
        ends = parts.allowance_start + parts.allowance_end + parts.margin_start + parts.margin_end
        repeats = parts.repeat_start + parts.repeat_end
        assert side.need == parts.pattern + ends + 2 * parts.squaring + repeats
        taken = sum(row.take_up for row in side.marks())
        assert side.flat == side.length + taken + 2 * side.border + side.drawn_in
        assert side.length >= side.need
        if side.axis:
            assert side.count == side.axis.placed - (len(side.caught) if plan.piece.caught == "drop" else 0)


@FIXED
@given(plans())
def test_a_mirrored_panels_marks_are_the_mirror_image(plan: PanelPlan) -> None:
    mirror = mirrored(plan)
    assert [row.fold for row in mirror.across.marks()] == [row.fold for row in plan.across.marks()]
    assert (mirror.across.near.name, mirror.across.far.name) == ("right", "left")
    extent = plan.across.marked
    lying = on_the_face(mirror).across
    assert (lying.near.name, lying.far.name) == ("left", "right")
    for row, image in zip(plan.across.marks(), reversed(list(lying.marks())), strict=True):
        assert image.number == row.number
        assert image.fold == extent - row.fold
        assert image.stitch_before == extent - row.stitch_after
        assert (image.letter, image.depth) == (row.letter, row.depth)
        assert image.pressing is row.pressing.turned
        assert bool(image.caught) == bool(row.caught)
    assert (mirror.cut_width, mirror.cut_length) == (plan.cut_width, plan.cut_length)
    assert mirror.along is plan.along
    assert mirrored(mirror) == plan
    assert mirror.layers_max == plan.layers_max


@FIXED
@given(directions(), pieces(), sizings())
def test_a_pair_catches_the_same_tucks(direction: Direction, piece: PieceSize, sizing: Sizing) -> None:
    """Planned from the mirrored piece or mirrored afterwards, the same tucks are caught."""
    plan = panel(Recipe(direction), piece, sizing)
    mirror = mirrored(plan)
    assert len(mirror.across.caught) == len(plan.across.caught)
    for caught in mirror.across.caught:
        assert "left" in caught.reason or "right" in caught.reason


@FIXED
@given(tuck_directions(), pieces(), cloths())
def test_joins_hide_in_tucks_and_fit_the_cloth(direction: Direction, piece: PieceSize, cloth: Cloth) -> None:
    plan = panel(Recipe(direction), piece, cloth=cloth)
    if plan.joins is None or plan.joins.refusal:
        return
    assert plan.cloth.usable_width is not None and plan.across.axis is not None
    assert max(plan.joins.widths) <= plan.cloth.usable_width
    assert all(width > 0 for width in plan.joins.widths)
    hidden = {f.number: (f.start, f.fold, f.end) for f in plan.across.axis.folds()}
    for join in plan.joins.joins:
        start, fold, end = hidden[join.number]
        assert start <= join.position - plan.across.border <= end
        assert join.position - plan.across.border != fold


def test_a_piece_no_pleat_can_be_laid_in_is_refused() -> None:
    with pytest.raises(AxisError) as refused:
        panel(Recipe(Direction("inverted", width=50 * MM, depth=40 * MM)), PieceSize(400 * MM, 300 * MM))
    assert refused.value.field == "depth"


def test_the_margin_says_what_it_comes_from() -> None:
    for n, se, both, every in ((60, 100_000, False, None), (60, 300_000, True, None), (60, 90_000, True, 10)):
        asked = {"depth_spread": 400_000, "both": both, "check_every": every}
        whole, parts = sewing_margin(n, se, **asked), margin_parts(n, se, **asked)
        z = 2.58 if both else 2.33
        assert parts.hand == pytest.approx(z * 2 * 400_000 * min(n, every or n) ** 0.5, abs=1)
        assert parts.sample == pytest.approx(z * min(n, every or n) * se, abs=1)
        assert parts.tape == (round(z * 500_000) if every else 0)
        assert abs(parts.total - whole) <= 2
    assert margin_parts(0, 100_000) == (0, 0, 0)


def test_a_tuck_that_is_only_trimmed_away_is_said_to_be_left_out() -> None:
    """Of pieces of any width some have a tuck that lies wholly in what is cut off."""
    recipe = Recipe(across=Direction(tucks=(Tuck(15 * MM, 5 * MM),)))
    told = 0
    for wide in range(200, 260, 3):
        plan = panel(recipe, PieceSize(wide * MM, 200 * MM))
        outside = [str(c.number) for c in plan.across.caught if c.reason.startswith("outside")]
        said = [n.text for n in plan.notes if "trimmed away" in n.text]
        assert bool(said) == bool(outside)
        if outside:
            told += 1
            assert said[0].startswith(f"Tuck{'' if len(outside) == 1 else 's'} {', '.join(outside)} lie")
    assert told
