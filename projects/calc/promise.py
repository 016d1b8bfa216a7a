"""When each project will be done, and by when a new piece of work can be promised.

Times are minutes, days dates; today counts as a whole day. Everybody works on the project that is due first
of those they may work on; projects without a due date come last. The answer is a seeded simulation: the same
for the same input. Spreads without a source are starting values.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, sqrt
from random import Random
from statistics import NormalDist
from typing import Final

from projects.calc.working_days import Day, Queue, Worker, between, queue_of

__all__ = ["Outlook", "Promise", "Share", "Work", "Worker", "promise_for", "share_of", "simulate"]

DRAWS: Final = 500
SAFE: Final = 0.8
SEED: Final = 1_807
MOVES: Final = 3
SHARE_SD: Final = 0.2
"""How far the share of declared hours that goes into projects lies from 1, before any log."""
WEEK_SD: Final = 0.3
"""How far one week of one person strays from that share."""
PRIOR_WEEKS: Final = 8
OWN_SD: Final = 0.35
COMMON_SD: Final = 0.15
_NEW: Final = "a new piece of work"


@dataclass(frozen=True, slots=True)
class Work:
    """A project in hand: minutes left (the median), and the sds of their logarithm.

    `own_sd` is this project's, `common_sd` what all projects share (see `forecast.Forecast`). `people` are
    those who work on it; empty: everybody. `begun` breaks ties of the due date (a smaller one comes first).
    """

    key: Hashable
    due: Day | None
    minutes: float
    own_sd: float = OWN_SD
    common_sd: float = COMMON_SD
    people: frozenset[Hashable] = frozenset()
    begun: int = 0


@dataclass(frozen=True, slots=True)
class Share:
    """The share of declared hours that really goes into projects: mean, sd, weeks it was learned from, and
    how far one week of one person strays from it."""

    mean: float = 1.0
    sd: float = SHARE_SD
    weeks: int = 0
    week_sd: float = WEEK_SD

    @property
    def starting(self) -> bool:
        return not self.weeks


STARTING_SHARE: Final = Share()


@dataclass(frozen=True, slots=True)
class Outlook:
    """When a work will be done: `likely` in half the cases, `safe` in eight of ten; None: not within reach.

    `on_time` is the share of cases in which it is done by its due date, None without one. `late` says that
    it is not in eight of ten; `late_days` are the days from due date to `safe` (0 where it is on time), and
    `likely_late_days` those to `likely`.
    """

    key: Hashable
    likely: Day | None
    safe: Day | None
    on_time: float | None
    late: bool
    late_days: int | None
    likely_late_days: int | None


@dataclass(frozen=True, slots=True)
class Promise:
    """A new piece of work: done by `likely` in half the cases, can be promised for `safe`. None: never."""

    likely: Day | None
    safe: Day | None


def share_of(weeks: Iterable[tuple[int, int]]) -> Share:
    """The share from recent whole weeks: (minutes logged on projects, minutes declared) of one person each.

    Weeks without declared minutes tell nothing. Source: normal-normal updating, with 1 as the starting value.
    """
    shares = sorted(logged / declared for logged, declared in weeks if declared > 0)
    count = len(shares)
    if not count:
        return STARTING_SHARE
    middle = sum(shares) / count
    apart = sum((share - middle) ** 2 for share in shares)
    variance = (PRIOR_WEEKS * WEEK_SD**2 + apart) / (PRIOR_WEEKS + count - 1)
    certain = 1 / SHARE_SD**2 + count / variance
    mean = (1 / SHARE_SD**2 + count * middle / variance) / certain
    return Share(mean, sqrt(1 / certain), count, sqrt(variance))


def simulate(
    works: Sequence[Work],
    workers: Sequence[Worker],
    today: Day,
    *,
    share: Share = STARTING_SHARE,
    draws: int = DRAWS,
    seed: int = SEED,
) -> dict[Hashable, Outlook]:
    """When each of `works` will be done, in due-date order, by its key."""
    chances = _Chances(share, draws, seed)
    return _run([(work, slot) for slot, work in enumerate(_ordered(works))], workers, today, chances)


def promise_for(
    minutes: float,
    works: Sequence[Work],
    workers: Sequence[Worker],
    today: Day,
    *,
    own_sd: float = OWN_SD,
    common_sd: float = COMMON_SD,
    people: frozenset[Hashable] = frozenset(),
    share: Share = STARTING_SHARE,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Promise:
    """The day a new work of `minutes` (median) can be promised for: done by then in eight of ten cases.

    It comes before work that is due later only where none of that gets late by it; what is late already is
    not made later.
    """
    chances = _Chances(share, draws, seed)
    order = [(work, slot) for slot, work in enumerate(_ordered(works))]
    new = Work(_NEW, None, minutes, own_sd, common_sd, people)
    dues = [work.due for work, _ in order if work.due]
    before = _run(order, workers, today, chances) if dues else {}

    def placed(at: int) -> dict[Hashable, Outlook]:
        return _run([*order[:at], (new, -1), *order[at:]], workers, today, chances)

    at, found = len(dues), placed(len(dues))
    for _ in range(MOVES):
        safe = found[_NEW].safe
        first = bisect_right(dues, safe) if safe else at
        moved = _first_harmless(first, at, placed, before)
        if moved is None:
            break
        at, found = moved
    safe = found[_NEW].safe
    return Promise(found[_NEW].likely, max(safe, dues[at - 1]) if safe and at else safe)


def _first_harmless(
    first: int, end: int, placed: Callable[[int], dict[Hashable, Outlook]], before: dict[Hashable, Outlook]
) -> tuple[int, dict[Hashable, Outlook]] | None:
    """The first place before `end` where nothing behind gets late, by halving: further back harms less."""
    found = None
    at = first
    while first < end:
        tried = placed(at)
        if _harm(before, tried):
            first = at + 1
        else:
            found, end = (at, tried), at
        at = (first + end) // 2
    return found


def _harm(before: dict[Hashable, Outlook], after: dict[Hashable, Outlook]) -> bool:
    return any(
        (after[key].on_time or 0) < min(SAFE, was.on_time) for key, was in before.items() if was.on_time
    )


def _ordered(works: Sequence[Work]) -> list[Work]:
    def turn(work: Work) -> tuple[bool, int, int]:
        return work.due is None, work.due.toordinal() if work.due else 0, work.begun

    return sorted(works, key=turn)


@dataclass(frozen=True, slots=True)
class _Chances:
    share: Share
    draws: int
    seed: int

    def normals(self, slot: int) -> tuple[float, ...]:
        return _normals(slot, self.draws, self.seed)


def _run(
    order: Sequence[tuple[Work, int]], workers: Sequence[Worker], today: Day, chances: _Chances
) -> dict[Hashable, Outlook]:
    """Each work in turn takes the hours of its people that are not taken before it, draw by draw."""
    queue = queue_of([work.people for work, _ in order], workers, today, chances.draws)
    common, share = chances.normals(-2), _shares(chances)
    weekly = [sum(worker.week) for worker in workers]
    found: dict[Hashable, Outlook] = {}
    for at, (work, slot) in enumerate(order):
        strays = sqrt(work.own_sd**2 + _weeks_variance(work, workers, weekly, chances.share))
        minutes = [
            work.minutes * exp(strays * own + work.common_sd * all_work) * stretch
            for own, all_work, stretch in zip(chances.normals(slot), common, share, strict=True)
        ]
        found[work.key] = _outlook(work, sorted(queue.take(at, minutes)), queue, today)
    return found


def _shares(chances: _Chances) -> list[float]:
    """Declared minutes that a minute of work takes, draw by draw; never more than ten."""
    share = chances.share
    return [1 / max(share.mean + share.sd * z, 0.1) for z in chances.normals(-3)]


def _weeks_variance(work: Work, workers: Sequence[Worker], weekly: Sequence[int], share: Share) -> float:
    """Weeks that stray from the share, as a variance of the logarithm of a work's minutes.

    A work of W minutes takes W / (b s) weeks of b declared minutes; the sum of their strays has the variance
    week_sd^2 x (sum of squares of the persons' minutes) for each.
    """
    of_all = not work.people
    mine = [
        m for worker, m in zip(workers, weekly, strict=True) if of_all or worker.person in work.people
    ]
    minutes = sum(mine) * work.minutes * max(share.mean, 0.1)
    return min(share.week_sd**2 * sum(m * m for m in mine) / minutes, 0.25) if minutes > 0 else 0.0


def _outlook(work: Work, days: Sequence[float], queue: Queue, today: Day) -> Outlook:
    """From the sorted days (numbers from today on; infinite: not within reach) on which a work gets done."""
    count = len(days)
    likely, safe = (_date(days[-(-count * tenths // 10) - 1], today) for tenths in (5, 8))
    if work.due is None:
        return Outlook(work.key, likely, safe, None, False, None, None)
    on_time = bisect_right(days, between(today, work.due)) / count
    late, likely_late = (None if day is None else max(between(work.due, day), 0) for day in (safe, likely))
    return Outlook(work.key, likely, safe, on_time, late != 0, late, likely_late)


def _date(day: float, today: Day) -> Day | None:
    return None if day == float("inf") else today.fromordinal(today.toordinal() + int(day))


@lru_cache(maxsize=256)
def _normals(slot: int, draws: int, seed: int) -> tuple[float, ...]:
    """Evenly spread normal quantiles in an order of their own for each slot, as in `ranges`."""
    rng = Random(seed * 1_009 + slot)
    normal = NormalDist()
    order = sorted((rng.random(), i) for i in range(draws))
    return tuple(normal.inv_cdf((i + 0.5) / draws) for _, i in order)
