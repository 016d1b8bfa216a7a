"""Making a use of the stash better for as long as there is time: never worse than the one begun with.

First, where panels and lengths are few enough, every use is tried, which ends with the best for certain. Else
rounds of two parts: bins are emptied and filled again in other orders; then the panels of the one bin that
counts most are laid again by the search for a single cloth. Rounds end by work done, so that the same request
and seed take the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from projects.calc.lay.budget import Budget
from projects.calc.lay.request import Lay, LayRequest, Placement
from projects.calc.lay.stash.again import Refilling
from projects.calc.lay.stash.aims import Key, Laid, Problem, kept_of, key_of
from projects.calc.lay.stash.answer import lay_of
from projects.calc.lay.stash.bins import Bin, Spot
from projects.calc.lay.stash.groups import Group, groups_of, least_bought
from projects.calc.lay.stash.plain import plainly_best
from projects.calc.lay.stash.planner import for_certain
from projects.calc.lay.stash.problem import problem_of
from projects.calc.lay.stash.shorten import request_on, shortened, spots_of
from projects.calc.lay.stash.steps import Steps

CERTAIN_STEPS: Final = 2_000_000
CERTAIN_SHARE: Final = 0.5  # of the time left, at most, for trying every use
CERTAIN_PANELS: Final = 10
FIRST_ROUND: Final = 20_000  # steps (panels laid) of filling again
ONE_BIN_SHARE: Final = 0.3

Tell = Callable[[Lay], None]


def improve_stash(request: LayRequest, best: Lay, budget: Budget, tell: Tell) -> Lay:
    """The best lay on the lengths of the request found within `budget`, beginning with `best`.

    Better is what meets the aims of `aims` better; `tell` hears of each. Raises LayError like `plan_stash`.
    """
    if best.shortest or not request.panels:
        return best
    search = _Search(problem_of(request), best, tell)
    if search.only_buys():
        return search.on_the_roll(best, budget)
    if not search.try_everything(budget):
        search.rounds(budget)
    return search.lay


class _Search:
    def __init__(self, problem: Problem, best: Lay, tell: Tell) -> None:
        self.problem, self.lay, self.tell = problem, best, tell
        groups = groups_of(problem)
        bounds = [least_bought(problem, group) for group in groups]
        self.bound = max(best.lower_bound, min((b for b in bounds if b is not None), default=0))
        self.groups: list[Group] = [g for g, b in zip(groups, bounds, strict=True) if b is not None]
        self.laid = _laid_of(problem, best)
        self.key: Key = key_of(problem, self.laid)
        self.tried: set[tuple[Bin, tuple[Spot, ...]]] = set()

    def heard(self, laid: Laid) -> None:
        """Keep a use that is better than the best."""
        key = key_of(self.problem, laid)
        if key < self.key:
            self.laid, self.key = laid, key
            self._say(plainly_best(self.problem, laid, self.bound))

    def _say(self, certain: bool) -> None:
        self.lay = lay_of(self.problem, self.laid, self.bound, certain)
        self.tell(self.lay)

    def only_buys(self) -> bool:
        """Whether no length can serve, so that all there is to do is to buy less."""
        return self.problem.request.one_dye_lot and all(len(g) == 1 and g[0].is_roll for g in self.groups)

    def on_the_roll(self, best: Lay, budget: Budget) -> Lay:
        """The search for a single cloth is the whole of it: what it proves holds."""
        from projects.calc.lay.improve import improve

        return improve(replace(self.problem.request, lengths=()), best, budget, self.tell)

    def try_everything(self, budget: Budget) -> bool:
        """Every use, where they are few; whether that came to its end."""
        if sum(self.problem.counts) > CERTAIN_PANELS:
            return False
        part = budget.part(budget.left() * CERTAIN_SHARE)
        found = for_certain(self.problem, self.groups, Steps(CERTAIN_STEPS, lambda: not part.over()))
        if found is None or found.laid is None:
            return False
        key = key_of(self.problem, found.laid)
        if key <= self.key:
            self.laid, self.key, self.bound = found.laid, key, found.bound
            self._say(certain=True)
        return True

    def rounds(self, budget: Budget) -> None:
        """Fill again, lay one bin again, each time for longer, until the budget is over."""
        fillings = [Refilling.of(self.problem, group, self.laid, at) for at, group in enumerate(self.groups)]
        steps = FIRST_ROUND
        while fillings and not budget.over() and not self.lay.shortest:
            for filling in fillings:
                part = budget.part(budget.left() / 2, steps // len(fillings))
                filling.run(part, self._found)
            self._one_bin_again(budget, steps)
            steps *= 2

    def _found(self, laid: Laid) -> None:
        if key_of(self.problem, laid) < self.key:
            self.heard({bin_: shortened(self.problem, bin_, spots) for bin_, spots in laid.items()})

    def _one_bin_again(self, budget: Budget, steps: int) -> None:
        """The panels of one bin laid again by the search for a single cloth."""
        bin_ = self._most_counting()
        if bin_ is None or budget.over():
            return
        from projects.calc.lay.improve import improve

        spots = self.laid[bin_]
        self.tried.add((bin_, spots))
        asked = request_on(self.problem, bin_, spots)
        part = budget.part(budget.left() * ONE_BIN_SHARE, steps)
        lay = improve(asked, _lay_on(bin_, spots, asked), part, lambda _: None)
        found = spots_of(lay, bin_)
        if bin_.used(found) < bin_.used(spots):
            self.heard({**self.laid, bin_: found})
        if lay.shortest and plainly_best(self.problem, self.laid, self.bound, lay.length + bin_.start):
            self._say(certain=True)

    def _most_counting(self) -> Bin | None:
        """The roll if anything is bought, else the cut length of which most remains; those just tried come
        last. None with flaws or pins, which that search does not know of."""
        cut = [b for b in self.problem.lengths if self.laid.get(b)]
        cut.sort(key=lambda b: -kept_of(b, b.used(self.laid[b]), 0))
        roll = self.problem.roll
        bins = [b for b in ([roll] if roll and self.laid.get(roll) else []) + cut if not b.blocks]
        untried = [b for b in bins if (b, self.laid[b]) not in self.tried]
        if bins and not untried:
            self.tried.clear()
        return next(iter(untried or bins), None)


def _laid_of(problem: Problem, lay: Lay) -> Laid:
    """What lies on each bin of a lay, pinned panels left out."""
    kinds = {kind.panel.name: at for at, kind in enumerate(problem.kinds)}
    bins = {bin_.name: bin_ for bin_ in problem.lengths}
    if problem.roll is not None:
        bins[""] = problem.roll
    laid: dict[Bin, tuple[Spot, ...]] = {}
    for p in lay.placements:
        at, gap = kinds[p.name], problem.request.gap
        if p.copy in problem.kinds[at].copies:
            spot = (at, p.x, p.y, p.width + gap, p.length + gap)
            laid[bins[p.on]] = (*laid.get(bins[p.on], ()), spot)
    return laid


def _lay_on(bin_: Bin, spots: Sequence[Spot], asked: LayRequest) -> Lay:
    """Spots as a lay of `request_on`."""
    counted: dict[int, int] = {}
    placements = []
    sizes = {panel.name: (panel.width, panel.length) for panel in asked.panels}
    for kind, x, y, wide, long in spots:
        counted[kind] = counted.get(kind, 0) + 1
        size = (wide - bin_.gap, long - bin_.gap)
        turned = size != sizes[str(kind)]
        placements.append(Placement(str(kind), x, y - bin_.start, *size, turned, counted[kind]))
    # Its waste and bound are found anew with the first better one; until then nothing reads them.
    return Lay(bin_.used(spots) - bin_.start, tuple(placements), 0, Decimal(0), False)
