"""Filling one bin with as much as goes in, in an order: on free rectangles, round flaws and pins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.calc.lay.stash.bins import Bin, Counts, Kind, Rect, Spot, hits, rect_of
from projects.calc.lay.stash.through import fill_through


@dataclass(frozen=True, slots=True)
class Taste:
    """Where a panel goes of the places it fits: `snug` where the least is over beside it, else nearest the
    start. `straight`: edge to edge cuts only, and `along` says which way the rest is cut first. `through`:
    these may run through flaws."""

    snug: bool = False
    straight: bool = False
    along: bool = False
    through: bool = False


def fill(bin_: Bin, order: Sequence[int], kinds: Sequence[Kind], taste: Taste) -> tuple[Spot, ...]:
    """Panels (indices of kinds) laid one after the other; those that find no place are left out."""
    if taste.straight and taste.through and bin_.blocks:
        return fill_through(bin_, order, kinds, snug=taste.snug, along=taste.along)
    whole = (0, bin_.start, bin_.room, bin_.end)
    free = _zones(whole, bin_.blocks, bin_.gap) if taste.straight else _round(whole, bin_.blocks)
    spots: list[Spot] = []
    no_place: set[int] = set()
    for kind in order:
        if kind in no_place:
            continue
        found = _place(free, kinds[kind], taste)
        if found is None:
            no_place.add(kind)
            continue
        rect, (wide, long) = found
        spot = (kind, rect[0], rect[1], wide, long)
        spots.append(spot)
        if taste.straight:
            free.remove(rect)
            free += _cut(rect, wide, long, taste.along)
        else:
            free = _without(free, rect_of(spot))
    return tuple(spots)


def _place(free: Sequence[Rect], kind: Kind, taste: Taste) -> tuple[Rect, tuple[int, int]] | None:
    best: tuple[int, int, int] | None = None
    found = None
    for rect in free:
        x1, y1, x2, y2 = rect
        for way in kind.ways:
            over, behind = x2 - x1 - way[0], y2 - y1 - way[1]
            if over < 0 or behind < 0:
                continue
            score = (min(over, behind), y1, x1) if taste.snug else (y1 + way[1], over, x1)
            if best is None or score < best:
                best, found = score, (rect, way)
    return found


def _round(whole: Rect, blocks: Sequence[Rect]) -> list[Rect]:
    free = [whole]
    for block in blocks:
        free = _without(free, block)
    return free


def _without(free: Sequence[Rect], taken: Rect) -> list[Rect]:
    """Largest rectangles clear of `taken`; they may overlap one another."""
    kept, cut = [], []
    for rect in free:
        if hits(rect, taken):
            cut += _beside(rect, taken)
        else:
            kept.append(rect)
    found = [*kept]
    for at, rect in enumerate(cut):
        others = (*kept, *cut[:at], *(r for r in cut[at + 1 :] if r != rect))
        if not any(_within(rect, other) for other in others):
            found.append(rect)
    return found


def _beside(rect: Rect, taken: Rect) -> list[Rect]:
    x1, y1, x2, y2 = rect
    a, b, c, d = taken
    parts = [
        (x1, y1, min(x2, a), y2),
        (max(x1, c), y1, x2, y2),
        (x1, y1, x2, min(y2, b)),
        (x1, max(y1, d), x2, y2),
    ]
    return [part for part in parts if part[0] < part[2] and part[1] < part[3]]


def _within(rect: Rect, other: Rect) -> bool:
    return rect[0] >= other[0] and rect[1] >= other[1] and rect[2] <= other[2] and rect[3] <= other[3]


def _cut(rect: Rect, wide: int, long: int, along: bool) -> list[Rect]:
    """What is left of a rectangle in two parts once its first corner is cut off."""
    x1, y1, x2, y2 = rect
    x, y = x1 + wide, y1 + long
    parts = [(x, y1, x2, y2), (x1, y, x, y2)] if along else [(x, y1, x2, y), (x1, y, x2, y2)]
    return [part for part in parts if part[0] < part[2] and part[1] < part[3]]


def _zones(whole: Rect, blocks: Sequence[Rect], gap: int) -> list[Rect]:
    """Parts that straight cuts free of flaws and pins: first across the whole cloth, then along each part.

    Blocks whose stretches along the cloth meet share one part. A part ends a gap early, so that a cut frees
    it whole.
    """
    x1, start, x2, end = whole
    zones: list[Rect] = []
    at = start
    for low, high, sides in _stretches(blocks, gap):
        if low > at:
            zones.append((x1, at, x2, min(low, end)))
        reach = x1
        for left, right in sorted(sides):
            zones.append((reach, max(at, low), left, min(high, end)))
            reach = max(reach, right)
        zones.append((reach, max(at, low), x2, min(high, end)))
        at = max(at, high)
    zones.append((x1, at, x2, end))
    return [zone for zone in zones if zone[0] < zone[2] and zone[1] < zone[3]]


def _stretches(blocks: Sequence[Rect], gap: int) -> list[tuple[int, int, list[tuple[int, int]]]]:
    """Stretches along the cloth with blocks in them, and the blocks' sides."""
    found: list[tuple[int, int, list[tuple[int, int]]]] = []
    for a, b, c, d in sorted(blocks, key=lambda r: min(r[1], r[3])):
        low, high = min(b, d), max(b, d)
        if found and low < found[-1][1]:
            before = found.pop()
            low, high, sides = before[0], max(before[1], high), before[2]
        else:
            sides = []
        found.append((low, high, [*sides, (min(a, c), max(a, c))]))
    return found


def order_of(counts: Counts, kinds: Sequence[Kind], by: int) -> list[int]:
    """Kinds in a filling order, each as often as it counts: 0 longest, 1 widest, 2 largest first."""

    def size(kind: int) -> tuple[int, int]:
        wide, long = kinds[kind].ways[0]
        return (-long, -wide) if by == 0 else (-wide, -long) if by == 1 else (-wide * long, -long)

    order = sorted((kind for kind, n in enumerate(counts) if n), key=size)
    return [kind for kind in order for _ in range(counts[kind])]
