"""Packing above a skyline: the upper edge of what is laid so far, kept as segments from side to side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from projects.calc.lay.request import Item


@dataclass(frozen=True, slots=True)
class Spot:
    """Where an item lies; sizes include the gap."""

    item: Item
    x: int
    y: int
    width: int
    length: int


class Skyline:
    """Segments from left to right: starts `xs`, heights `ys`; `xs` ends with the cloth's width."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.xs = [0, width]
        self.ys = [0]

    def height_at(self, index: int, width: int) -> int | None:
        """How high something `width` wide must lie from segment `index` on; None where it sticks out."""
        end = self.xs[index] + width
        if end > self.width:
            return None
        top = self.ys[index]
        index += 1
        while self.xs[index] < end:
            top = max(top, self.ys[index])
            index += 1
        return top

    def lay(self, index: int, width: int, top: int) -> None:
        """Raise the skyline to `top` over `width` from the start of segment `index`."""
        xs, ys = self.xs, self.ys
        start, end = xs[index], xs[index] + width
        last = index
        while xs[last + 1] < end:
            last += 1
        rest = [] if xs[last + 1] == end else [(end, ys[last])]
        new = [(start, top), *rest]
        xs[index : last + 1] = [x for x, _ in new]
        ys[index : last + 1] = [y for _, y in new]
        self._merge(index)

    def _merge(self, index: int) -> None:
        """Join segment `index` with neighbours of its height."""
        for at in (index + 1, index):
            if 0 < at < len(self.ys) and self.ys[at] == self.ys[at - 1]:
                del self.ys[at], self.xs[at]

    def lowest(self) -> int:
        """The lowest segment, the leftmost of equals."""
        return self.ys.index(min(self.ys))

    def room(self, index: int) -> int:
        return self.xs[index + 1] - self.xs[index]

    def lay_in_gap(self, index: int, width: int, top: int) -> int:
        """Lay in a gap, against its higher neighbour (the left of equals); the x it begins at."""
        start, left, right = self.xs[index], self._beside(index - 1), self._beside(index + 1)
        if right <= left:
            self.lay(index, width, top)
            return start
        x = self.xs[index + 1] - width
        if x > start:
            self.xs.insert(index + 1, x)
            self.ys.insert(index, self.ys[index])
            index += 1
        self.lay(index, width, top)
        return x

    def _beside(self, index: int) -> float:
        """Height of a neighbour; the edge of the cloth counts as the highest."""
        return self.ys[index] if 0 <= index < len(self.ys) else inf

    def fill(self, index: int) -> None:
        """Give up a segment nothing fits: raise it to its lower neighbour."""
        beside = [self.ys[at] for at in (index - 1, index + 1) if 0 <= at < len(self.ys)]
        self.lay(index, self.room(index), min(beside))


def bottom_left(items: Sequence[Item], width: int) -> list[Spot]:
    """Each item in turn where its far edge comes lowest, leftmost of equals."""
    line = Skyline(width)
    spots = []
    for item in items:
        top, x, index, (wide, long) = min(
            (low + long, line.xs[index], index, (wide, long))
            for wide, long in item.ways
            for index in range(len(line.ys))
            if (low := line.height_at(index, wide)) is not None
        )
        spots.append(Spot(item, x, top - long, wide, long))
        line.lay(index, wide, top)
    return spots


def best_fit(items: Sequence[Item], width: int, *, longest: bool = False) -> list[Spot]:
    """Fill the lowest gap each time with the widest item that fits it, or the longest; first of equals.

    It lies against the higher neighbour of the gap. Source: E. K. Burke, G. Kendall and G. Whitwell, A new
    placement heuristic for the orthogonal stock-cutting problem (2004).
    """
    line = Skyline(width)
    waiting = _Waiting(items, longest)
    spots = []
    for _ in items:
        while (found := waiting.take(line.room(index := line.lowest()))) is None:
            line.fill(index)
        item, (wide, long) = found
        low = line.ys[index]
        spots.append(Spot(item, line.lay_in_gap(index, wide, low + long), low, wide, long))
    return spots


class _Waiting:
    """Items not laid yet with every way each may lie, the preferred ways first."""

    def __init__(self, items: Sequence[Item], longest: bool) -> None:
        ways = [(way, at, item) for at, item in enumerate(items) for way in item.ways]
        first = 1 if longest else 0
        ways.sort(key=lambda entry: (-entry[0][first], -entry[0][1 - first], entry[1]))
        self.ways = ways

    def take(self, room: int) -> tuple[Item, tuple[int, int]] | None:
        """The preferred item that fits `room` and how it lies, or None; it waits no longer."""
        for place, (way, at, item) in enumerate(self.ways):
            if way[0] <= room:
                if len(item.ways) == 1:
                    del self.ways[place]
                else:
                    self.ways = [entry for entry in self.ways if entry[1] != at]
                return item, way
        return None
