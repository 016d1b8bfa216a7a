"""The shortest way to lay a few panels on one bin, for certain: every corner is tried."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from projects.calc.lay.stash.bins import Bin, Counts, Kind, Rect, Spot, area, rect_of
from projects.calc.lay.stash.steps import Steps
from projects.calc.units import ceil_div


def shortest_free(
    counts: Counts, kinds: Sequence[Kind], bin_: Bin, steps: Steps, least: int = 0
) -> tuple[Spot, ...] | None:
    """Spots of the panels so that the last ends as early as it can; None where they don't fit.

    `least` is an end known to be the earliest possible. Pushed left and towards the start, every panel of
    some shortest lay touches a panel, flaw or edge on both sides, and panels can be laid in an order in which
    none lies before or left of an earlier one at once: so each is tried at the corners left by those before.
    Source: S. Martello, D. Pisinger, D. Vigo, The three-dimensional bin packing problem (2000), in the plane.
    Raises OutOfSteps.
    """
    search = _Search(kinds, bin_, steps, max(least, _least(counts, kinds, bin_)))
    search.go(list(counts), [])
    return search.best


def _least(counts: Counts, kinds: Sequence[Kind], bin_: Bin) -> int:
    """An end (gap in it) that can't be beaten: by area, and by the longest panel."""
    longest = max(
        (min(way[1] for way in kind.ways) for n, kind in zip(counts, kinds, strict=True) if n), default=0
    )
    return bin_.start + max(longest, ceil_div(area(counts, kinds), bin_.room))


class _Search:
    def __init__(self, kinds: Sequence[Kind], bin_: Bin, steps: Steps, least: int) -> None:
        self.kinds, self.bin, self.steps, self.least = kinds, bin_, steps, least
        self.best: tuple[Spot, ...] | None = None
        self.end = bin_.end + 1
        self.seen: set[frozenset[Spot]] = set()

    def go(self, left: list[int], spots: list[Spot]) -> None:
        """Lay one more panel each way it can be, then the rest."""
        self.steps.take()
        if not any(left):
            self.best = tuple(spots)
            self.end = max((y + long for _, _, y, _, long in spots), default=self.bin.start)
            return
        for spot in self._next(left, spots):
            if spot[2] + spot[4] >= self.end:
                continue
            state = frozenset((*spots, spot))
            if len(state) > 1:
                if state in self.seen:
                    continue
                self.seen.add(state)
            left[spot[0]] -= 1
            spots.append(spot)
            self.go(left, spots)
            spots.pop()
            left[spot[0]] += 1
            if self.end <= self.least:
                return

    def _next(self, left: list[int], spots: list[Spot]) -> Iterator[Spot]:
        laid = [rect_of(spot) for spot in spots]
        there = [*laid, *self.bin.blocks]
        corners = self._corners(laid, there)
        for kind, count in enumerate(left):
            if not count:
                continue
            for wide, long in self.kinds[kind].ways:
                for x, y in corners:
                    if x + wide <= self.bin.room and _rests(
                        (x, y, x + wide, y + long), there, self.bin.start
                    ):
                        yield kind, x, y, wide, long

    def _corners(self, laid: Sequence[Rect], there: Sequence[Rect]) -> list[tuple[int, int]]:
        """Where edges meet, and nothing laid so far lies further out both ways."""
        start = self.bin.start
        xs = {0, *(rect[2] for rect in there)}
        ys = {start, *(rect[3] for rect in there if rect[3] > start)}
        corners = [
            (y, x)
            for x in xs
            for y in ys
            if x >= 0 and all(x >= right or y >= top for _, _, right, top in laid)
        ]
        return [(x, y) for y, x in sorted(corners)]


def _rests(rect: Rect, there: Sequence[Rect], start: int) -> bool:
    """Whether it overlaps nothing, and touches something on its left and something before it."""
    x1, y1, x2, y2 = rect
    left, before = x1 == 0, y1 == start
    for a, b, c, d in there:
        level, above = b < y2 and y1 < d, a < x2 and x1 < c
        if level and above:
            return False
        left = left or (c == x1 and level)
        before = before or (d == y1 and above)
    return left and before
