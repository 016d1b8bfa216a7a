"""The best use of the stash for certain, where panels and lengths are few: every way to share them out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import prod
from typing import Final

from projects.calc.lay.stash.aims import Key, Laid, Problem, key_of_used
from projects.calc.lay.stash.bins import Bin, Counts, Spot, area
from projects.calc.lay.stash.table import Table
from projects.calc.units import ceil_div

MOST_SHARES: Final = 20_000
"""Ways to share out panels above which nobody waits for all of them."""


def is_small(problem: Problem, bins: Sequence[Bin], most: int = MOST_SHARES) -> bool:
    """Whether every way to share out the panels over the bins can be tried."""
    # n equal panels are shared out over b bins in (n + b - 1 over b - 1) ways; both of these are more.
    ways = prod(min((n + 1) ** (len(bins) - 1), len(bins) ** n) for n in problem.counts)
    return len(bins) > 0 and ways <= most


def best_of_all(problem: Problem, bins: Sequence[Bin], table: Table) -> Laid | None:
    """The best use of `bins` (the roll last, if it is among them); None where they can't hold the panels.

    Raises OutOfSteps.
    """
    search = _Shares(problem, bins, table)
    search.go(0, problem.counts, [])
    return search.best


class _Shares:
    def __init__(self, problem: Problem, bins: Sequence[Bin], table: Table) -> None:
        self.problem, self.bins, self.table = problem, bins, table
        self.best: Laid | None = None
        self.key: Key | None = None

    def go(self, at: int, left: Counts, spots: list[tuple[Spot, ...]]) -> None:
        bin_ = self.bins[at]
        if at == len(self.bins) - 1:
            if self._may_be_better(bin_, left) and (laid := self.table.spots(bin_, left)) is not None:
                self._keep([*spots, laid])
            return
        for share in _shares(left):
            laid = self.table.spots(bin_, share)
            if laid is not None:
                rest = tuple(n - k for n, k in zip(left, share, strict=True))
                self.go(at + 1, rest, [*spots, laid])

    def _may_be_better(self, bin_: Bin, left: Counts) -> bool:
        """Whether the roll can give the rest with no more bought than the best there is."""
        if self.key is None or not bin_.is_roll or not any(left):
            return True
        return bin_.start + ceil_div(area(left, self.problem.kinds), bin_.room) - bin_.gap <= self.key[0]

    def _keep(self, spots: list[tuple[Spot, ...]]) -> None:
        laid = dict(zip(self.bins, spots, strict=True))
        used = [bin_.used(laid.get(bin_, ())) for bin_ in self.problem.lengths]
        roll = self.problem.roll
        bought = roll.used(laid.get(roll, ())) if roll else 0
        key = key_of_used(self.problem, bought, used)
        if self.key is None or key < self.key:
            self.best, self.key = laid, key


def _shares(counts: Counts) -> Iterator[Counts]:
    """All of them first: what serves from the stash is found before what is bought."""
    return product(*(range(n, -1, -1) for n in counts))
