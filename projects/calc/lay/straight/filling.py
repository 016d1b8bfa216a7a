"""Filling empty rectangles with panels, each rectangle cut in two by a straight cut wherever one is laid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from projects.calc.lay.request import Item
from projects.calc.lay.skyline import Spot

Place = tuple[int, int, int, int]  # x, y, width, length
Way = tuple[int, int]
ENDLESS: Final = 1 << 60  # length of the cloth beyond the last row


@dataclass(frozen=True, slots=True)
class Rule:
    """How places are chosen and cut: `tight` takes the place with the least left over on one side, else the
    one with the least area; `wide` leaves the rest whole across, else along, else the larger rest (None)."""

    tight: bool = True
    wide: bool | None = None


def fill(
    items: Sequence[Item], room: int, rule: Rule, places: Sequence[Place] = (), top: int = 0
) -> list[Spot]:
    """Lay each item in turn in the place it fits best, else in a new row beyond `top` and the rows before.

    Sizes include the gap. Every place is an end of a straight cut, so the lay can be cut straight if the
    places given come free by straight cuts.
    """
    free = list(places)
    spots: list[Spot] = []
    for item in items:
        found = _best_place(item, free, rule)
        if found is None:
            wide, long = min(item.ways, key=lambda way: (way[1], -way[0]))
            free.append((0, top, room, long))
            top += long
            found = len(free) - 1, (wide, long)
        at, way = found
        x, y, width, length = free.pop(at)
        spots.append(Spot(item, x, y, *way))
        free += _rests((x, y, width, length), way, rule)
    return spots


def _best_place(item: Item, free: Sequence[Place], rule: Rule) -> tuple[int, Way] | None:
    best: tuple[int, int] | None = None
    found: tuple[int, Way] | None = None
    for at, (_, _, width, length) in enumerate(free):
        for way in item.ways:
            over, beyond = width - way[0], length - way[1]
            if over < 0 or beyond < 0:
                continue
            side = min(over, beyond)
            score = (side, width * length) if rule.tight else (width * length, side)
            if best is None or score < best:
                best, found = score, (at, way)
    return found


def _rests(place: Place, way: Way, rule: Rule) -> list[Place]:
    """What two straight cuts leave of a place once a panel lies in its corner."""
    x, y, width, length = place
    wide, long = way
    over, beyond = width - wide, length - long
    across = over * long < beyond * wide if rule.wide is None else rule.wide
    beside = (x + wide, y, over, long if across else length)
    above = (x, y + long, width if across else wide, beyond)
    return [rest for rest in (beside, above) if rest[2] > 0 and rest[3] > 0]
