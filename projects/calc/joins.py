"""A panel wider than its cloth: widths joined where a tuck hides the join. Lengths whole nm."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

from projects.calc.axis import Axis
from projects.calc.folds import Pressing
from projects.calc.lengths import ceil_div, half_up, share_out
from projects.calc.ratio import ByRatio
from projects.calc.ratio_work import Marks

TRIES: Final = 3
"""How many widths more than the fewest may be cut, so that joins miss the marks."""

HIDES_JOINS: Final = frozenset({"gathers", "shirring", "english", "honeycomb"})
"""Fullness in which a join between widths disappears."""


@dataclass(frozen=True, slots=True)
class Join:
    """One join: inside which tuck, and how far from the panel's first edge its seam lies, flat.

    In fullness, which hides a join anywhere, `number` only counts the joins.
    """

    number: int
    position: int


@dataclass(frozen=True, slots=True)
class Joins:
    """Widths to cut, each with its join allowances, and where they meet. `refusal` says why not, if not.

    `fits` is then the widest flat panel the cloth allows.
    """

    joins: tuple[Join, ...]
    widths: tuple[int, ...]
    refusal: str = ""
    fits: int = 0


def hidden_join(axis: Axis, index: int, pleats: bool) -> int:
    """Where a join hides in tuck `index`, flat: the middle of the half that lies underneath.

    A pleat hides it at its inner fold. Neither is on the outer fold.
    """
    start, take_up = axis.starts[index], axis.take_ups[index]
    under = start if axis.pressings[index] is Pressing.BACK else start + take_up
    if pleats:
        return under
    return start + take_up // 4 if axis.pressings[index] is Pressing.BACK else start + take_up - take_up // 4


def join_widths(
    axis: Axis | None, flat: int, usable: int, allowance: int, *, border: int = 0, pleats: bool = False
) -> Joins:
    """Widths no wider than `usable` that make `flat` (border included), `allowance` at each side of a join.

    Each width is as wide as the cloth allows. Without a tuck within reach the panel is refused.
    """
    if flat <= usable:
        return Joins((), (flat,))
    joins: list[Join] = []
    widths: list[int] = []
    begun, before = 0, 0
    while flat - begun + before > usable:
        join = _furthest(axis, begun + usable - before - allowance, border, pleats) if axis else None
        if join is None or join.position <= begun + allowance:
            return Joins((), (), _refusal(axis is not None and axis.count > 0), usable)
        position = join.position
        joins.append(join)
        widths.append(position - begun + before + allowance)
        begun, before = position, allowance
    return Joins(tuple(joins), (*widths, flat - begun + before))


def join_anywhere(
    recipe: ByRatio, flat: int, usable: int, allowance: int, marks: Marks | None = None
) -> Joins:
    """The fewest widths, as equal as may be, that make `flat`: fullness hides a join wherever it lies.

    With `marks`, the dots or lines along the panel's first edge, each join lies halfway between two, so that
    none is picked up or sewn through its seam. Refused for what lies flat, or is drawn up square by square:
    nothing hides a join there.
    """
    if flat <= usable:
        return Joins((), (flat,))
    if recipe.technique not in HIDES_JOINS or usable <= 2 * allowance:
        why = f"Nothing hides a join in {recipe.name}: take a wider cloth or turn the panel."
        return Joins((), (), why, usable)
    # The first and the last width have one join, those between two; none may be wider than the cloth.
    count = max(2, ceil_div(flat, usable - 2 * allowance))
    if 2 * (usable - allowance) >= flat:
        count = 2
    # Gathering rows lie at the edge alone, so there is nothing to miss.
    for more in range(TRIES if marks and recipe.technique != "gathers" else 0):
        places = _between(marks, flat, count + more, usable - allowance, allowance) if marks else ()
        if places:
            return _joined(flat, places, allowance)
    return _joined(flat, tuple(accumulate(share_out(flat, count)))[:-1], allowance)


def _joined(flat: int, places: tuple[int, ...], allowance: int) -> Joins:
    """The widths between joins at these places, allowances added."""
    ends = zip((0, *places), (*places, flat), strict=True)
    widths = [end - start + 2 * allowance for start, end in ends]
    widths[0] -= allowance
    widths[-1] -= allowance
    return Joins(tuple(Join(n, at) for n, at in enumerate(places, 1)), tuple(widths))


def _between(marks: Marks, flat: int, count: int, most: int, allowance: int) -> tuple[int, ...]:
    """Where `count` widths meet, each halfway between two marks and as near to equal as the cloth allows;
    () where it does not. `most` is how far the first and the last width may reach, one allowance left out."""
    places: list[int] = []
    begun, reach = 0, most
    for aim in accumulate(share_out(flat, count)[:-1]):
        place = _halfway(marks, aim, begun + reach)
        if place <= begun + allowance:
            return ()
        places.append(place)
        begun, reach = place, most - allowance
    return tuple(places) if flat - begun <= most else ()


def _halfway(marks: Marks, aim: int, limit: int) -> int:
    """Halfway between the two marks nearest to `aim`, not beyond `limit`; -1 where no two are."""
    first, last = marks.first + marks.step // 2, marks.count - 2
    number = min(half_up(aim - first, marks.step), (limit - first) // marks.step, last)
    return first + max(0, number) * marks.step if last >= 0 and limit >= first else -1


def _furthest(axis: Axis, reach: int, border: int, pleats: bool) -> Join | None:
    """The last tuck that can hide a join no further than `reach` from the panel's first edge."""
    for index in range(bisect_right(axis.starts, reach - border) - 1, -1, -1):
        position = hidden_join(axis, index, pleats) + border
        if position <= reach:
            return Join(axis.numbers[index], position)
    return None


def _refusal(tucked: bool) -> str:
    if tucked:
        return "No tuck lies where a join could be hidden: take a wider cloth or make the piece narrower."
    return "No tuck takes up the width, so nothing can hide a join: take a wider cloth or turn the panel."
