"""Filling one bin with as much as goes in, in an order: on free rectangles, round flaws and pins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.calc.lay.stash.bins import Bin, Counts, Kind, Rect, Spot, hits, least_sides
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


def fill(
    bin_: Bin,
    order: Sequence[int],
    kinds: Sequence[Kind],
    taste: Taste,
    least: tuple[int, int] | None = None,
    *,
    under: int | None = None,
) -> tuple[Spot, ...]:
    """Panels (indices of kinds) laid one after the other; those that find no place are left out.

    `least` is `least_sides` of the kinds, where it is known. With `under`, all are to end before it (nm along
    the bin, gap in it): it stops at the first that doesn't or that finds no place, and what is laid by then
    comes back.
    """
    least = least or least_sides(kinds)
    if taste.straight and taste.through and bin_.blocks:
        return fill_through(bin_, order, kinds, least, snug=taste.snug, along=taste.along, under=under)
    whole = (0, bin_.start, bin_.room, bin_.end)
    free = _zones(whole, bin_.blocks, bin_.gap) if taste.straight else _round(whole, bin_.blocks)
    spots: list[Spot] = []
    no_place: set[int] = set()
    for kind in order:
        if kind in no_place:
            continue
        found = _place(free, kinds[kind].ways, taste.snug)
        if found is None:
            if under is not None:
                break
            no_place.add(kind)
            continue
        rect, (wide, long) = found
        if under is not None and rect[1] + long >= under:
            break
        spots.append((kind, rect[0], rect[1], wide, long))
        if taste.straight:
            free.remove(rect)
            free += _cut(rect, wide, long, taste.along, least)
        else:
            free = _without(free, (rect[0], rect[1], rect[0] + wide, rect[1] + long), least)
    return tuple(spots)


def _place(
    free: Sequence[Rect], ways: Sequence[tuple[int, int]], snug: bool
) -> tuple[Rect, tuple[int, int]] | None:
    """The first of the best places, and how the panel lies there: snug, by what is over on one side; else by
    where it ends."""
    best, best_y, best_x = 0, 0, 0
    found: tuple[Rect, tuple[int, int]] | None = None
    for rect in free:
        x1, y1, x2, y2 = rect
        for way in ways:
            over, behind = x2 - x1 - way[0], y2 - y1 - way[1]
            if over < 0 or behind < 0:
                continue
            if snug:
                score, then = over if over < behind else behind, y1
            else:
                score, then = y1 + way[1], over
            # Compared by hand, for this is the innermost loop of every quick lay.
            if found is None or (
                score < best or (score == best and (then < best_y or (then == best_y and x1 < best_x)))
            ):
                best, best_y, best_x, found = score, then, x1, (rect, way)
    return found


def _round(whole: Rect, blocks: Sequence[Rect]) -> list[Rect]:
    """Largest rectangles clear of all blocks."""
    free = [whole]
    for block in blocks:
        kept, cut = [], []
        for rect in free:
            if hits(rect, block):
                cut += _beside(rect, block)
            else:
                kept.append(rect)
        free = [*kept, *_largest(cut, kept)]
    return free


def _without(free: Sequence[Rect], taken: Rect, least: tuple[int, int]) -> list[Rect]:
    """Largest rectangles clear of a panel, and no smaller than `least`; they may overlap one another.

    What is cut off beside the panel can lie within another only if that one ends at the same side of it, so
    that only those are compared.
    """
    a, b, c, d = taken
    wide, long = least
    kept: list[Rect] = []
    cut: list[tuple[int, Rect]] = []
    for rect in free:
        x1, y1, x2, y2 = rect
        if x1 >= c or x2 <= a or y1 >= d or y2 <= b:
            kept.append(rect)
            continue
        tall, broad = y2 - y1 >= long, x2 - x1 >= wide
        if tall and a - x1 >= wide and a > x1:
            cut.append((0, (x1, y1, a, y2)))
        if tall and x2 - c >= wide and x2 > c:
            cut.append((1, (c, y1, x2, y2)))
        if broad and b - y1 >= long and b > y1:
            cut.append((2, (x1, y1, x2, b)))
        if broad and y2 - d >= long and y2 > d:
            cut.append((3, (x1, d, x2, y2)))
    sides = [
        [rect for rect in kept if rect[2] == a],
        [rect for rect in kept if rect[0] == c],
        [rect for rect in kept if rect[3] == b],
        [rect for rect in kept if rect[1] == d],
    ]
    lasting = [set(_largest([r for at, r in cut if at == side], beside)) for side, beside in enumerate(sides)]
    for side, rect in cut:
        if rect in lasting[side]:
            kept.append(rect)
            lasting[side].remove(rect)
    return kept


def _largest(cut: Sequence[Rect], kept: Sequence[Rect]) -> list[Rect]:
    """Those of `cut` that lie within none of `kept` nor of the others; of equals the first."""
    found = []
    for at, (x1, y1, x2, y2) in enumerate(cut):
        for other in kept:
            if x1 >= other[0] and y1 >= other[1] and x2 <= other[2] and y2 <= other[3]:
                break
        else:
            for place, other in enumerate(cut):
                inside = x1 >= other[0] and y1 >= other[1] and x2 <= other[2] and y2 <= other[3]
                if inside and place != at and (place < at or other != (x1, y1, x2, y2)):
                    break
            else:
                found.append((x1, y1, x2, y2))
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


def _cut(rect: Rect, wide: int, long: int, along: bool, least: tuple[int, int]) -> list[Rect]:
    """What is left of a rectangle in two parts once its first corner is cut off, no smaller than `least`."""
    x1, y1, x2, y2 = rect
    x, y = x1 + wide, y1 + long
    parts = [(x, y1, x2, y2), (x1, y, x, y2)] if along else [(x, y1, x2, y), (x1, y, x2, y2)]
    least_wide, least_long = max(1, least[0]), max(1, least[1])
    return [part for part in parts if part[2] - part[0] >= least_wide and part[3] - part[1] >= least_long]


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
