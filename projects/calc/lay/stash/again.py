"""Filling a few bins of a use again, in other orders, for as long as there is time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random
from typing import Final

from projects.calc.lay.budget import Budget
from projects.calc.lay.stash.aims import Key, Laid, Problem, key_of
from projects.calc.lay.stash.bins import Bin, Spot
from projects.calc.lay.stash.fill import order_of
from projects.calc.lay.stash.greedy import share_out
from projects.calc.lay.stash.groups import Group
from projects.calc.lay.stash.shorten import tastes_of

SPARE: Final = " "
"""No length is called this."""
SPREAD: Final = 0.5
"""How far a panel's size is taken for smaller or larger than it is, so that orders differ."""


class Refilling:
    """A use of some bins, and the search for a better one: two or three bins are emptied and filled again.

    What is no worse by the aims is kept, so that the search wanders among equals. The same seed takes the
    same way.
    """

    def __init__(self, problem: Problem, bins: Sequence[Bin], laid: Laid, seed: int) -> None:
        self.problem = problem
        self.bins = [*bins]
        self.spare = [bin_ for bin_ in bins if bin_.name == SPARE]
        self.laid: dict[Bin, tuple[Spot, ...]] = {bin_: laid.get(bin_, ()) for bin_ in bins}
        self.key: Key = key_of(problem, self.laid)
        self.random = Random(seed)
        self.tastes = tastes_of(problem.request)

    @classmethod
    def of(cls, problem: Problem, group: Group, laid: Laid, turn: int) -> Refilling:
        """A search within a group, from `laid` if it keeps to the group. A group without a roll is given a
        spare one for what finds no place."""
        bins = group
        if not group[-1].is_roll:
            spare = _spare(problem, group)
            problem, bins = replace(problem, roll=spare), (*group, spare)
        if not laid or any(spots and bin_ not in group for bin_, spots in laid.items()):
            order = order_of(problem.counts, problem.kinds, 2)
            laid, _ = share_out(problem, bins, order, tastes_of(problem.request)[0])
        return cls(problem, bins, laid, problem.request.seed * 1_000 + turn)

    def run(self, budget: Budget, better: Callable[[Laid], None]) -> None:
        """Search until the budget is over; `better` hears of each better use that leaves the spare empty."""
        while True:
            bins = self._emptied()
            panels = [spot[0] for bin_ in bins for spot in self.laid[bin_]]
            if not budget.step(max(1, len(panels))):
                return
            laid, left = share_out(self.problem, bins, self._order(panels), self.random.choice(self.tastes))
            if any(left):
                continue
            new = self.laid | dict.fromkeys(bins, ()) | laid
            key = key_of(self.problem, new)
            if key > self.key:
                continue
            known, self.laid, self.key = self.key, new, key
            if key < known and not any(new[bin_] for bin_ in self.spare):
                better({bin_: spots for bin_, spots in new.items() if bin_ not in self.spare})

    def _emptied(self) -> list[Bin]:
        """Bins to fill again, in filling order: the one that should give up panels comes last."""
        roll = next((bin_ for bin_ in self.bins if bin_.is_roll), None)
        cut = [bin_ for bin_ in self.bins if self.laid[bin_] and not bin_.is_roll]
        if roll is not None and self.laid[roll] and (not cut or self.random.random() < 0.7):
            last = roll
        elif cut:
            last = self.random.choice(cut)
        else:
            last = self.bins[-1]
        others = [bin_ for bin_ in self.bins if bin_ is not last and not bin_.is_roll]
        chosen = self.random.sample(others, min(len(others), self.random.choice((1, 1, 2, 2, 3))))
        if self.random.random() < 0.7:
            chosen.sort(key=lambda bin_: bin_.width * bin_.length)
        return [*chosen, last]

    def _order(self, panels: Sequence[int]) -> list[int]:
        by = self.random.choice((_length, _width, _area))
        sizes = {kind: by(self.problem.kinds[kind].ways[0]) for kind in panels}

        def size(kind: int) -> float:
            return -sizes[kind] * self.random.uniform(1 - SPREAD, 1 + SPREAD)

        return [kind for _, kind in sorted((size(kind), kind) for kind in panels)]


def _spare(problem: Problem, group: Group) -> Bin:
    """A roll that isn't there, wide and long enough for everything."""
    room = max([bin_.room for bin_ in group] + [way[0] for kind in problem.kinds for way in kind.ways])
    end = sum(len(kind.copies) * max(way[1] for way in kind.ways) for kind in problem.kinds)
    return Bin(SPARE, room, 0, end, problem.request.gap, is_roll=True)


def _length(way: tuple[int, int]) -> int:
    return way[1]


def _width(way: tuple[int, int]) -> int:
    return way[0]


def _area(way: tuple[int, int]) -> int:
    return way[0] * way[1]
