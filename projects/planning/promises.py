"""When each project in hand will be done, and by when new work can be promised: hours of everybody of the
studio against what is left of all projects. Minutes and dates."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property, lru_cache

from projects.calc.bench_state import fold
from projects.calc.promise import Outlook, Promise, Share, Work, Worker, promise_for, simulate
from projects.models import DayOff, Project, WeekHours

from .bench_now import pace_from
from .first_budget import read_budget
from .forecasts import Forecast, Spent, forecast, spent_on
from .learned_rates import Rates, rates_for
from .making import plan_rows
from .own_settings import uses_own
from .plan import Plan, PlannedStep
from .runs import runs_of
from .several import load_several
from .weeks_worked import first_day, learned_share

MOST = 200
"""Projects in hand beyond so many are left out; those due first are in."""


@dataclass(frozen=True)
class Calendar:
    """Hours of the people who work here (those who said theirs), and how much of them goes into projects."""

    workers: tuple[Worker, ...] = ()
    share: Share = field(default_factory=Share)

    @property
    def known(self) -> bool:
        """Whether anybody said how many hours a week they work."""
        return any(any(worker.week) for worker in self.workers)


@dataclass(frozen=True)
class InHand:
    """One project in hand: what comes next (None when nothing is left), and its forecast."""

    next_step: PlannedStep | None
    forecast: Forecast | None
    units: int = 0
    sewn: int = 0
    """Units of the run that comes next, and how many of them are sewn; 0 where what comes next is none."""
    pace: Decimal | None = None
    """Minutes a unit of the run that comes next, as its bench says; None where it has none."""

    @property
    def units_left(self) -> int:
        return self.units - self.sewn

    @property
    def next_minutes(self) -> Decimal:
        """Minutes of what is left of the next step: at the pace of its bench, else as planned."""
        if self.next_step is None:
            return Decimal(0)
        return self.next_step.minutes if self.pace is None else self.pace * self.units_left

    @property
    def stage(self) -> str:
        return self.next_step.stage if self.next_step else ""


@dataclass(frozen=True)
class Ahead:
    """All projects in hand by their rows, and what the calendar makes of them."""

    today: date
    calendar: Calendar
    projects: dict[int, InHand]
    works: tuple[Work, ...]

    @cached_property
    def outlooks(self) -> dict[object, Outlook]:
        """When each project with work left will be done, by its row; empty where no hours are known."""
        if not self.calendar.known:
            return {}
        return _simulated(self.works, self.calendar.workers, self.today, self.calendar.share)

    def promise(self, minutes: int) -> Promise | None:
        """By when new work of so many minutes can be promised; None where no hours are known."""
        if not self.calendar.known:
            return None
        return _promised(minutes, self.works, self.calendar.workers, self.today, self.calendar.share)


@lru_cache(maxsize=32)
def _simulated(
    works: tuple[Work, ...], workers: tuple[Worker, ...], today: date, share: Share
) -> dict[object, Outlook]:
    return dict(simulate(works, workers, today, share=share))


@lru_cache(maxsize=64)
def _promised(
    minutes: int, works: tuple[Work, ...], workers: tuple[Worker, ...], today: date, share: Share
) -> Promise:
    return promise_for(float(minutes), works, workers, today, share=share)


def look_ahead(projects: Sequence[Project], *, today: date, person: int | None = None) -> Ahead:
    """What is left of these projects, and when it will be done; a fixed number of queries. What comes next
    takes as long as ``person`` takes for it, where they are named."""
    listed = list(projects)[:MOST]
    spent, rates = spent_on(listed), rates_for(person, today=today)
    found: dict[int, InHand] = {}
    works = []
    for rows in load_several(listed, today=today):
        project = rows.project
        plan = plan_rows(rows)
        first = read_budget(project.first_budget)
        likely = forecast(plan, rows.rates, spent[project.pk], first)
        one = found[project.pk] = _in_hand(project, plan, spent[project.pk], rates, likely)
        if one.forecast and one.forecast.left:
            works.append(_work(project, one.forecast))
    nothing_left = found.keys() - {work.key for work in works}
    return Ahead(today, calendar_on(today, nothing_left), found, tuple(works))


@dataclass(frozen=True, slots=True)
class Waiting:
    """Projects that wait, which no promise counts: how many, the minutes likely left of those that are
    planned, and how many are not."""

    projects: int
    minutes: Decimal
    unplanned: int


def left_waiting(projects: Sequence[Project], *, today: date) -> Waiting:
    """What is left of projects that wait; a fixed number of queries."""
    listed = list(projects)[:MOST]
    spent = spent_on(listed)
    found = [forecast(plan_rows(r), r.rates, spent[r.project.pk]) for r in load_several(listed, today=today)]
    known = [one.left for one in found if one]
    return Waiting(len(listed), sum(known, Decimal(0)), len(listed) - len(known))


def _in_hand(
    project: Project, plan: Plan, spent: Spent, rates: Rates, likely: Forecast | None
) -> InHand:
    step = next(iter(plan.next_steps(1)), None)
    runs = runs_of(plan) if step and step.at_bench else ()
    run = next((run for run in runs if step and run.key == step.key), None)
    if run is None or not run.count:
        return InHand(step, likely)
    state = spent.begun.get(run.key) or fold(())
    pace = pace_from(replace(run, alike=uses_own(project)).unit_minutes_at(rates), state)
    sewn = sum(number in state.sewn for number in run.places) if state.sewn else 0
    return InHand(step, likely, run.count, sewn, pace)


def _work(project: Project, found: Forecast) -> Work:
    """To whole minutes, so that the same question is answered once."""
    return Work(
        project.pk, project.due, float(round(found.left)), round(found.own_sd, 3), round(found.common_sd, 3),
        begun=project.number,
    )  # fmt: skip


def calendar_on(today: date, nothing_left: Collection[int] = ()) -> Calendar:
    """Weekly hours of the people who are here, their days off, and the share; five queries. ``nothing_left``
    are the rows of projects in hand that have no work left."""
    weeks: dict[int, list[int]] = defaultdict(lambda: [0] * 7)
    for row in WeekHours.objects.filter(person__is_active=True).order_by("person_id"):
        weeks[row.person_id][row.weekday] = row.minutes
    off = [
        (row.person_id, row.first, row.last)
        for row in DayOff.objects.filter(last__gte=first_day(today), removed_at=None).order_by("first", "pk")
    ]
    workers = tuple(
        Worker(person, tuple(week), tuple((a, b) for who, a, b in off if who in (None, person)))
        for person, week in weeks.items()
    )
    return Calendar(workers, learned_share(workers, today, nothing_left))
