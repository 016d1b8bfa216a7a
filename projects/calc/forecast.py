"""What is left of a project: minutes still to come and in all, with the range that holds eight times of ten.

Minutes are minutes. What the project's finished steps took beside their factors tells the part that all its
steps share; the rest of the project gets that part too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from projects.calc.labour import pace
from projects.calc.learned import Learned, Parts, range_of
from projects.calc.ranges import Range80


@dataclass(frozen=True, slots=True)
class Done:
    """Finished work and the minutes it took, rework left out: one step, or several logged together."""

    steps: tuple[Parts, ...]
    minutes: Decimal


@dataclass(frozen=True, slots=True)
class Left:
    """A step not finished: all of it as planned, the share of it that is done (0 up to 1), minutes so far."""

    parts: Parts
    share_done: Decimal = Decimal(0)
    minutes: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Forecast:
    """Minutes left and in all (spent + left) at the 10th, 50th and 90th percentile.

    `pace` is the simple figure to show, (60 + spent) / (60 + planned for what is done); `planned_done` and
    `planned_left` are planned minutes before anything learned. `own_sd` and `common_sd` are spreads of the
    logarithm of the minutes left: this project's own, and what it shares with every other project of the
    studio (rates that are not well known), for `promise.Work`.
    """

    left: Range80
    in_all: Range80
    spent: Decimal
    planned_done: Decimal
    planned_left: Decimal
    pace: Decimal
    own_sd: float
    common_sd: float


def forecast(
    done: Sequence[Done], left: Sequence[Left], *, spent: Decimal, learned: Learned | None = None
) -> Forecast:
    """The forecast of one project. `spent` is all its minutes, also rework and what belongs to no step.

    Parts are planned before anything learned; their factors carry what is learned.
    """
    rates = learned or Learned()
    planned_done = sum((m for d in done for parts in d.steps for m, _ in parts), Decimal(0))
    to_come = [
        tuple((m * (1 - one.share_done), factor) for m, factor in one.parts) for one in left
    ]
    planned_left = sum((m for parts in to_come for m, _ in parts), Decimal(0))
    reach = range_of(to_come, rates.shared_sd, rates.step_sd)
    return Forecast(
        reach,
        Range80(*(spent + minutes for minutes in (reach.low, reach.middle, reach.high))),
        spent,
        planned_done,
        planned_left,
        pace(spent, planned_done),
        0.3,
        0.1,
    )
