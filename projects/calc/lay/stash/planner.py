"""The stash planner: every group of lengths that may be used together, the one that meets the aims best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from projects.calc.lay.budget import Budget
from projects.calc.lay.request import Lay, LayRequest
from projects.calc.lay.stash.again import Refilling
from projects.calc.lay.stash.aims import Laid, Problem, key_of
from projects.calc.lay.stash.answer import does_not_serve, empty, lay_of
from projects.calc.lay.stash.exhaustive import best_of_all, is_small
from projects.calc.lay.stash.greedy import quick_use
from projects.calc.lay.stash.groups import Group, groups_of, least_bought
from projects.calc.lay.stash.plain import plainly_best
from projects.calc.lay.stash.problem import problem_of
from projects.calc.lay.stash.steps import OutOfSteps, Steps
from projects.calc.lay.stash.table import Table

AT_ONCE: Final = 5_000
"""Steps of the search for certain that a page can wait for."""
AGAIN: Final = 4_000
"""Panels laid again before it is said that the stash doesn't serve."""
FEW: Final = 7
"""Panels up to which that search is begun at once."""


@dataclass(frozen=True, slots=True)
class Found:
    """The best use known, what must be bought at the least, and whether nothing better exists."""

    laid: Laid | None
    bound: int
    certain: bool


def plan_stash(request: LayRequest) -> Lay:
    """The panels on the lengths of the request, the rest on its roll (none where its width is 0).

    The aims, in order, are those of `aims`: buy least; leave the largest lengths whole; cut few; take little.
    For a few panels every use is tried, and `shortest` then says that none meets the aims better; for many
    it is a good use, and `lower_bound` is still no more than what must be bought. The same request always
    gives the same lay. Raises LayError naming a panel that finds no place, and saying what is missing.
    """
    if not request.panels:
        return empty(request)
    problem = problem_of(request)
    groups = groups_of(problem)
    found = search(problem, groups, Steps(AT_ONCE) if sum(problem.counts) <= FEW else None)
    if found.laid is None and not found.certain:
        found = replace(found, laid=_found_again(problem, groups))
    if found.laid is None:
        raise does_not_serve(problem, groups)
    return lay_of(problem, found.laid, found.bound, found.certain)


def _found_again(problem: Problem, groups: Sequence[Group]) -> Laid | None:
    """A use where quick ways found none: no page says that cloth is missing before it has been looked for."""
    found: list[Laid] = []
    for turn, group in enumerate(group for group in groups if least_bought(problem, group) is not None):
        # Work is counted, not time, and a first find ends it.
        budget = Budget(lambda: 0.0, 1.0, AGAIN, lambda: bool(found))
        Refilling.of(problem, group, {}, turn).run(budget, found.append)
    return min(found, key=lambda laid: key_of(problem, laid), default=None)


def search(problem: Problem, groups: Sequence[Group], steps: Steps | None) -> Found:
    """The best use of any group. With `steps`, every use is tried where they are enough for it."""
    bounds = [least_bought(problem, group) for group in groups]
    bound = min((least for least in bounds if least is not None), default=0)
    serving = [group for group, least in zip(groups, bounds, strict=True) if least is not None]
    if steps is not None and (whole := for_certain(problem, serving, steps)) is not None:
        return whole
    tries = [laid for group in serving if (laid := quick_use(problem, group)) is not None]
    best = min(tries, key=lambda laid: key_of(problem, laid), default=None)
    return Found(best, bound, best is not None and plainly_best(problem, best, bound))


def for_certain(problem: Problem, groups: Sequence[Group], steps: Steps) -> Found | None:
    """The best of all uses, or None where there are too many."""
    if not all(is_small(problem, group) for group in groups):
        return None
    table = Table(problem.kinds, problem.request.straight_cuts, steps)
    if not all(table.knows(bin_) for group in groups for bin_ in group):
        return None
    try:
        tries = [laid for group in groups if (laid := best_of_all(problem, group, table)) is not None]
    except OutOfSteps:
        return None
    best = min(tries, key=lambda laid: key_of(problem, laid), default=None)
    bought = key_of(problem, best)[0] if best is not None else 0
    return Found(best, bought, True)
