"""Binding against an independent search of polygons, and blanks, bands and thread by hand-worked figures."""

import random
from decimal import Decimal
from itertools import product
from math import sqrt

import pytest

from projects.calc import bands, binding, blanks, thread

MM, CM, M = 10**6, 10**7, 10**9
Point = tuple[float, float]


def clipped(shape: list[Point], bound: float, sign: int) -> list[Point]:
    """The part of a convex polygon where sign * y >= sign * bound (Sutherland and Hodgman)."""
    kept: list[Point] = []
    for (x0, y0), (x1, y1) in zip(shape, [*shape[1:], *shape[:1]], strict=True):
        inside = sign * (y0 - bound) >= -1e-9
        if inside:
            kept.append((x0, y0))
        if inside != (sign * (y1 - bound) >= -1e-9):
            share = (bound - y0) / (y1 - y0)
            kept.append((x0 + share * (x1 - x0), bound))
    return kept


def extent(shape: list[Point], level: float) -> tuple[float, float] | None:
    found = [x for x, y in shape if abs(y - level) < 1e-6]
    return (min(found), max(found)) if found else None


def longest(shape: list[Point], low: float, strip: float) -> float:
    """The longest strip of full width inside a polygon whose ends lie on the grain, at 45 degrees either way;
    measured along its middle. Below 0: none."""
    under, over = extent(shape, low), extent(shape, low + strip)
    if under is None or over is None:
        return -1.0
    best = -1.0
    for left, right in product((-strip, strip), repeat=2):
        first = max(under[0], over[0] - left)
        last = min(under[1], over[1] - right)
        ends_inside = first <= under[1] + 1e-9 and first + left <= over[1] + 1e-9
        if ends_inside and last >= first - 1e-9 and last + right >= first + left - 1e-9:
            best = max(best, last + right / 2 - first - left / 2)
    return best


def searched(wide: float, high: float, strip: float) -> list[float]:
    """Cut a rectangle turned by 45 degrees level by level; the first cut goes through a corner."""
    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    turned = [((x + y) / sqrt(2), (y - x) / sqrt(2)) for x, y in corners]
    found = []
    reach = int((wide + high) / strip) + 2
    for step in range(-reach, reach):
        low = step * strip
        piece = clipped(clipped(turned, low, 1), low + strip, -1) if turned else []
        if len(piece) > 2:
            length = longest(piece, low, strip)
            if length > 0:
                found.append(length)
    return found


def test_strips_agree_with_a_search_of_polygons() -> None:
    drawn = random.Random(45)
    for _ in range(200):
        wide, high = drawn.randint(120, 3_000), drawn.randint(120, 1_600)
        strip = drawn.choice((18, 24, 32, 35, 40, 57.15, 88.9))
        wide, high = max(wide, high), min(wide, high)
        found = binding.bias_strips(wide * MM, high * MM, round(strip * MM))
        said = sorted(searched(wide, high, strip))
        assert len(found.lengths) == len(said), (wide, high, strip)
        assert sum(found.lengths) / MM == pytest.approx(sum(said), abs=0.1)
        for one, other in zip(sorted(found.lengths), said, strict=True):
            assert one / MM == pytest.approx(other, abs=0.1)


def test_no_blank_gives_more_than_its_area_and_sides_may_be_swapped() -> None:
    drawn = random.Random(7)
    for _ in range(50):
        wide, high = drawn.randint(200, 2_000) * MM, drawn.randint(200, 2_000) * MM
        ways = {"allowance": 6 * MM, "least": 200 * MM}
        found = binding.bias_strips(wide, high, 32 * MM, **ways)
        assert found.gives < binding.area_bound(wide, high, 32 * MM)
        assert sorted(binding.bias_strips(high, wide, 32 * MM, **ways).lengths) == sorted(found.lengths)


def test_widths_by_hand() -> None:
    assert binding.single_width(8 * MM, MM, 500_000) == 32_900_000
    assert binding.double_width(8 * MM, MM, 500_000) == 48 * MM + 1_200_000 + 1_500_000
    assert binding.band_width(20 * MM, 10 * MM) == 60 * MM
    assert binding.facing_width(40 * MM, 15 * MM) == 61 * MM


def test_length_for_an_edge() -> None:
    assert binding.edge_strip(M, closed=False, allowance=6 * MM) == M + 30 * MM
    assert binding.edge_strip(M, closed=True, allowance=6 * MM) == M + binding.join_loss(6 * MM)
    assert binding.edge_strip(M, closed=True, allowance=6 * MM, on_the_bias=False) == M + 12 * MM


def test_the_smallest_blank_serves_and_no_smaller_one_does() -> None:
    asked = blanks.Asked(5 * M, 32 * MM, 6 * MM, 200 * MM)
    made = blanks.bias_blank(asked, 400 * MM)
    assert made.strips.gives >= 5 * M and made.width <= 400 * MM
    area = made.width * made.length
    for wide in range(10, 410, 10):
        for long in range(10, 2_000, 10):
            if wide * long * MM * MM < area:
                assert asked.cut(wide * MM, long * MM).gives < 5 * M, (wide, long)


def test_much_binding_takes_the_whole_width() -> None:
    made = blanks.bias_blank(blanks.Asked(300 * M, 32 * MM, 6 * MM, 200 * MM), 1_400 * MM)
    assert made.width == 1_400 * MM and made.strips.gives >= 300 * M


def test_straight_strips_lose_two_allowances_a_join() -> None:
    made = blanks.straight_blank(blanks.Asked(3 * M, 40 * MM, 6 * MM), 1_400 * MM)
    assert (made.width, made.length, made.strips.gives) == (1_400 * MM, 120 * MM, 4_200 * MM - 24 * MM)


def test_nothing_to_bind_or_cloth_too_narrow_is_refused() -> None:
    with pytest.raises(binding.BindingError):
        blanks.bias_blank(blanks.Asked(0, 32 * MM), M)
    with pytest.raises(binding.BindingError, match="wider cloth"):
        blanks.bias_blank(blanks.Asked(M, 32 * MM, 6 * MM, 200 * MM), 100 * MM)
    with pytest.raises(binding.BindingError, match="at most 5000"):
        binding.bias_strips(10 * M, 10 * M, 1_000)


def test_bands_and_loops() -> None:
    assert bands.band(400 * MM, Decimal("0.125"), 10 * MM) == 370 * MM
    assert bands.visible_ball_loop(10 * MM, 0) == 31_415_927
    assert bands.loop_length(26 * MM, 2 * MM, 10 * MM) == 48 * MM
    with pytest.raises(bands.BandError):
        bands.band(400 * MM, Decimal("0.6"), 0)


def test_thread_and_spools() -> None:
    assert thread.thread(10 * M, 0, "304") == 63_250 * MM
    assert thread.spools(100 * M + 1, 100 * M) == 2 and thread.spools(0, 100 * M) == 0
    with pytest.raises(thread.ThreadError, match="999"):
        thread.thread(M, 1, "999")
