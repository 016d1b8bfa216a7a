"""Lays of straight cuts alone: every cut runs edge to edge of what it cuts, as cloth is torn."""

from __future__ import annotations

from collections.abc import Callable

from projects.calc.lay.budget import Budget
from projects.calc.lay.request import Lay, LayRequest
from projects.calc.lay.straight.quick import plan_straight

__all__ = ["improve_straight", "plan_straight"]


def improve_straight(request: LayRequest, best: Lay, budget: Budget, tell: Callable[[Lay], None]) -> Lay:
    """The shortest lay of straight cuts found within `budget`, beginning with `best`, and never longer.

    `tell` hears of each shorter lay and each higher bound. The search loads numpy; a quick lay does not.
    """
    from projects.calc.lay.straight.search import improve_straight as search

    return search(request, best, budget, tell)
