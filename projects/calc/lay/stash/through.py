"""Filling one bin for straight cuts where it has flaws or pinned panels.

A flaw is waste that a cut may run through; only no panel may touch it. A pinned panel stays whole. So a place
that holds some of them is used like any other: a panel goes to its near corner or beside one of them, and
what straight cuts leave around the panel are new places.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from projects.calc.lay.stash.bins import Bin, Kind, Rect, Spot, hits, rect_of


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A rectangle that straight cuts free, the flaws and pinned panels in it, and where panels may begin:
    nearest its corner, or just beyond flaws and pins."""

    rect: Rect
    blocks: tuple[Rect, ...]
    xs: tuple[int, ...]
    ys: tuple[int, ...]

    @classmethod
    def of(cls, rect: Rect, blocks: Sequence[Rect]) -> Place:
        inside = tuple(block for block in blocks if hits(rect, block))
        x1, y1 = rect[:2]
        xs = {x1, *(block[2] for block in inside if block[2] > x1)}
        ys = {y1, *(block[3] for block in inside if block[3] > y1)}
        return cls(rect, inside, tuple(xs), tuple(ys))

    def spots(self, kind: int, wide: int, long: int) -> Iterator[Spot]:
        """Where a panel may lie in it."""
        _, _, x2, y2 = self.rect
        for x, y in product(self.xs, self.ys):
            if x + wide <= x2 and y + long <= y2 and self.is_clear(x, y, x + wide, y + long):
                yield kind, x, y, wide, long

    def is_clear(self, a: int, b: int, c: int, d: int) -> bool:
        """Whether a rectangle touches no block."""
        return all(block[0] >= c or a >= block[2] or block[1] >= d or b >= block[3] for block in self.blocks)


Found = tuple[Place, Spot, list[Rect]]


def fill_through(
    bin_: Bin,
    order: Sequence[int],
    kinds: Sequence[Kind],
    least: tuple[int, int],
    *,
    snug: bool,
    along: bool,
    under: int | None = None,
) -> tuple[Spot, ...]:
    """Panels (indices of kinds) laid one after the other; those that find no place are left out.

    `snug`: where the least is over beside it, else where it ends nearest the start; `along`: the rest of a
    place is cut along first, where no pinned panel is in the way. `least` and `under` as in `fill.fill`.
    """
    pins = {rect_of(spot) for spot, _ in bin_.pinned}
    free = [Place.of((0, bin_.start, bin_.room, bin_.end), bin_.blocks)]
    spots: list[Spot] = []
    no_place: set[int] = set()
    for kind in order:
        if kind in no_place:
            continue
        found = _best(free, kind, kinds[kind].ways, pins, snug=snug, along=along)
        if found is None:
            if under is not None:
                break
            no_place.add(kind)
            continue
        place, spot, rests = found
        if under is not None and spot[2] + spot[4] >= under:
            break
        free.remove(place)
        # What is too small for any panel would only be looked at for nothing.
        large = (r for r in rests if r[2] - r[0] >= least[0] and r[3] - r[1] >= least[1])
        free += [Place.of(rest, place.blocks) for rest in large]
        spots.append(spot)
    return tuple(spots)


def _best(
    free: Sequence[Place],
    kind: int,
    ways: Sequence[tuple[int, int]],
    pins: Collection[Rect],
    *,
    snug: bool,
    along: bool,
) -> Found | None:
    """The first of the best places, where a panel lies in it, and what straight cuts leave around it."""
    best: tuple[int, int, int] | None = None
    found: Found | None = None
    for place in free:
        x1, y1, x2, y2 = place.rect
        for wide, long in ways:
            over, behind = x2 - x1 - wide, y2 - y1 - long
            if over < 0 or behind < 0:
                continue
            if place.blocks:
                for spot in place.spots(kind, wide, long):
                    score = _score(place, spot, snug=snug)
                    if best is None or score < best:
                        rests = _rests(place, spot, pins, along=along)
                        if rests is not None:
                            best, found = score, (place, spot, rests)
            else:
                score = (min(over, behind), y1, x1) if snug else (y1 + long, over, x1)
                if best is None or score < best:
                    best, found = score, (place, (kind, x1, y1, wide, long), [])
    if found is not None and not found[0].blocks:
        place, spot, _ = found
        return place, spot, _rests(place, spot, pins, along=along) or []
    return found


def _score(place: Place, spot: Spot, *, snug: bool) -> tuple[int, int, int]:
    _, x, y, wide, long = spot
    over, behind = place.rect[2] - x - wide, place.rect[3] - y - long
    return (min(over, behind), y, x) if snug else (y + long, over, x)


def _rests(place: Place, spot: Spot, pins: Collection[Rect], *, along: bool) -> list[Rect] | None:
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
