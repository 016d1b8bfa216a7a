"""Check measures of a run: after which tucks to measure, what both readings should be, what is near enough.

After a tuck two readings: from the edge where sewing began to its seam, on the face, and from the seam to
the far raw edge lying flat. Together they are the flat extent less what is taken in so far. Lengths nm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import isqrt
from typing import Final, NamedTuple

from projects.calc.axis import Axis
from projects.calc.marks import begin_at

LEFT_AFTER: Final = 3
"""Tucks left to correct on after the last check, where the run is long enough; a starting value."""
NEAREST: Final = 1_000_000
_Z: Final = 328
"""2 x 1.64 x 100."""


class Check(NamedTuple):
    """One check: after which tuck, from the far edge or the first, both readings, near enough for both."""

    number: int
    from_far: bool
    to_seam: int
    to_edge: int
    near_enough: int


@lru_cache(maxsize=1_024)
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


@lru_cache(maxsize=1_024)
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


def how_many(axis: Axis, every: int | None) -> int:
    """The number of check measures `checks_of` gives, without working them out."""
    return sum(len(check_places(high - low, every)) for low, high, _ in runs_of(axis))


def checks_of(axis: Axis, every: int | None, depth_spread: int, border: int = 0) -> tuple[Check, ...]:
    """Every check measure of one direction, in the order of sewing; `border` is the handling border, nm."""
    found: list[Check] = []
    below = taken = 0
    for low, high, from_far in runs_of(axis):
        run = _Run(axis, low, high, from_far, border, below, taken)
        found += run.checks(every, depth_spread)
        taken += axis.swallowed[high] - axis.swallowed[low]
        below = taken if low == 0 else 0
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Run:
    """A stretch of tucks sewn one after the other. `taken` was taken in before it, `below` of that before
    its first tuck (nm)."""

    axis: Axis
    low: int
    high: int
    from_far: bool
    border: int
    below: int
    taken: int

    def checks(self, every: int | None, depth_spread: int) -> Iterator[Check]:
        axis, before = self.axis, 0
        lying = axis.flat + 2 * self.border - self.taken
        for place in check_places(self.high - self.low, every):
            index = self.high - place if self.from_far else self.low + place - 1
            first, sewn = self._first_reading(index)
            far = lying - sewn - first
            near = near_enough(place - before, depth_spread)
            readings = (far, first) if self.from_far else (first, far)
            yield Check(axis.numbers[index], self.from_far, *readings, near)
            before = place

    def _first_reading(self, index: int) -> tuple[int, int]:
        """From the first raw edge to the seam of a tuck just sewn, and what this run has taken in so far."""
        axis, swallowed = self.axis, self.axis.swallowed
        start = self.border + axis.seams[index] + swallowed[index] - self.below
        if self.from_far:
            return start, swallowed[self.high] - swallowed[index]
        return start - (swallowed[index] - swallowed[self.low]), swallowed[index + 1] - swallowed[self.low]
