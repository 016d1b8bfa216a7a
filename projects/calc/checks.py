"""Check measures of a run: after which tucks to measure, what both readings should be, what is near enough.

After a tuck two readings: from the edge where sewing began to its seam, on the face, and from the seam to
the far raw edge lying flat. Together they are the flat extent less what is taken in so far. Lengths nm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isqrt
from typing import Final

from projects.calc.axis import Axis
from projects.calc.marks import begin_at

LEFT_AFTER: Final = 3
"""Tucks left to correct on after the last check, where the run is long enough; a starting value."""
NEAREST: Final = 1_000_000
_Z: Final = 328
"""2 x 1.64 x 100."""


@dataclass(frozen=True, slots=True)
class Check:
    """One check: after which tuck, from the far edge or the first, both readings, near enough for both."""

    number: int
    from_far: bool
    to_seam: int
    to_edge: int
    near_enough: int


def check_places(tucks: int, every: int | None) -> tuple[int, ...]:
    """After how many tucks to measure: about every `every`, evenly, the last a few before the end.

    >>> check_places(36, 10)
    (8, 17, 25, 33)
    """
    last = tucks - LEFT_AFTER
    if every is None or last < 1:
        return ()
    checks = -(-last // every)
    return tuple((2 * i * last + checks) // (2 * checks) for i in range(1, checks + 1))


def near_enough(tucks: int, depth_spread: int) -> int:
    """max(1 mm, 1.64 x 2 s sqrt(tucks since the last check)), rounded down to a whole nm."""
    return max(NEAREST, isqrt(_Z * _Z * depth_spread * depth_spread * tucks) // 100)


def runs_of(axis: Axis) -> tuple[tuple[int, int, bool], ...]:
    """The order of sewing as stretches of tucks [low, high), each from the first edge or (True) from the far.

    Overlapping tucks that turn at the centre are sewn in two stretches.
    """
    begin, count = begin_at(axis), axis.count
    if begin in ("first", "far") or not count:
        return ((0, count, begin == "far"),)
    turn = next((i for i in range(1, count) if axis.pressings[i] is not axis.pressings[0]), count)
    if begin == "both":
        return (0, turn, False), (turn, count, True)
    return (0, turn, True), (turn, count, False)


def checks_of(axis: Axis, every: int | None, depth_spread: int, border: int = 0) -> tuple[Check, ...]:
    """Every check measure of one direction, in the order of sewing; `border` is the handling border, nm."""
    sewn: list[tuple[int, int]] = []
    found: list[Check] = []
    for low, high, from_far in runs_of(axis):
        found += _checks_of_run(axis, low, high, from_far, every, depth_spread, border, sewn)
        sewn.append((low, high))
    return tuple(found)


def _checks_of_run(
    axis: Axis,
    low: int,
    high: int,
    from_far: bool,
    every: int | None,
    depth_spread: int,
    border: int,
    sewn: list[tuple[int, int]],
) -> Iterator[Check]:
    before = 0
    for place in check_places(high - low, every):
        index = high - place if from_far else low + place - 1
        here = (index, high) if from_far else (low, index + 1)
        first, far = _readings(axis, index, [*sewn, here], border)
        near = near_enough(place - before, depth_spread)
        readings = (far, first) if from_far else (first, far)
        yield Check(axis.numbers[index], from_far, *readings, near)
        before = place


def _readings(axis: Axis, index: int, sewn: list[tuple[int, int]], border: int) -> tuple[int, int]:
    """From the first and the far raw edge to the seam of a tuck just sewn, all of `sewn` taken in."""
    swallowed = axis.swallowed
    before = sum(swallowed[max(low, min(high, index))] - swallowed[low] for low, high in sewn)
    taken = sum(swallowed[high] - swallowed[low] for low, high in sewn)
    first = border + axis.starts[index] - before
    return first, axis.flat + 2 * border - taken - first
