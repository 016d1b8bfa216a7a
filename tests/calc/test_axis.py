"""The axis against published and derived figures, and against what must hold of any strip of cloth."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.axis import (
    AxisError,
    GapNote,
    Pressing,
    Tuck,
    count_within,
    gap_notes,
    place,
    place_at,
    place_in_flat,
    repeat_flat,
    repeat_of,
    take_up_of,
    visible_gaps,
    widest_gap_phase,
)
from tests.strategies import FIXED, MM, extras, lengths, placings, tuck_rows

GRADUATED = tuple(Tuck(s * MM, d * MM) for s, d in ((18, 4), (12, 7), (12, 10), (12, 7)))


def millimetres(lengths_nm: tuple[int, ...]) -> list[float]:
    return [nm / MM for nm in lengths_nm]


def test_four_eighth_inch_tucks_need_one_inch() -> None:
    """Home sewing text: 4 tucks of 1/8 in need 1 in."""
    eighth = 25_400_000 // 8
    axis = place([Tuck(20 * MM, eighth)], length=80 * MM, phase=0)
    assert axis.count == 4
    assert axis.take_up == 25_400_000


def test_repeat_of_four_depths() -> None:
    """Arithmetic: seams 18, 12, 12, 12 mm apart, depths 4, 7, 10, 7 mm, three repeats."""
    assert repeat_of(GRADUATED) == 54 * MM
    assert repeat_flat(GRADUATED) == 110 * MM
    assert place(GRADUATED, length=3 * 54 * MM).take_up == 168 * MM


def test_graduated_take_up_is_the_sum_of_a_series() -> None:
    """2 (n d + s n (n - 1) / 2) = 144 mm for nine depths from 4 mm by 1 mm."""
    tucks = [Tuck(15 * MM, (4 + i) * MM) for i in range(9)]
    assert place(tucks, length=repeat_of(tucks), phase=0).take_up == 144 * MM


def test_seams_of_one_repeat_reach_the_far_edge() -> None:
    """Definition: a seam on the far edge counts, 0 < x <= L."""
    axis = place(GRADUATED, length=54 * MM, extra=0, phase=0)
    assert axis.flat == 110 * MM
    assert millimetres(axis.seams) == [18, 30, 42, 54]


def test_visible_gaps_by_pressing() -> None:
    """Definition; gaps after tucks 1 to 4, the last before the next repeat."""
    assert millimetres(visible_gaps(GRADUATED, Pressing.ON)) == [8, 5, 2, 11]
    assert millimetres(visible_gaps(GRADUATED, Pressing.BACK)) == [5, 2, 5, 14]
    assert millimetres(visible_gaps(GRADUATED, Pressing.OPENED)) == [6.5, 3.5, 3.5, 12.5]


def test_narrow_gaps_are_told_apart() -> None:
    tucks = [Tuck(10 * MM, 4 * MM), Tuck(6 * MM, 8 * MM), Tuck(8 * MM, 9 * MM), Tuck(7 * MM, 8 * MM)]
    assert gap_notes(tucks, Pressing.ON) == (
        GapNote(1, 2 * MM, "tight"),
        GapNote(2, 0, "blind"),
        GapNote(3, -2 * MM, "overlapping"),
        GapNote(4, 2 * MM, "tight"),
    )
    assert gap_notes([Tuck(10 * MM, 7 * MM)], Pressing.ON) == ()


def test_a_panel_starts_in_the_middle_of_the_widest_gap() -> None:
    """After tuck 4 (seam 54, flap to 61) cloth shows up to 72: its middle is 66.5, that is 12.5 mm."""
    assert widest_gap_phase(GRADUATED, Pressing.ON) == 12_500_000
    assert place(GRADUATED, length=100 * MM).seams[0] == 5_500_000


def test_marks_leave_out_what_the_cloth_adds() -> None:
    axis = place([Tuck(20 * MM, 5 * MM)], length=40 * MM, extra=600_000, phase=0)
    first, second = axis.folds()
    assert (first.start, first.end, first.fold) == (20 * MM, 30_600_000, 25_300_000)
    assert (first.stitch_before, first.stitch_after) == (20_300_000, 30_300_000)
    assert (second.space, second.number) == (20 * MM, 2)


def test_pressing_turns_once_and_the_tuck_on_the_line_is_opened() -> None:
    axis = place([Tuck(10 * MM, 4 * MM)], length=60 * MM, phase=0, turns_at_centre=True, centre=30 * MM)
    on, opened, back = Pressing.ON, Pressing.OPENED, Pressing.BACK
    assert axis.pressings == (on, on, opened, back, back, back)
    assert axis.covers()[2] == (28 * MM, 32 * MM)


def test_turned_apart_keeps_the_space_and_turned_together_loses_both_depths() -> None:
    tucks = [Tuck(10 * MM, 4 * MM)]
    together = place(tucks, length=40 * MM, phase=0, turns_at_centre=True, centre=25 * MM)
    apart = place(
        tucks, length=40 * MM, phase=0, pressing=Pressing.BACK, turns_at_centre=True, centre=25 * MM
    )
    assert millimetres(together.gaps()) == [6, 2, 6]
    assert millimetres(apart.gaps()) == [6, 10, 6]


def test_dropped_tucks_give_their_cloth_back_and_the_rest_stay() -> None:
    axis = place(GRADUATED, length=108 * MM, phase=0)
    fewer = axis.without([0, 7])
    assert fewer.flat == axis.flat - 8 * MM - 14 * MM
    assert fewer.seams == axis.seams[1:-1]
    assert fewer.numbers == (2, 3, 4, 5, 6, 7)
    assert fewer.mirrored().numbers == fewer.numbers[::-1]
    assert axis.without([]) is axis


def test_a_cut_panel_leaves_out_a_tuck_that_does_not_fit() -> None:
    tucks = [Tuck(10 * MM, 5 * MM)]
    assert place_in_flat(tucks, flat=40 * MM, phase=0).count == 2
    short = place_in_flat(tucks, flat=39_999_999, phase=0)
    assert (short.count, short.flat, short.length) == (1, 39_999_999, 29_999_999)


def test_two_pleats_may_share_a_seam() -> None:
    axis = place_at([20, 20], [6, 6], [12, 12], ["A", "A"], length=40, pressings=[Pressing.BACK, Pressing.ON])
    assert axis.covers() == ((14, 20), (20, 26))
    assert [axis.to_finished(y) for y in (19, 20, 32, 44, 45)] == [19, 20, 20, 20, 21]
    assert axis.layers_at(19) == axis.layers_at(20) == 3


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ({"tucks": [], "length": 10}, "tucks"),
        ({"tucks": [Tuck(1, 1)], "length": 0}, "length"),
        ({"tucks": [Tuck(5, 1), Tuck(0, 1)], "length": 10}, "tucks.1.space"),
    ],
)
def test_what_cannot_be_folded_is_refused_by_field(arguments: dict[str, object], field: str) -> None:
    with pytest.raises(AxisError) as refused:
        place(**arguments)  # type: ignore[arg-type]
    assert refused.value.field == field
    assert refused.value.remedy in str(refused.value)


def test_seams_out_of_order_or_outside_are_refused() -> None:
    with pytest.raises(AxisError, match="out of order"):
        place_at([5, 3], [1, 1], [2, 2], ["", ""], length=10)
    with pytest.raises(AxisError, match="within"):
        place_at([11], [1], [2], [""], length=10)


@FIXED
@given(placings(), st.lists(lengths(0, 600 * MM), min_size=2, max_size=8))
def test_the_map_to_flat_rises(arguments: dict[str, object], places: list[int]) -> None:
    axis = place(**arguments)  # type: ignore[arg-type]
    inside = sorted({x for x in places if x <= axis.length} | {0, axis.length, *axis.seams})
    assert all(axis.to_flat(x) < axis.to_flat(y) for x, y in pairwise(inside))
    assert axis.to_flat(axis.length) == axis.flat


@FIXED
@given(placings(), lengths(0, 600 * MM))
def test_the_inverse_of_the_map_is_the_identity(arguments: dict[str, object], anywhere: int) -> None:
    axis = place(**arguments)  # type: ignore[arg-type]
    for x in (min(anywhere, axis.length), 0, axis.length, *axis.seams):
        assert axis.to_finished(axis.to_flat(x)) == x
    for fold in axis.folds():
        assert {axis.to_finished(y) for y in (fold.start, fold.fold, fold.end)} == {fold.seam}


@FIXED
@given(tuck_rows(), extras(), lengths(0, 10**9), lengths(1, 5))
def test_a_repeat_takes_the_same_cloth_at_every_phase(
    tucks: tuple[Tuck, ...], extra: int, phase: int, repeats: int
) -> None:
    repeat = repeat_of(tucks)
    axis = place(tucks, length=repeat * repeats, extra=extra, phase=phase)
    assert axis.flat == repeats * repeat_flat(tucks, extra)
    assert axis.count == repeats * len(tucks)


@FIXED
@given(placings())
def test_parts_sum_to_wholes(arguments: dict[str, object]) -> None:
    axis = place(**arguments)  # type: ignore[arg-type]
    assert sum(axis.spaces()) == (axis.seams[-1] if axis.seams else 0)
    assert axis.flat == axis.length + sum(fold.take_up for fold in axis.folds())
    assert all(fold.take_up % 2 == 0 for fold in axis.folds())
    assert all(0 < x <= axis.length for x in axis.seams)


@FIXED
@given(placings())
def test_a_mirror_shows_the_mirror_image(arguments: dict[str, object]) -> None:
    axis = place(**arguments)  # type: ignore[arg-type]
    mirror = axis.mirrored()
    assert mirror.flat == axis.flat
    for fold, image in zip(axis.folds(), reversed(list(mirror.folds())), strict=True):
        assert image.fold == axis.flat - fold.fold
        assert (image.stitch_before, image.stitch_after) == (
            axis.flat - fold.stitch_after,
            axis.flat - fold.stitch_before,
        )
        assert (image.cover_start, image.cover_end) == (
            axis.length - fold.cover_end,
            axis.length - fold.cover_start,
        )
        assert image.pressing is fold.pressing.turned
        assert image.number == fold.number
    assert mirror.layers_max == axis.layers_max
    assert mirror.mirrored() == axis


@FIXED
@given(placings(), st.data())
def test_the_most_layers_are_found_anywhere(arguments: dict[str, object], data: st.DataObject) -> None:
    axis = place(**arguments)  # type: ignore[arg-type]
    start = data.draw(lengths(0, axis.length - 1))
    end = data.draw(lengths(start + 1, axis.length))
    looked_at = [start, *(x for x in axis.cover_starts if start <= x < end)]
    assert axis.layers_within(start, end) == max(map(axis.layers_at, looked_at))
    assert axis.layers_at(-1) == axis.layers_at(axis.length) == 0


@FIXED
@given(tuck_rows(), lengths(1, 600 * MM), lengths(0, 10**9))
def test_seams_are_counted_without_placing_them(tucks: tuple[Tuck, ...], length: int, phase: int) -> None:
    phase %= repeat_of(tucks)
    assert count_within(tucks, length, phase) == place(tucks, length=length, phase=phase).count


@FIXED
@given(tuck_rows(), lengths(1, 600 * MM), extras())
def test_a_cut_panel_uses_all_its_cloth(tucks: tuple[Tuck, ...], flat: int, extra: int) -> None:
    axis = place_in_flat(tucks, flat=flat, extra=extra)
    assert axis.flat == flat
    assert all(fold.end <= flat for fold in axis.folds())


def test_a_take_up_is_never_below_nothing() -> None:
    assert take_up_of(200_000, -500_000) == 0
    assert take_up_of(200_000, -301) == 400_000 - 300
