"""Building blocks of panels from the smallest up, side by side and end to end, keeping the least wasteful.

A lay of straight cuts is a tree of such blocks. If nothing had to be dropped but what can't be part of a
lay as short as asked, the answer is the shortest there is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from projects.calc.lay.straight.counts import BITS, Counts, Floats, Ints, Many

BESIDE: Final = 0
BEHIND: Final = 1
CHUNK: Final = 150_000  # pairs looked at in one go: what stays in the processor's cache
PARTS: Final = 4
MOST_PANELS: Final = 150
REACH: Final = 20_000  # up to so many units of width, sums of widths are listed

Way = tuple[int, int]
Laid = tuple[int, int, int, int, int]  # kind, x, y, width, length


@dataclass(frozen=True, slots=True)
class Kind:
    """Panels that may lie the same ways: (width, length) of each way (gap in them), and how many."""

    ways: tuple[Way, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What to build: all of `kinds` within `room` across and `most` along. Up to `keep` blocks of each number
    of panels are kept, none that wastes more than `slack` of its own panels' area; `jitter` shuffles those
    that waste about the same."""

    kinds: tuple[Kind, ...]
    room: int
    most: int
    keep: int
    slack: float = 1e9
    jitter: float = 0.0


@dataclass(frozen=True, slots=True)
class Built:
    """The shortest lay found within what was asked (None: none), and whether there is certainly no shorter.

    Where none was found, `parts` are lays of some of the panels with little waste, each with its length; the
    most promising first.
    """

    length: int
    laid: tuple[Laid, ...] | None
    certain: bool
    parts: tuple[tuple[int, tuple[Laid, ...]], ...] = ()


@dataclass(slots=True)
class _Blocks:
    """Blocks of one number of panels, a column each; `at` is their number among all blocks."""

    held: Ints
    wide: Floats
    long: Floats
    area: Floats
    at: Ints

    def __len__(self) -> int:
        return len(self.held)


Joined = tuple[Ints, Floats, Floats, Floats, Ints, Ints, Ints]  # held, wide, long, area, left, right, way


def can_build(kinds: Sequence[Kind]) -> bool:
    """Whether there are few enough panels for one building."""
    counts = [kind.count for kind in kinds]
    return Counts.needed(counts) <= BITS and sum(counts) <= MOST_PANELS


def build(asked: Asked, rng: np.random.Generator, go_on: Callable[[int], bool]) -> Built:
    """The shortest lay of all panels that the kept blocks make. `go_on` is told the work, and may end it."""
    return _Builder(asked, rng, go_on).run()


