"""Which weeks tell how much of the hours somebody gives goes into projects: those that had work for them.

Days count only while work was left all day long. Where the last of it was done on a Tuesday, the rest of that
week is nobody's delay, and an often idle studio is no slower for it. Days are those of `working_days.Day`,
times minutes.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from projects.calc.working_days import Day, Worker, between

LEAST_SHARE: Final = 0.5
"""A week with less of somebody's usual minutes on days with work tells too little: a starting value."""


@dataclass(frozen=True, slots=True)
class Span:
    """A project had work left from the day `first` to the day `last`, on which the last of it was done.

    `last` is None where work is still left.
    """

    first: Day
    last: Day | None


def days_with_work(spans: Iterable[Span], first: Day, days: int) -> frozenset[int]:
    """Those of the `days` days from `first` on (0 is `first`) on which work was left from morning to night.

    The day on which work came into an empty house, and the day on which it ran out, are not among them: work
    that began while other work was left, or on the day it ran out, carries it on.
    """
    edges = sorted(
        (between(first, span.first), days if span.last is None else between(first, span.last))
        for span in spans
    )
    joined: list[tuple[int, int]] = []
    for begin, until in edges:
        if joined and begin <= joined[-1][1]:
            begin, before = joined.pop()
            until = max(before, until)
        joined.append((begin, until))
    return frozenset(day for begin, until in joined for day in range(max(begin + 1, 0), min(until, days)))


def weeks_worked(
    logged: Mapping[tuple[Hashable, int], int],
    workers: Sequence[Worker],
    spans: Iterable[Span],
    monday: Day,
    weeks: int,
) -> list[tuple[int, int]]:
    """For `promise.share_of`: minutes logged on projects and minutes given, by person and week that tells.

    `logged` has minutes by person and day (0 is `monday`). What counts is what was logged and given on days
    with work. A week in which somebody logged nothing counts between weeks in which they did: they were away
    unannounced, as people are. Before the first and after the last nobody knows.
    """
    with_work = days_with_work(spans, monday, 7 * weeks)
    found = []
    for worker in workers:
        mine = {day: minutes for (who, day), minutes in logged.items() if who == worker.person and minutes}
        seen = [day // 7 for day in mine if 0 <= day < 7 * weeks]
        for week in range(min(seen), max(seen) + 1) if seen else ():
            days = [day for day in range(7 * week, 7 * week + 7) if day in with_work]
            given = sum(_given(worker, monday, day) for day in days)
            if given and given >= LEAST_SHARE * sum(worker.week):
                found.append((sum(mine.get(day, 0) for day in days), given))
    return found


def _given(worker: Worker, monday: Day, day: int) -> int:
    """Minutes somebody was to give on a day: none on days off."""
    off = any(between(monday, first) <= day <= between(monday, last) for first, last in worker.off)
    return 0 if off else worker.week[day % 7]
