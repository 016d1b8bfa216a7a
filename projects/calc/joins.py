"""A panel wider than its cloth: widths joined where a tuck hides the join. Lengths whole nm."""

from __future__ import annotations

from dataclasses import dataclass

from projects.calc.axis import Axis
from projects.calc.folds import Pressing


@dataclass(frozen=True, slots=True)
class Join:
    """One join: inside which tuck, and how far from the panel's first edge its seam lies, flat."""

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
    count = axis.count if axis else 0
    places = [(hidden_join(axis, i, pleats) + border, axis.numbers[i]) for i in range(count)] if axis else []
    joins: list[Join] = []
    widths: list[int] = []
    begun, before = 0, 0
    while flat - begun + before > usable:
        reach = begun + usable - before - allowance
        inside = [place for place in places if begun + allowance < place[0] <= reach]
        if not inside:
            return Joins((), (), _refusal(bool(count)), usable)
        position, number = max(inside)
        joins.append(Join(number, position))
        widths.append(position - begun + before + allowance)
        begun, before = position, allowance
    return Joins(tuple(joins), (*widths, flat - begun + before))


def _refusal(tucked: bool) -> str:
    if tucked:
        return "No tuck lies where a join could be hidden: take a wider cloth or make the piece narrower."
    return "No tuck takes up the width, so nothing can hide a join: take a wider cloth or turn the panel."