class _Builder:
    def __init__(self, asked: Asked, rng: np.random.Generator, go_on: Callable[[int], bool]) -> None:
        self.asked, self.rng, self.go_on = asked, rng, go_on
        self.counts = Counts([kind.count for kind in asked.kinds])
        self.panels = sum(kind.count for kind in asked.kinds)
        self.total = float(sum(kind.ways[0][0] * kind.ways[0][1] * kind.count for kind in asked.kinds))
        # A little more than exact, so that rounding drops nothing that might be needed.
        self.spare = float(asked.room) * asked.most * (1 + 1e-12) - self.total
        self.idle = _Idle(asked)
        self.levels: dict[int, _Blocks] = {}
        self.trees: list[tuple[Ints, Ints, Ints]] = []
        self.made = 0
        self.certain = True

    def run(self) -> Built:
        if self.spare < 0:
            return Built(0, None, True)
        self.levels[1] = self._singles()
        if self.panels == 1:
            return self._answer(self.levels[1])
        for size in range(2, self.panels + 1):
            gathered = _Gathered(self, last=size == self.panels)
            for first in range(1, size // 2 + 1):
                for one, other in self._chunks(first, size - first):
                    if not self.go_on(len(one) * len(other)):
                        return Built(0, None, False)
                    gathered.pairs(one, other)
            self.levels[size] = self._numbered(gathered.kept())
        return self._answer(self.levels[self.panels])

    def _chunks(self, first: int, second: int) -> Iterator[tuple[_Blocks, _Blocks]]:
        one, other = self.levels[first], self.levels[second]
        if not len(one) or not len(other):
            return
        rows = max(1, CHUNK // len(other))
        for start in range(0, len(one), rows):
            cut = slice(start, start + rows)
            yield _Blocks(one.held[cut], one.wide[cut], one.long[cut], one.area[cut], one.at[cut]), other

    def _singles(self) -> _Blocks:
        found = [
            (self.counts.units[at], wide, long, wide * long, at)
            for at, kind in enumerate(self.asked.kinds)
            for wide, long in kind.ways
            if wide <= self.asked.room and long <= self.asked.most
        ]
        held, kinds = (np.array([row[i] for row in found], dtype=np.int64) for i in (0, 4))
        wide, long, area = (np.array([row[i] for row in found], dtype=np.float64) for i in (1, 2, 3))
        none = np.full(len(found), -1, dtype=np.int64)
        ways = np.array([_way_of(self.asked.kinds[k], row) for k, row in zip(kinds, found, strict=True)])
        return self._numbered((held, wide, long, area, kinds, ways.astype(np.int64), none))

    def _numbered(self, joined: Joined) -> _Blocks:
        held, wide, long, area, left, right, way = joined
        at = np.arange(self.made, self.made + len(held), dtype=np.int64)
        self.made += len(held)
        self.trees.append((left, right, way))
        return _Blocks(held, wide, long, area, at)

    def _answer(self, found: _Blocks) -> Built:
        if not len(found):
            return Built(0, None, self.certain, () if self.certain else self._parts())
        best = int(np.argmin(found.long))
        return Built(int(found.long[best]), self._laid(int(found.at[best])), self.certain)

    def _parts(self) -> tuple[tuple[int, tuple[Laid, ...]], ...]:
        """Of each number of panels the rows that waste least; first those that leave the rest the most spare.

        Only blocks count that waste a smaller share across the whole room than the lay may on the whole.
        """
        fair = self.spare / self.total
        found: list[tuple[float, int, int]] = []
        for size, blocks in self.levels.items():
            if size * 4 < self.panels or not len(blocks):
                continue
            waste = self.asked.room * blocks.long - blocks.area
            best = int(np.argmin(waste / blocks.area))
            left = fair * blocks.area[best] - waste[best]
            if left > 0:
                found.append((-float(left), int(blocks.at[best]), int(blocks.long[best])))
        return tuple((long, self._laid(at)) for _, at, long in sorted(found)[:PARTS])

    def _laid(self, at: int) -> tuple[Laid, ...]:
        left, right, way = (np.concatenate([tree[i] for tree in self.trees]) for i in (0, 1, 2))
        laid: list[Laid] = []
        self._lay(at, 0, 0, (left, right, way), laid)
        return tuple(laid)

    def _lay(self, at: int, x: int, y: int, trees: tuple[Ints, Ints, Ints], laid: list[Laid]) -> Way:
        """Where the panels of a block lie, and its size."""
        left, right, way = (int(tree[at]) for tree in trees)
        if way < 0:
            size = self.asked.kinds[left].ways[right]
            laid.append((left, x, y, *size))
            return size
        one = self._lay(left, x, y, trees, laid)
        if way == BESIDE:
            other = self._lay(right, x + one[0], y, trees, laid)
            return one[0] + other[0], max(one[1], other[1])
        other = self._lay(right, x, y + one[1], trees, laid)
        return max(one[0], other[0]), one[1] + other[1]


def _way_of(kind: Kind, row: tuple[int, ...]) -> int:
    return kind.ways.index((row[1], row[2]))


class _Gathered:
    """Blocks of one number of panels as they are found, those that waste least kept."""

    def __init__(self, builder: _Builder, *, last: bool) -> None:
        self.builder, self.asked, self.last = builder, builder.asked, last
        self.most = float(self.asked.most)
        self.slack = self.asked.slack
        self.found: list[Joined] = []
        self.size = 0

    def pairs(self, one: _Blocks, other: _Blocks) -> None:
        """Join every block of one set with every one of the other that it can lie beside or behind."""
        apart = self.builder.counts.together(one.held[:, None], other.held[None, :])
        area = one.area[:, None] + other.area[None, :]
        wide = one.wide[:, None] + other.wide[None, :]
        long = np.maximum(one.long[:, None], other.long[None, :])
        self._take(one, other, BESIDE, (apart & (wide <= self.asked.room), wide, long, area))
        wide = np.maximum(one.wide[:, None], other.wide[None, :])
        long = one.long[:, None] + other.long[None, :]
        self._take(one, other, BEHIND, (apart & (long <= self.most), wide, long, area))

    def _take(self, one: _Blocks, other: _Blocks, way: int, joined: tuple[Many, Many, Many, Many]) -> None:
        fine, wide, long, area = joined
        if self.last:
            fine &= long <= self.most
        else:
            waste = wide * long - area
            fine &= waste <= self.builder.spare
            if self.slack < 1e9:
                near = waste <= self.slack * area
                self.builder.certain &= bool(near[fine].all())
                fine &= near
        i, j = np.nonzero(fine)
        if not len(i):
            return
        joined_way = np.full(len(i), way, dtype=np.int64)
        held = one.held[i] + other.held[j]
        new = (held, wide[fine], long[fine], area[fine], one.at[i], other.at[j], joined_way)
        self.found.append(new)
        self.size += len(i)
        if self.last:
            self.most = float(long[fine].min())
        if self.size > 8 * self.asked.keep + CHUNK:
            self._shrink()

    def kept(self) -> Joined:
        self._shrink()
        return self.found[0]

    def _shrink(self) -> None:
        """Drop blocks that others of the same panels are no larger than, then those that waste most."""
        empty = np.zeros(0)
        none = empty.astype(np.int64)
        if not self.found:
            self.found = [(none, empty, empty, empty, none, none, none)]
            return
        columns: list[Many] = [np.concatenate([part[i] for part in self.found]) for i in range(7)]
        held, wide, long, area = columns[:4]
        if self.last:
            chosen: Many = np.argmin(long, keepdims=True)
        else:
            waste = wide * long - area + self.builder.idle.around(wide, long)
            among = np.nonzero(waste <= self.builder.spare)[0]
            chosen = self._least(held, wide, long, among, waste / area)
        self.found = [tuple(column[chosen] for column in columns)]
        self.size = len(chosen)

    def _least(self, held: Ints, wide: Floats, long: Floats, among: Ints, waste: Floats) -> Ints:
        keep = self.asked.keep
        if len(among) > 6 * keep:
            self.builder.certain = False
            among = among[np.argpartition(waste[among], 6 * keep)[: 6 * keep]]
        among = among[np.lexsort((long[among], wide[among], held[among]))]
        among = among[_undominated(held[among], long[among])]
        if len(among) <= keep:
            return among
        self.builder.certain = False
        score = waste[among]
        if self.asked.jitter:
            score = score + self.builder.rng.random(len(among)) * self.asked.jitter
        best = np.argpartition(score, keep)[:keep]
        self.slack = min(self.slack, float(score[best].max()))
        return among[best]


def _undominated(held: Ints, long: Floats) -> Many:
    """Of blocks sorted by panels and width: those shorter than every narrower one of the same panels."""
    if not len(held):
        return np.zeros(0, dtype=bool)
    group = np.cumsum(np.r_[0, held[1:] != held[:-1]])
    # Each group lies below all before it, so that one running minimum serves them all.
    value = long - group * (float(long.max()) + 1)
    least = np.minimum.accumulate(value)
    return np.r_[True, value[1:] < least[:-1]]


class _Idle:
    """The cloth beside and behind a block that no panels can fill up, whatever the rest of the lay is.

    What lies beside it on one line adds up to a sum of panels' widths; what the room is more than the
    largest such sum is waste all along the block. The same holds behind and before it.
    """

    def __init__(self, asked: Asked) -> None:
        panels = [kind.ways for kind in asked.kinds for _ in range(kind.count)]
        self.beside = _rest_over(asked.room, [[way[0] for way in ways] for ways in panels])
        self.behind = _rest_over(asked.most, [[way[1] for way in ways] for ways in panels])
        self.room, self.most = asked.room, asked.most

    def around(self, wide: Floats, long: Floats) -> Floats:
        """Area that is waste around blocks of these sizes."""
        found: Floats = self.beside(self.room - wide) * long + self.behind(self.most - long) * wide
        return found


def _rest_over(most: int, sizes: Sequence[Sequence[int]]) -> Callable[[Floats], Floats]:
    """What is left of a length once the largest sum of sizes that it holds is taken off."""
    unit = math.gcd(*(size for ways in sizes for size in ways))
    least = min(size for ways in sizes for size in ways)
    if most // unit > REACH:
        return lambda left: np.where(left < least, left, 0.0)
    sums, every = 1, (1 << (most // unit + 1)) - 1
    for ways in sizes:
        new = sums
        for size in set(ways):
            new |= sums << (size // unit)
        sums = new & every
    bits = np.frombuffer(sums.to_bytes(most // unit // 8 + 1, "little"), dtype=np.uint8)
    reached = np.unpackbits(bits, bitorder="little")[: most // unit + 1]
    largest = np.maximum.accumulate(np.where(reached, np.arange(len(reached)), 0)) * float(unit)

    def rest(left: Floats) -> Floats:
        found: Floats = left - largest[np.floor_divide(left, unit).astype(np.int64)]
        return found

    return rest
