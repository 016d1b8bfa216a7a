"""The days on which people work, and the queue of works that take their hours one after the other.

Times are declared minutes; days are counted from 0, today.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Any, Final, Protocol

HORIZON: Final = 3 * 365
NEVER: Final = float("inf")


class Day(Protocol):
    """A date as its callers have it: nothing here asks what day it is."""

    def toordinal(self) -> int: ...
    def weekday(self) -> int: ...
    def fromordinal(self, n: int, /) -> Any: ...
    def __lt__(self, other: Any, /) -> bool: ...


def between(first: Day, last: Day) -> int:
    """Days from the first to the last."""
    return last.toordinal() - first.toordinal()


@dataclass(frozen=True, slots=True)
class Worker:
    """Minutes a person gives to projects on each weekday (0 is Monday), and days off, both ends included."""

    person: Hashable
    week: tuple[int, int, int, int, int, int, int]
    off: tuple[tuple[Day, Day], ...] = ()


def minutes_by_day(worker: Worker, today: Day, days: int = HORIZON) -> list[int]:
    """Declared minutes of `days` days from today on."""
    first = today.weekday()
    found = [worker.week[(first + day) % 7] for day in range(days)]
    for begin, end in worker.off:
        for day in range(max(between(today, begin), 0), min(between(today, end) + 1, days)):
            found[day] = 0
    return found


class Curve:
    """Minutes that somebody, or several together, give up to any moment; a moment is a day and its part."""

    def __init__(self, by_day: Sequence[int]) -> None:
        self.by_day = by_day
        self.until = list(accumulate(by_day))

    def at(self, moment: float) -> float:
        day = int(moment)
        if day >= len(self.by_day):
            return float(self.until[-1])
        return self.until[day] - self.by_day[day] * (1 - (moment - day))

    def when(self, minutes: float) -> float:
        """The first moment by which these minutes are given; `NEVER` beyond the horizon."""
        day = bisect_left(self.until, minutes)
        if day == len(self.until):
            return NEVER
        given = self.by_day[day]
        return day + (1 - (self.until[day] - minutes) / given if given else 0.0)

    def day(self, minutes: float) -> float:
        """The day on which these minutes are given in full."""
        day = bisect_left(self.until, minutes)
        return NEVER if day == len(self.until) else float(day)


def together(curves: Sequence[Curve]) -> Curve:
    return Curve([sum(day) for day in zip(*(curve.by_day for curve in curves), strict=True)])


class Queue:
    """Works in order; each takes all hours its people have from the moment they are free."""

    def take(self, at: int, minutes: Sequence[float]) -> list[float]:
        """The days on which the work at this place gets done, one for each draw of its minutes."""
        raise NotImplementedError


class OneQueue(Queue):
    """Everybody works on everything: works simply follow one another."""

    def __init__(self, curve: Curve, draws: int) -> None:
        self.curve, self.taken = curve, [0.0] * draws

    def take(self, at: int, minutes: Sequence[float]) -> list[float]:
        self.taken = [before + more for before, more in zip(self.taken, minutes, strict=True)]
        return [self.curve.day(taken) for taken in self.taken]


class ManyQueues(Queue):
    """Not everybody works on everything. People who work on the same works are one group."""

    def __init__(self, curves: Sequence[Curve], of_work: Sequence[tuple[int, ...]], draws: int) -> None:
        self.curves, self.of_work = curves, of_work
        self.free = [[0.0] * draws for _ in curves]
        self.sums: dict[tuple[int, ...], Curve] = {(at,): curve for at, curve in enumerate(curves)}

    def take(self, at: int, minutes: Sequence[float]) -> list[float]:
        groups, found = self.of_work[at], []
        for draw, wanted in enumerate(minutes):
            done = self._one(groups, draw, wanted)
            for group in groups:
                self.free[group][draw] = max(self.free[group][draw], done)
            found.append(done if done == NEVER else float(max(-int(-done // 1) - 1, 0)))
        return found

    def _one(self, groups: tuple[int, ...], draw: int, wanted: float) -> float:
        """The moment the work is done: groups join in as they get free."""
        order = sorted((self.free[group][draw], group) for group in groups)
        for count, (begin, _) in enumerate(order, start=1):
            if begin == NEVER:
                return NEVER
            curve = self._sum(tuple(sorted(group for _, group in order[:count])))
            so_far = curve.at(begin)
            done = curve.when(so_far + wanted)
            if count == len(order) or done <= order[count][0]:
                return max(done, begin)
            wanted -= curve.at(order[count][0]) - so_far
        return NEVER

    def _sum(self, groups: tuple[int, ...]) -> Curve:
        if groups not in self.sums:
            self.sums[groups] = together([self.curves[group] for group in groups])
        return self.sums[groups]


def queue_of(
    people: Sequence[frozenset[Hashable]], workers: Sequence[Worker], today: Day, draws: int
) -> Queue:
    """The queue for works that these people may work on (empty: everybody), in order."""
    groups: dict[tuple[int, ...], list[Worker]] = {}
    for worker in workers:
        mine = tuple(at for at, who in enumerate(people) if not who or worker.person in who)
        if mine:
            groups.setdefault(mine, []).append(worker)
    curves = [
        together([Curve(minutes_by_day(worker, today)) for worker in several]) for several in groups.values()
    ]
    if list(groups) == [tuple(range(len(people)))]:
        return OneQueue(curves[0], draws)
    of_work = [
        tuple(group for group, works in enumerate(groups) if at in works) for at in range(len(people))
    ]
    return ManyQueues(curves, of_work, draws)

