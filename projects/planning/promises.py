"""When each project in hand will be done, and by when new work can be promised: hours of everybody of the
studio against what is left of all projects. Minutes and dates."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property, lru_cache

from django.db.models import Sum

from projects.calc.promise import Outlook, Promise, Share, Work, Worker, promise_for, share_of, simulate
from projects.models import DayOff, LabourLog, Project, WeekHours

from .forecasts import Forecast, forecast, spent_on
from .making import plan_rows
from .plan import PlannedStep
from .runs import runs_of
from .several import load_several

WEEKS = 8
"""So many whole weeks tell how much of the hours somebody gives really goes into projects."""
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
    """Units of the run that comes next, and how many of them are sewn; 0 where none was begun."""

    @property
    def units_left(self) -> int:
        return self.units - self.sewn

    @property
    def next_minutes(self) -> Decimal:
        """Planned minutes of what is left of the next step."""
        if self.next_step is None:
            return Decimal(0)
        return self.next_step.minutes * self.units_left / self.units if self.units else self.next_step.minutes

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


def look_ahead(projects: Sequence[Project], *, today: date) -> Ahead:
    """What is left of these projects, and when it will be done; a fixed number of queries."""
    listed = list(projects)[:MOST]
    spent = spent_on(listed)
    found: dict[int, InHand] = {}
    works = []
    for rows in load_several(listed, today=today):
        project = rows.project
        plan = plan_rows(rows)
        step = next(iter(plan.next_steps(1)), None)
        sewn = len(spent[project.pk].sewn.get(step.key, ())) if step else 0
        units = next((run.count for run in runs_of(plan) if step and run.key == step.key), 0) if sewn else 0
        one = InHand(step, forecast(plan, rows.rates, spent[project.pk]), units, min(sewn, units))
        found[project.pk] = one
        if one.forecast and one.forecast.left:
            works.append(_work(project, one.forecast))
    return Ahead(today, calendar_on(today), found, tuple(works))


def _work(project: Project, found: Forecast) -> Work:
    """To whole minutes, so that the same question is answered once."""
    return Work(
        project.pk, project.due, float(round(found.left)), round(found.own_sd, 3), round(found.common_sd, 3),
        begun=project.number,
    )  # fmt: skip


def calendar_on(today: date) -> Calendar:
    """Weekly hours of the people who are here, days off from now on, and the share; three queries."""
    first = today - timedelta(days=today.weekday() + 7 * WEEKS)
    weeks: dict[int, list[int]] = defaultdict(lambda: [0] * 7)
    for row in WeekHours.objects.filter(person__is_active=True).order_by("person_id"):
        weeks[row.person_id][row.weekday] = row.minutes
    off = [
        (row.person_id, row.first, row.last)
        for row in DayOff.objects.filter(last__gte=first, removed_at=None).order_by("first", "pk")
    ]
    workers = tuple(
        Worker(person, tuple(week), tuple((a, b) for who, a, b in off if who in (None, person)))
        for person, week in weeks.items()
    )
    return Calendar(workers, share_of(_weeks_worked(workers, first, today)) if workers else Share())


def _weeks_worked(workers: Iterable[Worker], first: date, today: date) -> list[tuple[int, int]]:
    """Of each person and recent whole week in which they logged hours: on projects, and minutes given."""
    last = today - timedelta(days=today.weekday() + 1)
    by_person = {worker.person: worker for worker in workers}
    logs = LabourLog.objects.filter(
        person__in=by_person, date__range=(first, last), removed_at=None, project__isnull=False
    )
    logged: dict[tuple[int, date], int] = defaultdict(int)
    for person, day, minutes in logs.order_by().values_list("person_id", "date").annotate(Sum("minutes")):
        logged[person, day - timedelta(days=day.weekday())] += minutes or 0
    return [
        (minutes, _given(by_person[person], week))
        for (person, week), minutes in sorted(logged.items())
        if minutes
    ]


def _given(worker: Worker, week: date) -> int:
    """Minutes that somebody was to give in a week, days off taken out."""
    days = (week + timedelta(days=n) for n in range(7))
    return sum(
        worker.week[day.weekday()] for day in days if not any(a <= day <= b for a, b in worker.off)
    )

