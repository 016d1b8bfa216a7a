"""Ruffles, puffs, flounces, cap ease against figures worked by hand; circles against laying them out."""

from __future__ import annotations

from fractions import Fraction
from math import hypot, pi, sqrt

import pytest
from hypothesis import given

from projects.calc.cap_ease import EaseError, cap_ease
from projects.calc.lattice import whole_squares
from projects.calc.rounds import RoundError, circles_on, flounce, puff_circle
from projects.calc.ruffle import RuffleError, ruffle
from tests.strategies import FIXED, MM, lengths


def test_a_ruffle_of_three_strips() -> None:
    """1.5 m of edge, twice as full: 3 m; cloth 1.4 m less 2 x 10 mm: 3 strips, 2 joins; in a ring 3."""
    found = ruffle(1_500 * MM, Fraction(2), 1_400 * MM, 10 * MM)
    assert (found.flat, found.strips, found.joins) == (3_000 * MM, 3, 2)
    assert ruffle(1_500 * MM, Fraction(2), 1_400 * MM, 10 * MM, closed=True).joins == 3
    assert ruffle(690 * MM, Fraction(2), 1_400 * MM, 10 * MM).strips == 1


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ((0, Fraction(2), 1_400 * MM), "edge"),
        ((1_500 * MM, Fraction(1, 2), 1_400 * MM), "fullness"),
        ((1_500 * MM, Fraction(2), 20 * MM, 10 * MM), "usable_width"),
    ],
)
def test_a_ruffle_that_can_not_be_cut(arguments: tuple[int, Fraction, int], field: str) -> None:
    with pytest.raises(RuffleError) as refused:
        ruffle(*arguments)
    assert refused.value.field == field


@FIXED
@given(lengths(MM, 10_000 * MM), lengths(100, 400), lengths(200 * MM, 2_000 * MM), lengths(0, 30 * MM))
def test_strips_are_enough_and_one_fewer_is_not(edge: int, full: int, width: int, allowance: int) -> None:
    found = ruffle(edge, Fraction(full, 100), width, allowance)
    room = width - 2 * allowance
    assert (found.strips - 1) * room < found.flat <= found.strips * room
    assert 0 <= found.flat - edge * Fraction(full, 100) < 1


def laid_out(width: int, length: int, circle: int, *, close: bool) -> int:
    """Circles put down one by one, rows as near as they may lie, and counted; no two overlap."""
    r, centres = circle / 2, []
    apart, number, y = circle * (sqrt(3) / 2 if close else 1), 0, circle / 2
    while y + r <= length + 1e-9:
        x = r + (r if close and number % 2 else 0)
        while x + r <= width + 1e-9:
            centres.append((x, y))
            x += circle
        number, y = number + 1, y + apart
    far = [hypot(a - c, b - d) for i, (a, b) in enumerate(centres) for c, d in centres[i + 1 :]]
    assert not far or min(far) >= circle - 1e-6
    return len(centres)


@FIXED
@given(lengths(1, 300), lengths(1, 300), lengths(30, 120))
def test_circles_are_counted_as_they_are_laid_out(width: int, length: int, circle: int) -> None:
    found = circles_on(width * MM, length * MM, circle * MM)
    straight = laid_out(width, length, circle, close=False)
    close = laid_out(width, length, circle, close=True)
    assert found.count == max(straight, close)
    assert found.hexagonal == (close > straight)


def test_puffs_are_laid_close_only_where_that_holds_more() -> None:
    """140 mm circles: a square of 10 by 10 holds 100; rows 121.2 mm apart hold 11 rows of 10 and 9."""
    circle = puff_circle(60 * MM, 10 * MM)
    found = circles_on(1_400 * MM, 1_400 * MM, circle)
    assert (found.count, found.rows, found.hexagonal) == (105, 11, True)
    assert not circles_on(280 * MM, 280 * MM, circle).hexagonal
    with pytest.raises(RoundError):
        circles_on(MM, MM, 0)


def test_a_half_ring_with_its_allowances() -> None:
    """Edge 600 mm, half a circle: r = 600 / pi = 190.986 mm; inner 180.986, outer 190.986 + 150 + 15."""
    found = flounce(600 * MM, 150 * MM, share=Fraction(1, 2), allowance=10 * MM, hem=15 * MM)
    assert abs(found.radius - 600 * MM / pi) < 1
    assert (found.radius - found.inner, found.outer - found.radius) == (10 * MM, 165 * MM)
    assert abs(found.outer_edge - pi * (found.radius + 150 * MM)) < 2
    assert found.pieces == 1


def test_each_join_adds_two_allowances_to_the_edge() -> None:
    joined = flounce(600 * MM, 100 * MM, share=Fraction(2), allowance=10 * MM, joins=2)
    assert joined.radius == flounce(640 * MM, 100 * MM, share=Fraction(2), allowance=10 * MM).radius
    assert joined.pieces == 2


def test_a_flounce_that_can_not_be_cut_says_what_would_fit() -> None:
    with pytest.raises(RoundError) as refused:
        flounce(600 * MM, 500 * MM, usable_width=1_000 * MM, hem=10 * MM)
    assert refused.value.field == "depth"
    fits = flounce(600 * MM, 394 * MM, usable_width=1_000 * MM, hem=10 * MM)
    assert 2 * fits.outer <= 1_000 * MM
    for values, field in (
        ({"edge": 0, "depth": 1}, "edge"),
        ({"edge": 1, "depth": 0}, "depth"),
        ({"edge": MM, "depth": MM, "share": Fraction(0)}, "share"),
        ({"edge": 60 * MM, "depth": MM, "allowance": 10 * MM}, "share"),
    ):
        with pytest.raises(RoundError) as wrong:
            flounce(**values)  # type: ignore[arg-type]
        assert wrong.value.field == field


def test_cap_ease_is_told_notch_by_notch() -> None:
    found = cap_ease([120, 150, 90], [118, 130, 90])
    assert (found.ease, found.sections) == (22, (2, 20, 0))
    assert cap_ease([100], [103]).ease == -3
    for cap, armhole in (([1, 2], [3]), ([], []), ([0], [1])):
        with pytest.raises(EaseError):
            cap_ease(cap, armhole)


def test_one_square_more_where_the_nearest_falls_short() -> None:
    """Squares of 50 mm drawn to 30 mm each: 134 mm wants 4.47, 4 give 120, 14 short."""
    ratio = Fraction(50, 30)
    assert whole_squares(134 * MM, ratio, 50 * MM, 10 * MM).count == 5
    assert whole_squares(134 * MM, ratio, 50 * MM, 15 * MM).count == 4
    assert whole_squares(MM, ratio, 50 * MM, 0).count == 1


@FIXED
@given(lengths(MM, 3_000 * MM), lengths(100, 600), lengths(3 * MM, 90 * MM), lengths(0, 20 * MM))
def test_whole_squares_are_near_enough(finished: int, hundredths: int, square: int, squaring: int) -> None:
    ratio = Fraction(hundredths, 100)
    found = whole_squares(finished, ratio, square, squaring)
    one = square / ratio
    assert found.flat == found.count * square
    assert finished - found.finished <= squaring
    assert found.finished - finished <= one
