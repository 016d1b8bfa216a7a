"""What the hours pages show: one week's or one project's logs and sums."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q, QuerySet, Sum
from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_date

from projects.activities import timing
from projects.calc import labour
from projects.forms.hours import StartForm
from projects.models import LabourLog, LabourTotal, Person, Project

PAGE = 50


@dataclass(frozen=True)
class Day:
    """One day of the week: its minutes and its logs on this page."""

    date: date
    minutes: int
    logs: list[LabourLog]


def asked_day(request: HttpRequest) -> date:
    """The day in ``?week=``, or today. What can't be read is today."""
    try:
        found = parse_date(request.GET.get("week", "")[:10])
    except ValueError:
        found = None
    return found if found and 1990 < found.year < 2200 else timezone.localdate()


def first_of_week(day: date, first_day: int) -> date:
    """The week's first day; ``first_day`` as ``date.weekday()`` counts (0 is Monday)."""
    return day - timedelta(days=(day.weekday() - first_day) % 7)


def context(request: HttpRequest) -> dict[str, Any]:
    first = first_of_week(asked_day(request), request.workroom.first_day)
    last = first + timedelta(days=6)
    people, whose = _whose(request)
    logs = LabourLog.objects.filter(date__range=(first, last))
    if whose:
        logs = logs.filter(person=whose)
    counted = logs.filter(removed_at=None)
    page = _page(request, logs)
    return {
        "first": first,
        "last": last,
        "before": first - timedelta(days=7),
        "after": first + timedelta(days=7),
        "people": people,
        "whose": whose,
        "days": _days(first, counted, page),
        "page": page,
        "projects": _by_project(counted),
        "total": counted.aggregate(sum=Sum("minutes"))["sum"] or 0,
        "running": timing.running(request.user),
        "start_form": StartForm(workroom=request.workroom, auto_id="start_%s"),
        "stages": dict(labour.STAGES),
    }


def _whose(request: HttpRequest) -> tuple[list[Person], Person | None]:
    """Whose hours to show: one's own; an owner may choose anybody or all."""
    if not request.user.is_owner:
        return [], request.user
    people = list(Person.objects.order_by("shown_name", "pk"))
    asked = request.GET.get("person", str(request.user.pk))
    return people, next((p for p in people if str(p.pk) == asked), None if asked == "all" else request.user)


@dataclass(frozen=True)
class LogPage:
    """A stretch of logs, newest first, and where the earlier ones begin ("" where there are none)."""

    logs: list[LabourLog]
    earlier: str

    def __iter__(self) -> Iterator[LabourLog]:
        return iter(self.logs)


def _page(request: HttpRequest, logs: "QuerySet[LabourLog]") -> LogPage:
    """The logs before ``?before=DATE.NUMBER``: by place, so the last stretch costs what the first does."""
    before = _place(request.GET.get("before", ""))
    if before:
        on, pk = before
        # The first condition says nothing new, but lets the index lead to the place.
        logs = logs.filter(date__lte=on).filter(Q(date__lt=on) | Q(date=on, pk__lt=pk))
    found = list(logs.select_related("project", "person").order_by("-date", "-pk")[: PAGE + 1])
    last = found[PAGE - 1] if len(found) > PAGE else None
    return LogPage(found[:PAGE], f"{last.date:%Y-%m-%d}.{last.pk}" if last else "")


def _place(text: str) -> tuple[date, int] | None:
    day, _, number = text.partition(".")
    try:
        found = parse_date(day)
    except ValueError:
        return None
    return (found, int(number)) if found and number.isdecimal() and len(number) < 19 else None


def _days(first: date, counted: "QuerySet[LabourLog]", page: LogPage) -> list[Day]:
    sums = dict(counted.order_by().values_list("date").annotate(Sum("minutes")))
    dates = [first + timedelta(days=n) for n in range(7)]
    return [Day(d, sums.get(d) or 0, [log for log in page if log.date == d]) for d in dates]


def _by_project(counted: "QuerySet[LabourLog]") -> list[dict[str, Any]]:
    grouped = (
        counted.order_by().values("project_id", "project__title", "stage").annotate(minutes=Sum("minutes"))
    )
    titles = dict(labour.STAGES)
    rows = [{**row, "stage_title": titles.get(row["stage"], "Not said")} for row in grouped if row["minutes"]]
    return sorted(rows, key=lambda r: (r["project__title"] or "", r["stage"]))[:200]


def project_context(request: HttpRequest, project: Project) -> dict[str, Any]:
    """Sums from the stored totals (all hours ever, at the same cost), and a page of the logs one may see."""
    totals = LabourTotal.objects.filter(project=project, minutes__gt=0).select_related("person")
    mine = totals if request.user.is_owner else totals.filter(person=request.user)
    logs = LabourLog.objects.filter(project=project)
    if not request.user.is_owner:
        logs = logs.filter(person=request.user)
    titles = dict(labour.STAGES)
    order = list(titles)
    totals_by_stage = sorted(
        mine, key=lambda t: (order.index(t.stage) if t.stage in titles else -1, t.who)
    )
    rows = [
        {"stage": titles.get(t.stage, "Not said"), "person": t.who, "minutes": t.minutes}
        for t in totals_by_stage
    ]
    return {
        "rows": rows,
        "total": sum(r["minutes"] for r in rows),
        "page": _page(request, logs),
        "stages": titles,
    }
