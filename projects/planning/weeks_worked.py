"""How much of the hours people give went into projects of late, on days on which any had work left."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Max, Q, Sum
from django.utils import timezone

from projects.calc.promise import Share, Worker, share_of
from projects.calc.weeks_worked import Span, weeks_worked
from projects.models import LabourLog, Project, Step

WEEKS = 8
"""So many whole weeks tell how much of the hours somebody gives really goes into projects."""


@dataclass(frozen=True, slots=True)
class _Logged:
    """Minutes by person and day (0 is the first), and the first and last day with hours of each project."""

    minutes: dict[tuple[Hashable, int], int] = field(default_factory=lambda: defaultdict(int))
    days: dict[int, tuple[date, date]] = field(default_factory=dict)


def first_day(today: date) -> date:
    """The Monday from which on weeks tell."""
    return today - timedelta(days=today.weekday() + 7 * WEEKS)


def learned_share(workers: Sequence[Worker], today: date, nothing_left: Collection[int]) -> Share:
    """The share of these people's hours; three queries. ``nothing_left`` are the rows of projects in hand
    that have no work left."""
    if not workers:
        return Share()
    monday = first_day(today)
    logged = _logged(monday, today)
    spans = list(_spans(logged, monday, nothing_left))
    return share_of(weeks_worked(logged.minutes, workers, spans, monday, WEEKS))


def _logged(monday: date, today: date) -> _Logged:
    """What was logged on projects from that Monday up to today, which shows when work on them ended."""
    found = _Logged()
    rows = LabourLog.objects.filter(date__range=(monday, today), removed_at=None, project__isnull=False)
    grouped = rows.order_by().values_list("project_id", "person_id", "date").annotate(Sum("minutes"))
    for project, person, day, minutes in grouped:
        first, last = found.days.get(project, (day, day))
        found.days[project] = min(first, day), max(last, day)
        found.minutes[person, (day - monday).days] += minutes or 0
    return found


def _spans(logged: _Logged, monday: date, nothing_left: Collection[int]) -> Iterator[Span]:
    """When each project had work left, as far as its rows tell.

    It begins on the day it was taken in hand; where nobody kept that, when it was written down. It is over
    with the last hours or the last tick where it is in hand no more, or has nothing left.
    """
    rows = Project.objects.filter(Q(state="in_hand", deleted_at=None) | Q(pk__in=logged.days))
    ticked = _ticked([*logged.days, *nothing_left], monday)
    for row in rows.only("state", "in_hand_from", "created_at", "deleted_at"):
        begun = row.in_hand_from or timezone.localdate(row.created_at)
        first, last = logged.days.get(row.pk, (begun, None))
        last = max(filter(None, (last, ticked.get(row.pk))), default=None)
        begun = min(begun, first)
        if row.state == "in_hand" and row.is_live and row.pk not in nothing_left:
            yield Span(begun, None)
        elif last:
            yield Span(min(begun, last), last)


def _ticked(projects: Collection[int], monday: date) -> dict[int, date]:
    """The day of the last tick of each project, where it is not before that Monday."""
    steps = Step.objects.filter(project__in=projects, state="done", done_at__date__gte=monday)
    found = steps.order_by().values_list("project_id").annotate(Max("done_at"))
    return {project: timezone.localdate(at) for project, at in found}
