"""A panel wider than its cloth: widths joined where a tuck hides the join. Lengths whole nm."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

from projects.calc.axis import Axis
from projects.calc.folds import Pressing
from projects.calc.lengths import ceil_div, share_out
from projects.calc.ratio import ByRatio

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


def join_anywhere(recipe: ByRatio, flat: int, usable: int, allowance: int) -> Joins:
    """The fewest equal widths that make `flat`: fullness hides a join wherever it lies.

    Refused for what lies flat, or is drawn up square by square: nothing hides a join there.
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
    shares = share_out(flat, count)
    places = tuple(accumulate(shares))[:-1]
    widths = [share + 2 * allowance for share in shares]
    widths[0] -= allowance
    widths[-1] -= allowance
    return Joins(tuple(Join(n, at) for n, at in enumerate(places, 1)), tuple(widths))


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
