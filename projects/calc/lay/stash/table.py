"""What any choice of panels takes of any bin at the least, found once each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from projects.calc.lay.stash.bins import Bin, Counts, Kind, Spot
from projects.calc.lay.stash.corners import shortest_free
from projects.calc.lay.stash.slices import Blocks
from projects.calc.lay.stash.steps import Steps


class Table:
    """For a bin and a choice of panels, the spots that take the least of the bin; None where they don't fit.

    Straight cuts round a flaw or a pin aren't searched through: `knows` says for which bins a table speaks.
    """

    def __init__(self, kinds: Sequence[Kind], straight: bool, steps: Steps) -> None:
        self._kinds, self._straight, self._steps = kinds, straight, steps
        self._found: dict[tuple[Bin, Counts], tuple[Spot, ...] | None] = {}
        widest = max((sum(max(way) for way in kind.ways) * len(kind.copies) for kind in kinds), default=0)
        self._blocks = Blocks(kinds, widest * max(1, len(kinds)), steps)

    def knows(self, bin_: Bin) -> bool:
        return not (self._straight and bin_.blocks)

    def spots(self, bin_: Bin, counts: Counts) -> tuple[Spot, ...] | None:
        """Raises OutOfSteps."""
        at = (bin_, counts)
        if at not in self._found:
            self._found[at] = self._search(bin_, counts)
        return self._found[at]

    def _search(self, bin_: Bin, counts: Counts) -> tuple[Spot, ...] | None:
        if not any(counts):
            return ()
        least = 0
        for fewer in _one_less(counts):
            spots = self.spots(bin_, fewer)
            if spots is None:
                return None
            least = max(least, max((y + long for _, _, y, _, long in spots), default=0))
        if not self._straight:
            return shortest_free(counts, self._kinds, bin_, self._steps, least)
        fitting = [
            b for b in self._blocks.of(counts) if b.width <= bin_.room and bin_.start + b.length <= bin_.end
        ]
        return tuple(fitting[-1].spots(0, bin_.start)) if fitting else None


def _one_less(counts: Counts) -> Iterator[Counts]:
    for at, n in enumerate(counts):
        if n:
            yield (*counts[:at], n - 1, *counts[at + 1 :])
