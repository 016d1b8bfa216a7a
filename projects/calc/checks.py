"""Check measures of a run: after which tucks to measure, what both readings should be, what is near enough.

After a tuck two readings: from the edge where sewing began to its seam, on the face, and from the seam to
the far raw edge lying flat. Together they are the flat extent less what is taken in so far. Sewn from the
middle outwards, the first reading is from the first seam sewn, and they are that half of it. Lengths nm.
"""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from math import isqrt
from typing import Final, NamedTuple

from projects.calc.axis import Axis
from projects.calc.marks import begin_at
from projects.calc.order_of_work import Span, spans

LEFT_AFTER: Final = 3
"""Tucks left to correct on after the last check, where the run is long enough; a starting value."""
NEAREST: Final = 1_000_000
_Z: Final = 328
"""2 x 1.64 x 100."""


class Check(NamedTuple):
    """One check: after which tuck, from the far edge or the first, both readings, near enough for both, and
    the number of the tuck whose seam the first reading is from, None where from the edge."""

    number: int
    from_far: bool
    to_seam: int
    to_edge: int
    near_enough: int
    from_seam: int | None = None


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


def checked_after(axis: Axis, every: int | None) -> tuple[int, ...]:
    """After how many tucks of the whole direction, in the order of sewing, to measure.

    Where every other tuck is sewn first the panel is one run; else each stretch is one.
    """
    if begin_at(axis) == "alternate":
        return check_places(axis.count, every)
    found: list[int] = []
    before = 0
    for span in spans(axis):
        found += (before + place for place in check_places(len(span.places), every))
        before += len(span.places)
    return tuple(found)


def how_many(axis: Axis, every: int | None) -> int:
    """The number of check measures `checks_of` gives, without working them out."""
    return len(checked_after(axis, every))


def checks_of(axis: Axis, every: int | None, depth_spread: int, border: int = 0) -> tuple[Check, ...]:
    """Every check measure of one direction, in the order of sewing; `border` is the handling border, nm.

    What is near enough counts the tucks sewn since the last check; where a stretch is measured from a seam,
    those of its own alone, since what lies beyond that seam is not in its readings.
    """
    asked = set(checked_after(axis, every))
    found: list[Check] = []
    sewn: list[int] = []
    last = 0
    for span in spans(axis):
        last = len(sewn) if span.origin is not None else last
        for place in span.places:
            sewn.append(place)
            if len(sewn) in asked:
                near = near_enough(len(sewn) - last, depth_spread)
                found.append(_check(axis, sewn, place, span, border, near))
                last = len(sewn)
    return tuple(found)


def _check(axis: Axis, sewn: list[int], place: int, span: Span, border: int, near: int) -> Check:
    found = readings(axis, sewn, place, from_far=span.from_far, origin=span.origin, border=border)
    seam = None if span.origin is None or span.origin == place else axis.numbers[span.origin]
    return Check(axis.numbers[place], span.from_far, *found, near, seam)


def readings(
    axis: Axis,
    sewn: Collection[int],
    place: int,
    *,
    from_far: bool = False,
    origin: int | None = None,
    border: int = 0,
) -> tuple[int, int]:
    """What both readings at the seam of `place` should be with any set of tucks sewn, its own among them, nm.

    From the edge the sewing goes away from (`from_far`: the far one) to the seam, and from the seam to the
    raw edge it goes towards. With an `origin` the first is from that seam instead, lying on the side the
    sewing comes from; the origin itself is measured from the edge.
    """
    here = _lies_at(axis, sewn, place, border)
    whole = axis.flat + 2 * border - sum(axis.take_ups[i] for i in sewn)
    far = here if from_far else whole - here
    if origin is None or origin == place:
        return whole - far, far
    return abs(here - _lies_at(axis, sewn, origin, border)), far


def _lies_at(axis: Axis, sewn: Collection[int], place: int, border: int) -> int:
    """Where a tuck's cloth begins on the panel as it lies now, from the first raw edge, nm; a sewn one's
    seam."""
    return border + axis.starts[place] - sum(axis.take_ups[i] for i in sewn if i < place)
