"""When each project will be done, and by when a new piece of work can be promised.

Times are minutes, days dates. Everybody works on the project that is due first of those they may work on;
projects without a due date come last. The answer is a seeded simulation: the same for the same input.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

DRAWS: Final = 500


@dataclass(frozen=True, slots=True)
class Worker:
    """Minutes a person gives to projects on each weekday (0 is Monday), and days off, both ends included."""

    person: Hashable
    week: tuple[int, int, int, int, int, int, int]
    off: tuple[tuple[date, date], ...] = ()


@dataclass(frozen=True, slots=True)
class Work:
    """A project in hand: minutes left (the median), and the sds of their logarithm.

    `own_sd` is this project's, `common_sd` what all projects share (see `forecast.Forecast`). `people` are
    those who work on it; empty: everybody. `begun` breaks ties of the due date (a smaller one comes first).
    """

    key: Hashable
    due: date | None
    minutes: float
    own_sd: float = 0.35
    common_sd: float = 0.1
    people: frozenset[Hashable] = frozenset()
    begun: int = 0


@dataclass(frozen=True, slots=True)
class Share:
    """The share of declared hours that really goes into projects: mean, sd, weeks it was learned from."""

    mean: float = 1.0
    sd: float = 0.15
    weeks: int = 0

    @property
    def starting(self) -> bool:
        return not self.weeks


@dataclass(frozen=True, slots=True)
class Outlook:
    """When a work will be done: `likely` in half the cases, `safe` in eight of ten; None: not within reach.

    `on_time` is the share of cases in which it is done by its due date, None without one. `late` says that
    it is not in eight of ten; `late_days` are the days from due date to `safe` (0 where it is on time), and
    `likely_late_days` those to `likely`.
    """

    key: Hashable
    likely: date | None
    safe: date | None
    on_time: float | None
    late: bool
    late_days: int | None
    likely_late_days: int | None


@dataclass(frozen=True, slots=True)
class Promise:
    """A new piece of work: done by `likely` in half the cases, can be promised for `safe`. None: never."""

    likely: date | None
    safe: date | None


def share_of(weeks: Iterable[tuple[int, int]]) -> Share:
    """The share from recent whole weeks: (minutes logged on projects, minutes declared)."""
    return Share()


def simulate(
    works: Sequence[Work],
    workers: Sequence[Worker],
    today: date,
    *,
    share: Share = Share(),  # noqa: B008
    draws: int = DRAWS,
    seed: int = 1_807,
) -> dict[Hashable, Outlook]:
    """When each of `works` will be done, in due-date order, by its key."""
    found: dict[Hashable, Outlook] = {}
    total = 0.0
    week = sum(sum(worker.week) for worker in workers)
    for work in sorted(works, key=lambda w: (w.due is None, w.due or today, w.begun)):
        total += work.minutes
        likely = today + timedelta(days=int(7 * total / week)) if week else None
        safe = today + timedelta(days=int(7 * total * 1.3 / week)) if week else None
        late = work.due is not None and (safe is None or safe > work.due)
        days = (safe - work.due).days if late and safe and work.due else 0
        found[work.key] = Outlook(
            work.key, likely, safe, None if work.due is None else float(not late), late, days, days
        )
    return found


def promise_for(
    minutes: float,
    works: Sequence[Work],
    workers: Sequence[Worker],
    today: date,
    *,
    own_sd: float = 0.35,
    common_sd: float = 0.1,
    people: frozenset[Hashable] = frozenset(),
    share: Share = Share(),  # noqa: B008
    draws: int = DRAWS,
    seed: int = 1_807,
) -> Promise:
    """The day a new work of `minutes` (median) can be promised at 80 %, all works in hand kept."""
    new = object()
    last = max((w.due for w in works if w.due), default=today)
    found = simulate(
        [*works, Work(new, last, minutes, own_sd, common_sd, people, 10**9)], workers, today, share=share
    )[new]
    return Promise(found.likely, found.safe)


__all__: Final = [
    "Mapping", "Outlook", "Promise", "Share", "Work", "Worker", "promise_for", "share_of", "simulate",
]
