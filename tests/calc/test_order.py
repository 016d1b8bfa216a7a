"""The order of sewing two directions, against seam lengths added up one by one."""

from __future__ import annotations

import doctest

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc import order
from projects.calc.lengths import NM_PER_MM
from projects.calc.order import sewing_order, sewn_difference

MM = NM_PER_MM
take_ups = st.lists(st.integers(min_value=1, max_value=80 * MM), min_size=1, max_size=30)


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(order) == (0, 1)


def test_worked_example() -> None:
    """n1 10, mean q1 20 mm, n2 6, mean q2 14 mm: -360 mm. Source: n1 n2 (mean q2 - mean q1)."""
    assert sewn_difference(10, 10 * 20 * MM, 6, 6 * 14 * MM) == -360 * MM
    advice = sewing_order(10, 10 * 20 * MM, 6, 6 * 14 * MM)
    assert (advice.first, advice.saves) == ("across", 360 * MM)
    assert "across takes up more" in advice.why


def sewn(first: list[int], second: list[int], first_extent: int, second_extent: int) -> int:
    """Every seam one by one: the first direction's run over flat cloth, the second's over taken-in cloth."""
    total = sum(second_extent for _ in first)
    taken_in = first_extent - sum(first)
    return total + sum(taken_in for _ in second)


@given(across=take_ups, along=take_ups, spare=st.integers(min_value=1, max_value=3_000 * MM))
@settings(derandomize=True, max_examples=300, deadline=None)
def test_agrees_with_seams_added_up(across: list[int], along: list[int], spare: int) -> None:
    width, length = sum(across) + spare, sum(along) + 2 * spare
    across_first = sewn(across, along, width, length)
    along_first = sewn(along, across, length, width)
    assert sewn_difference(len(across), sum(across), len(along), sum(along)) == across_first - along_first
    advice = sewing_order(len(across), sum(across), len(along), sum(along))
    assert advice.saves == abs(across_first - along_first)
    best = {"across": across_first, "along": along_first}.get(advice.first, across_first)
    assert best == min(across_first, along_first)


@given(across=take_ups)
@settings(derandomize=True, max_examples=50, deadline=None)
def test_equal_recipes_make_no_difference(across: list[int]) -> None:
    advice = sewing_order(len(across), sum(across), len(across), sum(across))
    assert (advice.first, advice.saves) == ("either", 0)
    assert "no difference" in advice.why


def test_one_direction_leaves_no_choice() -> None:
    assert sewing_order(12, 96 * MM, 0, 0).first == "across"
    assert sewing_order(0, 0, 12, 96 * MM).first == "along"
    assert sewing_order(0, 0, 0, 0).first == "either"
