"""Filling one bin for straight cuts where it has flaws or pinned panels.

A flaw is waste that a cut may run through; only no panel may touch it. A pinned panel stays whole. So a place
that holds some of them is used like any other: a panel goes to its near corner or beside one of them, and
what straight cuts leave around the panel are new places.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from projects.calc.lay.stash.bins import Bin, Kind, Rect, Spot, hits, rect_of


@dataclass(frozen=True, slots=True)
class Place:
    """A rectangle that straight cuts free, and the flaws and pinned panels in it."""

    rect: Rect
    blocks: tuple[Rect, ...]

    @classmethod
    def of(cls, rect: Rect, blocks: Sequence[Rect]) -> Place:
        return cls(rect, tuple(block for block in blocks if hits(rect, block)))

    def spots(self, kind: int, ways: Sequence[tuple[int, int]]) -> Iterator[Spot]:
        """Where a panel may lie in it: nearest its corner, or just beyond flaws and pins."""
        x1, y1, x2, y2 = self.rect
        xs = {x1, *(block[2] for block in self.blocks if block[2] > x1)}
        ys = {y1, *(block[3] for block in self.blocks if block[3] > y1)}
        for (wide, long), x, y in product(ways, xs, ys):
            spot = (kind, x, y, wide, long)
            if x + wide <= x2 and y + long <= y2 and not any(hits(rect_of(spot), b) for b in self.blocks):
                yield spot


Scored = tuple[tuple[int, int, int], Place, Spot, list[Rect]]


def fill_through(
    bin_: Bin, order: Sequence[int], kinds: Sequence[Kind], *, snug: bool, along: bool
) -> tuple[Spot, ...]:
    """Panels (indices of kinds) laid one after the other; those that find no place are left out.

    `snug`: where the least is over beside it, else where it ends nearest the start; `along`: the rest of a
    place is cut along first, where no pinned panel is in the way.
    """
    pins = [rect_of(spot) for spot, _ in bin_.pinned]
    free = [Place.of((0, bin_.start, bin_.room, bin_.end), bin_.blocks)]
    spots: list[Spot] = []
    no_place: set[int] = set()
    for kind in order:
        if kind in no_place:
            continue
        best: Scored | None = None
        for place in free:
            for spot in place.spots(kind, kinds[kind].ways):
                score = _score(place, spot, snug=snug)
                if best is None or score < best[0]:
                    rests = _rests(place, spot, pins, along=along)
                    best = best if rests is None else (score, place, spot, rests)
        if best is None:
            no_place.add(kind)
            continue
        _, place, spot, rests = best
        free.remove(place)
        free += [Place.of(rest, place.blocks) for rest in rests]
        spots.append(spot)
    return tuple(spots)


def _score(place: Place, spot: Spot, *, snug: bool) -> tuple[int, int, int]:
    _, x, y, wide, long = spot
    over, behind = place.rect[2] - x - wide, place.rect[3] - y - long
    return (min(over, behind), y, x) if snug else (y + long, over, x)


def _rests(place: Place, spot: Spot, pins: Sequence[Rect], *, along: bool) -> list[Rect] | None:
    """What straight cuts leave of a place around a panel; None where each order cuts a pinned panel."""
    held = [block for block in place.blocks if block in pins]
    for before, after in ((along, along), (not along, along), (along, not along), (not along, not along)):
        rests = [rect for rect in _cut_around(place.rect, spot, before, after) if _is_some(rect)]
        if all(any(_within(pin, rest) for rest in rests) for pin in held):
            return rests
    return None


def _cut_around(rect: Rect, spot: Spot, before: bool, after: bool) -> list[Rect]:
    """Four parts: what is cut off before a panel and beside it, along first where `before`; then what is
    beyond it, along first where `after`."""
    x1, y1, x2, y2 = rect
    _, x, y, wide, long = spot
    x3, y3 = x + wide, y + long
    first = [(x1, y1, x, y2), (x, y1, x2, y)] if before else [(x1, y1, x2, y), (x1, y, x, y2)]
    return [*first, *([(x3, y, x2, y2), (x, y3, x3, y2)] if after else [(x3, y, x2, y3), (x, y3, x2, y2)])]


def _is_some(rect: Rect) -> bool:
    return rect[0] < rect[2] and rect[1] < rect[3]


def _within(rect: Rect, other: Rect) -> bool:
    return rect[0] >= other[0] and rect[1] >= other[1] and rect[2] <= other[2] and rect[3] <= other[3]
