"""In what order the tucks of one direction are sewn: as stretches, each begun at an edge or at a seam."""

from __future__ import annotations

from typing import NamedTuple

from projects.calc.columns import Axis
from projects.calc.folds import Pressing
from projects.calc.marks import WISHES, begin_at


class Stretch(NamedTuple):
    """Tucks sewn one after the other: their places (from 0, counted from the first edge) in the order of
    sewing, and whether they are sewn towards the first edge. `origin` is the place of the seam they are
    measured from; None: from the edge they are sewn away from."""

    places: tuple[int, ...]
    from_far: bool
    origin: int | None = None


class Span(NamedTuple):
    """A stretch without its places written out: thousands of tucks are planned and few are ever listed."""

    places: range
    from_far: bool = False
    origin: int | None = None


def spans(axis: Axis) -> tuple[Span, ...]:
    """The stretches of a direction in the order they are sewn; all of them together hold each tuck once.

    Overlapping tucks that turn at the centre are sewn in two stretches. From the middle outwards: from the
    tuck nearest to it to the far edge, then back from there to the first edge, both measured from the first
    seam sewn. Every other one: then those between, again from the first edge.
    """
    begin, count = begin_at(axis), axis.count
    if begin == "alternate":
        apart = [Span(range(0, count, 2)), Span(range(1, count, 2))]
        found = _every_other_pleat(axis) if in_pairs(axis) else apart
    elif begin == "middle":
        middle = middle_of(axis)
        found = [Span(range(middle, count), origin=middle), Span(range(middle - 1, -1, -1), True, middle)]
    elif begin == "first":
        found = [Span(range(count))]
    elif begin == "far":
        found = [Span(range(count - 1, -1, -1), True)]
    else:
        found = _turning(axis, inwards=begin == "both")
    return tuple(span for span in found if span.places)


def in_pairs(axis: Axis) -> bool:
    """Whether two folds make one pleat, their flaps lying apart: box pleats, number 1 with 2, 3 with 4."""
    lie = {(number % 2, pressing) for number, pressing in zip(axis.numbers, axis.pressings, strict=True)}
    return axis.count > 1 and lie == {(1, Pressing.BACK), (0, Pressing.ON)}


def _every_other_pleat(axis: Axis) -> list[Span]:
    """A span a pleat. Where one of its folds was left out, the other is a pleat by itself."""
    pleats: dict[int, list[int]] = {}
    for place, number in enumerate(axis.numbers):
        pleats.setdefault((number - 1) // 2, []).append(place)
    each = [range(places[0], places[-1] + 1) for places in pleats.values()]
    return [Span(places) for places in (*each[::2], *each[1::2])]


def _turning(axis: Axis, inwards: bool) -> list[Span]:
    count = axis.count
    turn = next((i for i in range(1, count) if axis.pressings[i] is not axis.pressings[0]), count)
    if inwards:
        return [Span(range(turn)), Span(range(count - 1, turn - 1, -1), True)]
    return [Span(range(turn - 1, -1, -1), True), Span(range(turn, count))]


def stretches(axis: Axis) -> tuple[Stretch, ...]:
    """The stretches of `spans` with every place in them."""
    return tuple(Stretch(tuple(s.places), s.from_far, s.origin) for s in spans(axis))


def sewing_sequence(axis: Axis) -> tuple[int, ...]:
    """Every tuck's place in the order of sewing."""
    return tuple(place for span in spans(axis) for place in span.places)


def middle_of(axis: Axis) -> int:
    """The place of the tuck whose seam is nearest to the middle of the panel, of two the first one; an axis
    with at least one tuck."""
    return min(range(axis.count), key=lambda place: abs(2 * axis.seams[place] - axis.length))


def wish_unfollowed(axis: Axis) -> bool:
    """Whether an order is wished for that overlapping tucks can't be sewn in."""
    return axis.order in WISHES and axis.count > 1 and begin_at(axis) not in (axis.order, WISHES[axis.order])
