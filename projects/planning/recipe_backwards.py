"""From the cloth owned: how large, how deep, how far apart or how many, for one direction of a recipe."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from projects.calc.axis import place
from projects.calc.backwards import BackwardsError, recipe_from_cloth, scaled_to_cloth, solve
from projects.calc.errors import millimetres
from projects.calc.folds import Tuck
from projects.calc.lengths import half_up

from .recipe_work import SideWork


@dataclass(frozen=True, slots=True)
class Answer:
    """What the cloth gives this way. Lengths nm; `left` is flat cloth over; `tucks` a repeat as it would be.

    `find` is what was asked: "finished", "depth", "spacing" or "number".
    """

    find: str
    finished: int
    count: int
    left: int
    tucks: tuple[Tuck, ...]


def from_cloth(side: SideWork, *, flat: int, find: str, finished: int | None) -> Answer:
    """Solve one direction for what was asked, the texture running from edge to edge of `flat` cloth.

    Raises BackwardsError naming "flat" or "finished" when nothing fits, and saying what would.
    """
    if find == "finished":
        return _finished(side, flat)
    if finished is None:
        raise BackwardsError("finished", "Nothing", "the finished size it should have", "Type it.")
    if finished >= flat:
        raise BackwardsError(
            "finished",
            millimetres(finished),
            f"less than the {millimetres(flat)} of flat cloth",
            "Finish it smaller, or take more cloth.",
        )
    if side.direction.is_pleats or side.direction.stands_up:
        return _number(side, flat, finished)
    return {"depth": _depth, "spacing": _spacing}.get(find, _number)(side, flat, finished)


def _finished(side: SideWork, flat: int) -> Answer:
    if not side.direction.tucks or side.direction.stands_up:
        return _whole_repeats(side, flat, flat)
    direction = side.direction
    found = recipe_from_cloth(
        direction.tucks, flat=flat, extra=side.take_up.extra, pressing=direction.pressing
    )
    return Answer("finished", found.axis.length, found.axis.count, 0, direction.tucks)


def _whole_repeats(side: SideWork, flat: int, finished: int) -> Answer:
    """Whole repeats (or pleats) that both the cloth and the finished size hold."""
    repeats = min(flat // side.repeat_flat, finished // side.repeat)
    if repeats < 1:
        raise BackwardsError(
            "flat",
            millimetres(flat),
            f"at least {millimetres(side.repeat_flat)}",
            "One repeat takes that much.",
        )
    left = flat - repeats * side.repeat_flat
    return Answer("finished", repeats * side.repeat, repeats * side.units, left, side.direction.tucks)


def _depth(side: SideWork, flat: int, finished: int) -> Answer:
    extra, tucks = side.take_up.extra, side.direction.tucks
    deeper = scaled_to_cloth(tucks, flat=flat, finished=finished, extra=extra)
    axis = place(deeper, length=finished, extra=extra, pressing=side.direction.pressing)
    return Answer("depth", finished, axis.count, max(0, flat - axis.flat), deeper)


def _spacing(side: SideWork, flat: int, finished: int) -> Answer:
    """The spaces drawn together or apart in one proportion, so that the cloth is used up in whole repeats."""
    taken = side.repeat_flat - side.repeat
    repeats = (flat - finished) // taken if taken > 0 else 0
    if repeats < 1:
        raise BackwardsError(
            "flat",
            millimetres(flat),
            f"at least {millimetres(finished + taken)}",
            "One repeat takes up that much.",
        )
    scale = Fraction(finished, repeats * side.repeat)
    tucks = tuple(
        Tuck(half_up(t.space * scale.numerator, scale.denominator), t.depth, t.mark)
        for t in side.direction.tucks
    )
    return Answer("spacing", finished, repeats * side.units, flat - finished - repeats * taken, tucks)


def _number(side: SideWork, flat: int, finished: int) -> Answer:
    tucks, extra = side.direction.tucks, side.take_up.extra
    if side.direction.is_pleats or side.direction.stands_up:
        found = _whole_repeats(side, flat, finished)
        return Answer(
            "number",
            finished,
            found.count,
            flat - finished - found.count // side.units * (side.repeat_flat - side.repeat),
            tucks,
        )
    if len(tucks) == 1:
        even = solve(flat, depth=tucks[0].depth, spacing=tucks[0].space, finished=finished, extra=extra)
        return Answer("number", finished, even.number, even.left, tucks)
    axis = place(tucks, length=finished, extra=extra, pressing=side.direction.pressing)
    count = bisect_right(axis.swallowed, flat - finished) - 1
    if count < 1:
        raise BackwardsError("flat", millimetres(flat), "enough for one tuck", "Finish it smaller.")
    return Answer("number", finished, count, flat - finished - axis.swallowed[count], tucks)
