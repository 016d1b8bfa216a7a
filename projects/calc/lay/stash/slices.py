"""The shortest straight-cut way to lay a few panels, for certain: every way to cut blocks from blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from projects.calc.lay.stash.bins import Counts, Kind, Spot
from projects.calc.lay.stash.steps import Steps


@dataclass(frozen=True, slots=True)
class Block:
    """Panels that straight cuts free from a rectangle `width` by `length`: one panel of `kind`, or two
    blocks beside (across) or behind one another."""

    width: int
    length: int
    kind: int = -1
    first: Block | None = None
    second: Block | None = None
    beside: bool = False

    def spots(self, x: int, y: int) -> Iterator[Spot]:
        """Where each panel lies when the block begins at x, y."""
        if self.first is None or self.second is None:
            yield self.kind, x, y, self.width, self.length
            return
        yield from self.first.spots(x, y)
        yield from self.second.spots(
            *((x + self.first.width, y) if self.beside else (x, y + self.first.length))
        )


class Blocks:
    """For every choice of panels the blocks that hold them, those left out that another beats both ways.

    Every straight-cut layout of two panels or more is two smaller ones beside or behind one another.
    """

    def __init__(self, kinds: Sequence[Kind], room: int, steps: Steps) -> None:
        self._kinds, self._room, self._steps = kinds, room, steps
        self._known: dict[Counts, tuple[Block, ...]] = {}

    def of(self, counts: Counts) -> tuple[Block, ...]:
        """Narrowest first, each shorter than the one before. Raises OutOfSteps."""
        known = self._known.get(counts)
        if known is None:
            found = self._single(counts) if sum(counts) == 1 else self._joined(counts)
            known = self._known[counts] = tuple(_unbeaten(b for b in found if b.width <= self._room))
        return known

    def _single(self, counts: Counts) -> Iterator[Block]:
        kind = counts.index(1)
        for wide, long in self._kinds[kind].ways:
            yield Block(wide, long, kind)

    def _joined(self, counts: Counts) -> Iterator[Block]:
        nothing = (0,) * len(counts)
        for part in product(*(range(n + 1) for n in counts)):
            rest = tuple(n - k for n, k in zip(counts, part, strict=True))
            if part > rest or part == nothing:
                continue
            for a, b in product(self.of(part), self.of(rest)):
                self._steps.take()
                yield Block(a.width + b.width, max(a.length, b.length), -1, a, b, True)
                yield Block(max(a.width, b.width), a.length + b.length, -1, a, b)


def _unbeaten(blocks: Iterator[Block]) -> Iterator[Block]:
    least: int | None = None
    for block in sorted(blocks, key=lambda b: (b.width, b.length)):
        if least is None or block.length < least:
            least = block.length
            yield block
