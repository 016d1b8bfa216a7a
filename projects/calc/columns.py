"""The columns of one direction of a panel, and the map between flat and finished cloth.

Every length is whole nanometres; see `axis` for how seams are placed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import accumulate
from operator import add, sub

from projects.calc.folds import Fold, Pressing, after_seam, before_seam


@dataclass(frozen=True)
class Axis:
    """The seams of one direction, in order from the first edge.

    `reaches` is what a tuck covers when it is not its depth (a cord's thickness), else equal to
    `depths`. `numbers` are kept by tucks whose neighbours were dropped; `placed` is how many there were.
    `repeat` and `phase` are 0 where the seams do not come from a repeat (pleats).
    """

    length: int
    seams: tuple[int, ...]
    depths: tuple[int, ...]
    take_ups: tuple[int, ...]
    marks: tuple[str, ...]
    pressings: tuple[Pressing, ...]
    reaches: tuple[int, ...] = field(repr=False)
    numbers: tuple[int, ...] = field(repr=False)
    placed: int
    repeat: int = 0
    phase: int = 0
    order: str = ""
    """The order of sewing wished for: "" one after the other, "centre" outwards from the middle, "alternate"
    every other one and then those between."""
    tightest: int | None = field(default=None, repr=False, compare=False)
    """The smallest visible gap where it is known from the repeat alone; None: found by looking, nm."""

    @property
    def count(self) -> int:
        """How many tucks."""
        return len(self.seams)

    @cached_property
    def swallowed(self) -> tuple[int, ...]:
        """Take-up of all tucks before number i; one longer than the seams, the last is the sum."""
        return tuple(accumulate(self.take_ups, initial=0))

    @cached_property
    def take_up(self) -> int:
        """All take-ups together."""
        return sum(self.take_ups)

    @property
    def flat(self) -> int:
        """Flat extent: length + the sum of all take-ups."""
        return self.length + self.take_up

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """a of each tuck: where its cloth begins, flat."""
        return tuple(map(add, self.seams, self.swallowed))

    @cached_property
    def _lie_alike(self) -> Pressing | None:
        """The pressing all tucks share, so that whole columns can be added at once."""
        first = self.pressings[0] if self.pressings else None
        return first if self.pressings.count(first) == self.count else None

    @cached_property
    def cover_starts(self) -> tuple[int, ...]:
        """Where what each tuck covers begins, finished."""
        if self._lie_alike is Pressing.ON:
            return self.seams
        return tuple(map(sub, self.seams, map(before_seam, self.pressings, self.reaches)))

    @cached_property
    def cover_ends(self) -> tuple[int, ...]:
        """Where what each tuck covers ends, finished."""
        if self._lie_alike is Pressing.ON:
            return tuple(map(add, self.seams, self.reaches))
        return tuple(map(add, self.seams, map(after_seam, self.pressings, self.reaches)))

    def to_flat(self, finished: int) -> int:
        """U(x) = x + the take-ups of all seams up to and at x; strictly rising."""
        return finished + self.swallowed[bisect_right(self.seams, finished)]

    def to_finished(self, flat: int) -> int:
        """The inverse of U; all of a tuck's [a, b] goes to its seam."""
        before = bisect_right(self.starts, flat)
        if before and flat <= self.starts[before - 1] + self.take_ups[before - 1]:
            return self.seams[before - 1]
        return flat - self.swallowed[before]

    def covers(self) -> tuple[tuple[int, int], ...]:
        """Half open [start, end) covered by each tuck, finished; may reach beyond the panel."""
        return tuple(zip(self.cover_starts, self.cover_ends, strict=True))

    @cached_property
    def _sorted_covers(self) -> tuple[Sequence[int], Sequence[int]]:
        if self._apart:
            return self.cover_starts, self.cover_ends
        return sorted(self.cover_starts), sorted(self.cover_ends)

    def layers_at(self, finished: int) -> int:
        """Layers of cloth at x: 1 + 2 x tucks covering it; 0 outside the panel [0, length)."""
        if not 0 <= finished < self.length:
            return 0
        starts, ends = self._sorted_covers
        return 1 + 2 * (bisect_right(starts, finished) - bisect_right(ends, finished))

    @cached_property
    def _apart(self) -> bool:
        """Whether no two covers overlap, so that no place has more than three layers."""
        return self.narrowest_gap >= 0 < min(self.reaches, default=1)

    @cached_property
    def layers_max(self) -> int:
        """The most layers anywhere in the panel."""
        return self.layers_within(0, self.length)

    def layers_within(self, start: int, end: int) -> int:
        """The most layers in [start, end) of the finished panel; 0 where that holds no cloth."""
        start, end = max(start, 0), min(end, self.length)
        if start >= end:
            return 0
        starts, ends = self._sorted_covers
        before = bisect_right(starts, start)
        inside = starts[before : bisect_right(starts, end - 1)]
        if inside and self._apart:
            return 3
        first = self.layers_at(start)
        if not inside:
            return first
        open_now = (before + i - bisect_right(ends, x) for i, x in enumerate(inside, 1))
        return max(first, 1 + 2 * max(open_now))

    @cached_property
    def narrowest_gap(self) -> int:
        """The smallest visible gap, nm; negative where tucks overlap, 0 where there are not two."""
        return min(self.gaps(), default=0) if self.tightest is None else self.tightest

    def gaps(self) -> tuple[int, ...]:
        """Visible gap between each tuck and the next, nm; one fewer than the tucks. Negative: overlapping."""
        return tuple(map(sub, self.cover_starts[1:], self.cover_ends))

    def spaces(self) -> tuple[int, ...]:
        """From the seam before to each seam, finished; the first from the edge."""
        return tuple(map(sub, self.seams, (0, *self.seams)))

    def fold_at(self, index: int, caught: str = "") -> Fold:
        """The tuck at `index` (from 0) with all its measures."""
        seam = self.seams[index]
        return Fold(
            number=self.numbers[index],
            mark=self.marks[index],
            seam=seam,
            depth=self.depths[index],
            take_up=self.take_ups[index],
            start=self.starts[index],
            space=seam - (self.seams[index - 1] if index else 0),
            cover_start=self.cover_starts[index],
            cover_end=self.cover_ends[index],
            pressing=self.pressings[index],
            caught=caught,
        )

    def folds(self) -> Iterator[Fold]:
        """Each tuck, from the first edge."""
        return map(self.fold_at, range(self.count))

    def mirrored(self) -> Axis:
        """The mirror image: seams counted from the opposite edge, order reversed, pressing turned over.

        A tuck keeps its number wherever it comes to lie.
        """
        return Axis(
            length=self.length,
            seams=tuple(self.length - x for x in reversed(self.seams)),
            depths=self.depths[::-1],
            take_ups=self.take_ups[::-1],
            marks=self.marks[::-1],
            pressings=tuple(p.turned for p in reversed(self.pressings)),
            reaches=self.reaches[::-1],
            numbers=self.numbers[::-1],
            placed=self.placed,
            repeat=self.repeat,
            phase=-(self.length + self.phase) % self.repeat if self.repeat else 0,
            order=self.order,
            tightest=self.tightest,
        )

    def turned(self) -> Axis:
        """Turned end for end on the table. Along one axis that is what a mirror does."""
        return self.mirrored()

    def without(self, indices: Collection[int]) -> Axis:
        """Tucks dropped by index: their q leaves the flat extent, all other seams and numbers stay."""
        gone = set(indices)
        if not gone:
            return self
        keep = [i for i in range(self.count) if i not in gone]
        return replace(
            self,
            seams=tuple(self.seams[i] for i in keep),
            depths=tuple(self.depths[i] for i in keep),
            take_ups=tuple(self.take_ups[i] for i in keep),
            marks=tuple(self.marks[i] for i in keep),
            pressings=tuple(self.pressings[i] for i in keep),
            reaches=tuple(self.reaches[i] for i in keep),
            numbers=tuple(self.numbers[i] for i in keep),
            tightest=None,
        )
