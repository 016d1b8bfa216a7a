"""Packing around what can't be moved: pinned panels and flaws. The free cloth is kept as rectangles.

Every largest free rectangle is kept, so they overlap. Source: J. Jylänki, A thousand ways to pack the bin
(2010), the "maximal rectangles".
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from projects.calc.lay.request import Flaw, Item
from projects.calc.lay.skyline import Spot

Box = tuple[int, int, int, int]  # x and y of the corner nearest the start, x and y of the far corner (nm)


def flaw_box(flaw: Flaw, gap: int) -> Box:
    """A flaw as what panels grown by `gap` have to keep clear of: they may come up to it without a gap.

    A flaw narrower than the gap gives a box of negative size; the tests for overlap hold for it as well.
    """
    return flaw.x + gap, flaw.y + gap, flaw.x + flaw.width, flaw.y + flaw.length


def around(
    items: Sequence[Item], room: int, boxes: Iterable[Box], *, first: int = 0, last: int | None = None
) -> tuple[list[Spot], list[Item]]:
    """Lay each item in turn where its far edge comes nearest the start, clear of `boxes`; leftmost of equals.

    `room`, items and boxes include the gap (nm). Only the cloth from `first` to `last` is used (None: as much
    as it takes). Answers where they lie, and those that find no place.
    """
    boxes = list(boxes)
    if last is None:
        last = first + sum(max(length for _, length in item.ways) for item in items)
        last += max((box[3] for box in boxes), default=0)
    free: list[Box] = [(0, first, room, last)] if first < last else []
    for box in boxes:
        free = without(free, box)
    spots: list[Spot] = []
    left: list[Item] = []
    for item in items:
        found = lowest_place(item.ways, free)
        if found is None:
            left.append(item)
            continue
        _, x, y, width, length = found
        spots.append(Spot(item, x, y, width, length))
        free = without(free, (x, y, x + width, y + length))
    return spots, left


def lowest_place(
    ways: Iterable[tuple[int, int]], free: Sequence[Box]
) -> tuple[int, int, int, int, int] | None:
    """(far edge, x, y, width, length) of the place nearest the start that holds one of `ways`."""
    best: tuple[int, int, int, int, int] | None = None
    for width, length in ways:
        for x, y, right, end in free:
            if x + width <= right and y + length <= end:
                place = (y + length, x, y, width, length)
                if best is None or place < best:
                    best = place
    return best


def without(free: Sequence[Box], box: Box) -> list[Box]:
    """The largest free rectangles once `box` is taken."""
    x, y, right, end = box
    kept: list[Box] = []
    cut: list[Box] = []
    for rect in free:
        left, near, far_x, far_y = rect
        if left >= right or far_x <= x or near >= end or far_y <= y:
            kept.append(rect)
            continue
        if left < x:
            cut.append((left, near, x, far_y))
        if right < far_x:
            cut.append((right, near, far_x, far_y))
        if near < y:
            cut.append((left, near, far_x, y))
        if end < far_y:
            cut.append((left, end, far_x, far_y))
    kept_of_cut: list[Box] = []
    for at, rect in enumerate(cut):
        others = [*kept, *kept_of_cut, *cut[at + 1 :]]
        if not any(_holds(other, rect) for other in others):
            kept_of_cut.append(rect)
    return kept + kept_of_cut


def _holds(outer: Box, inner: Box) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]
