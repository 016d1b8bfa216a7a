"""Making a lay shorter for as long as there is time: never longer than the lay begun with."""

from __future__ import annotations

from collections.abc import Callable

from projects.calc.lay.budget import Budget
from projects.calc.lay.request import Lay, LayRequest

Tell = Callable[[Lay], None]


def improve(request: LayRequest, best: Lay, budget: Budget, tell: Tell) -> Lay:
    """The best lay found within `budget`, beginning with `best`, a lay of `request`.

    `tell` hears of each better lay, and of each better bound. The answer is never longer than `best` and its
    bound never lower. Raises LayError like `plan_lay`.
    """
    if best.shortest:
        return best
    if request.lengths:
        from projects.calc.lay.stash import improve_stash

        return improve_stash(request, best, budget, tell)
    if request.straight_cuts:
        from projects.calc.lay.straight import improve_straight

        return improve_straight(request, best, budget, tell)
    from projects.calc.lay.roll import improve_roll

    return improve_roll(request, best, budget, tell)
