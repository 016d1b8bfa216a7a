"""What is left of a project: minutes still to come and in all, with the range that holds eight times of ten.

Minutes are minutes. What the project's finished steps took beside their factors tells the part that all its
steps share; the rest of the project gets that part too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import exp, log, sqrt
from typing import Final

from projects.calc.labour import pace
from projects.calc.learned import WILDEST, Learned, Parts, loads_of, moved, rate_variance
from projects.calc.ranges import STEP_SD, Begun, Range80, range80

BEGINNING_SD: Final = 0.15
"""How far the first half of a step strays from its whole: a starting value."""
LEAST_VARIANCE: Final = 0.01**2
Z90: Final = 1.2816  # the normal quantile


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

    Parts are planned before anything learned; their factors carry what is learned, from these finished steps
    too. Source: normal-normal updating of the shared part, given the factors.
    """
    so_far = _so_far(done, left, learned or Learned())
    reach, common = _reach(left, so_far)
    planned = sum((minutes for one in done for parts in one.steps for minutes, _ in parts), Decimal(0))
    planned += sum((minutes * one.share_done for one in left for minutes, _ in one.parts), Decimal(0))
    spread = _spread(reach)
    common_sd = min(sqrt(common), spread)
    return Forecast(
        left=reach,
        in_all=Range80(spent + reach.low, spent + reach.middle, spent + reach.high),
        spent=spent,
        planned_done=planned,
        planned_left=sum((minutes for one in left for minutes, _ in _rest(one)), Decimal(0)),
        pace=pace(spent, planned),
        own_sd=sqrt(spread**2 - common_sd**2),
        common_sd=common_sd,
    )


def left_by_group(
    done: Sequence[Done], groups: Sequence[Sequence[Left]], *, learned: Learned | None = None
) -> tuple[Range80, ...]:
    """Minutes left of each group of one project's steps (a stage, say), at the pace of all that is done.

    Ranges don't add up: of several groups some turn out quicker while others turn out slower.
    """
    so_far = _so_far(done, [one for group in groups for one in group], learned or Learned())
    return tuple(_reach(group, so_far)[0] for group in groups)


@dataclass(frozen=True, slots=True)
class _SoFar:
    """What work tells of the shared part: its mean (`shift`), and the variance left of it (`kept`)."""

    rates: Learned
    told: tuple[_Told, ...]
    kept: float
    shift: float


def _so_far(done: Sequence[Done], left: Sequence[Left], rates: Learned) -> _SoFar:
    told = (*_told_by(done, rates), *(_told_by_begun(one, rates) for one in left if _begun(one)))
    kept = 1 / (1 / rates.shared_sd**2 + sum(one.weight for one in told)) if rates.shared_sd else 0.0
    return _SoFar(rates, told, kept, kept * sum(one.weight * one.value for one in told))


def _reach(left: Sequence[Left], so_far: _SoFar) -> tuple[Range80, float]:
    """The range of these steps, and the variance of their rates that all projects share."""
    apart, common = _not_known([_rest(one) for one in left], so_far.told, so_far.kept)
    fresh = [Decimal(moved(_rest(one)) * exp(so_far.shift)) for one in left if not _begun(one)]
    begun = [_in_hand(one, so_far.rates, so_far.shift) for one in left if _begun(one)]
    return range80(fresh, sqrt(so_far.kept + apart), so_far.rates.step_sd, begun=begun), common


@dataclass(frozen=True, slots=True)
class _Told:
    """What work says of the shared part: a logarithm, its weight (1 / variance), and the work itself."""

    value: float
    weight: float
    steps: tuple[Parts, ...]


def _told_by(done: Sequence[Done], rates: Learned) -> Iterator[_Told]:
    """Steps logged together stray less than one alone: their parts of the step cancel out in part."""
    for one in done:
        sizes = [size for size in map(moved, one.steps) if size > 0]
        if sizes and one.minutes > 0:
            total = sum(sizes)
            variance = rates.step_sd**2 * sum(size * size for size in sizes) / total**2
            value = _tame(log(float(one.minutes) / total))
            yield _Told(value, 1 / max(variance, LEAST_VARIANCE), one.steps)


def _begun(one: Left) -> bool:
    return one.share_done > 0 and one.minutes > 0 and moved(one.parts) > 0


def _told_by_begun(one: Left, rates: Learned) -> _Told:
    step, so_far = _variances(one, rates)
    return _Told(_pace_of(one), 1 / (step + so_far), (one.parts,))


def _pace_of(one: Left) -> float:
    return _tame(log(float(one.minutes) / (moved(one.parts) * float(one.share_done))))


def _tame(value: float) -> float:
    return max(-WILDEST, min(WILDEST, value))


def _variances(one: Left, rates: Learned) -> tuple[float, float]:
    """Of the part of this step (its rates among it, which nothing finished has told yet), and of how far its
    beginning strays from the whole step: less, the more of it is done."""
    own, _ = rate_variance(loads_of([one.parts]))
    done = float(one.share_done)
    return max(rates.step_sd**2 + own, LEAST_VARIANCE), BEGINNING_SD**2 * (1 - done) / done


def _in_hand(one: Left, rates: Learned, shift: float) -> Begun:
    """What is left of a step that was begun goes on at its own pace, the more of it is done the more so."""
    step, so_far = _variances(one, rates)
    known = step / (step + so_far)
    mean = shift + known * (_pace_of(one) - shift)
    return Begun(moved(_rest(one)) * exp(mean), sqrt(step * (1 - known) + so_far), 1 - known)


def _rest(one: Left) -> Parts:
    return tuple((minutes * (1 - one.share_done), factor) for minutes, factor in one.parts)


def _not_known(to_come: Sequence[Parts], told: Sequence[_Told], kept: float) -> tuple[float, float]:
    """The variance that rates not well known leave in what is to come, and how much of it all projects share.

    A rate that is too high makes the shared part too low by as much: where the same work is left as was done
    the two cancel out.
    """
    loads = loads_of(to_come)
    if not loads:
        return 0.0, 0.0
    against = [
        (-kept * one.weight * load, factor) for one in told for load, factor in loads_of(one.steps)
    ]
    return rate_variance([*loads, *against])[0], rate_variance(loads)[1]


def _spread(reach: Range80) -> float:
    """The sd of the logarithm of which these are the 10th and 90th percentile."""
    if reach.low <= 0:
        return 0.0 if reach.high <= 0 else STEP_SD
    return log(float(reach.high / reach.low)) / (2 * Z90)
