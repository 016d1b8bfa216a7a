"""The range a time estimate holds in eight of ten cases, by a seeded simulation quick enough for a page.

The model: ln(actual / planned) of a step = a part shared by all steps of a project and person (sd 0.3) + a
part of the step (sd 0.3). Both are starting values until logs replace them (`learned`), and then given to
`range80`. Steps are never drawn independently: the shared part keeps the range of a long project wide.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from math import exp, log, sqrt
from random import Random
from statistics import NormalDist
from typing import Final

from projects.calc.units import half_up

SHARED_SD: Final = 0.3
STEP_SD: Final = 0.3
DRAWS: Final = 2_000
DRAWN_SINGLY: Final = 6  # the largest steps; the rest together are near enough to one step of less spread
SLOTS: Final = DRAWN_SINGLY + 2 + 6  # sets of draws: those steps, the rest, the shared part, steps in hand
_SEED: Final = 1_807


@dataclass(frozen=True, slots=True)
class Range80:
    """Whole minutes that the truth is under in one, five and nine of ten cases."""

    low: Decimal
    middle: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class Begun:
    """What is left of a step in hand: minutes (median), the sd of its own part given how it went so far, and
    which share of the shared part it still follows (0: all is known of it, 1: nothing)."""

    minutes: float
    sd: float
    follows: float


def range80(
    steps: Iterable[Decimal | int],
    shared_sd: float = SHARED_SD,
    step_sd: float = STEP_SD,
    *,
    begun: Iterable[Begun] = (),
) -> Range80:
    """The 80 % range of the sum of `steps` (planned minutes, 0 or more); the same for the same input.

    Spreads are used to two places, so that their draws can be kept.
    """
    shared_sd, step_sd = round(shared_sd, 2), round(step_sd, 2)
    sizes = sorted((float(step) for step in steps if step > 0), reverse=True)
    in_hand = sorted((one for one in begun if one.minutes > 0), key=_by_size)
    if not sizes and not in_hand:
        return Range80(Decimal(0), Decimal(0), Decimal(0))
    drawn = _drawn(sizes, shared_sd, step_sd) if sizes else [0.0] * DRAWS
    for slot, one in enumerate(in_hand, start=DRAWN_SINGLY + 2):
        own = _lognormals(min(slot, SLOTS - 1), round(one.sd, 2))
        along = _lognormals(DRAWN_SINGLY + 1, round(shared_sd * one.follows, 2))
        size = one.minutes
        drawn = [total + size * f * g for total, f, g in zip(drawn, own, along, strict=True)]
    drawn = sorted(drawn)
    low, middle, high = (_between(drawn, share) for share in (1, 5, 9))
    return Range80(low, middle, high)


def _by_size(one: Begun) -> tuple[float, float, float]:
    return -one.minutes, one.sd, one.follows


def _drawn(sizes: list[float], shared_sd: float, step_sd: float) -> list[float]:
    totals = _factors(0, step_sd, sizes[0])
    for slot, size in enumerate(sizes[1:DRAWN_SINGLY], start=1):
        totals = [total + part for total, part in zip(totals, _factors(slot, step_sd, size), strict=True)]
    rest = sizes[DRAWN_SINGLY:]
    if rest:
        size, spread = _as_one(rest, step_sd)
        totals = [t + part for t, part in zip(totals, _factors(DRAWN_SINGLY, spread, size), strict=True)]
    return [t * f for t, f in zip(totals, _factors(DRAWN_SINGLY + 1, shared_sd, 1.0), strict=True)]


def _between(drawn: list[float], tenths: int) -> Decimal:
    """The quantile between the two draws that enclose it, to a whole minute."""
    at = len(drawn) * tenths // 10
    return Decimal(half_up(round((drawn[at - 1] + drawn[at]) * 500), 1_000))


def _as_one(sizes: list[float], sd: float) -> tuple[float, float]:
    """Median and log-sd of the lognormal with the mean and variance of a sum of independent lognormals.

    Source: L. F. Fenton, The sum of log-normal probability distributions (1960).
    """
    mean = sum(sizes) * exp(sd * sd / 2)
    variance = sum(size * size for size in sizes) * exp(sd * sd) * (exp(sd * sd) - 1)
    square = log(1 + variance / (mean * mean))
    return mean * exp(-square / 2), sqrt(square)


def _factors(slot: int, sd: float, size: float) -> list[float]:
    return [size * factor for factor in _lognormals(slot, sd)]


@lru_cache(maxsize=128)
def _lognormals(slot: int, sd: float) -> tuple[float, ...]:
    return tuple(exp(sd * z) for z in _normals(slot))


@lru_cache(maxsize=SLOTS)
def _normals(slot: int) -> tuple[float, ...]:
    """DRAWS evenly spread normal quantiles in an order of their own for each slot.

    Sorting by `Random.random` keeps the order the same on every version of Python.
    """
    rng = Random(_SEED + slot)
    normal = NormalDist()
    quantiles = [normal.inv_cdf((i + 0.5) / DRAWS) for i in range(DRAWS)]
    order = sorted((rng.random(), i) for i in range(DRAWS))
    return tuple(quantiles[i] for _, i in order)
