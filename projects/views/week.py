"""What the hours pages show: one week's or one project's logs and sums."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models import Sum as Sum_
from django.db.models.functions import Coalesce
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date

from projects.forms.hours import OPEN_STATES, StartForm
from projects.models import LabourLog, LabourTotal, Person, Project
from projects.planning.stages import stage_titles

from .bench_person import bench_person, who
from .hour_lines import Line, lines
from .timer import clock

PAGE = 50
FEW = 3
"""Up to so many logs all days of a week stand open; of more, the last day that has any."""
MOST_SUMS = 200
GROUPED = {"project": "By project", "stage": "By stage", "person": "By person"}


@dataclass(frozen=True)
class Day:
    """One day of the week: its minutes and its logs on this page, open or folded."""

    date: date
    minutes: int
    lines: list[Line]
    open: bool = False


@dataclass(frozen=True)
class Sum:
    """One row of the sums: what it is of, beneath which heading, its minutes, and how many of them were work
    done again."""

    title: str
    minutes: int
    again: int
    link: str = ""
    parts: tuple["Sum", ...] = ()


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
    page, titles = _page(request, logs), stage_titles()
    by = request.GET.get("by", "")
    by = by if by in GROUPED else "project"
    sums = _sums(counted)
    return {
        "first": first,
        "last": last,
        "before": first - timedelta(days=7),
        "after": first + timedelta(days=7),
        "people": people,
        "whose": whose,
        "everybody": whose is None,
        "days": _days(first, counted, page, request),
        "page": page,
        "by": by,
        "grouped": GROUPED,
        "sums": _grouped(sums, by, titles),
        "total": sum(row["minutes"] for row in sums),
        "again": sum(row["again"] for row in sums),
        "clock": clock(request),
        "who": who(request),
        "start_form": StartForm(
            workroom=request.workroom, auto_id="start_%s", initial={"project": _last_project(request)}
        ),
        "stages": titles,
    }


def _last_project(request: HttpRequest) -> int | None:
    """The project that whoever's hours run here last worked on, while it is one to log on: what a timer is
    likeliest started for."""
    logs = LabourLog.objects.filter(person=bench_person(request), removed_at=None, project__isnull=False)
    last = logs.order_by("-date", "-pk").values_list("project_id", "project__state", "project__deleted_at")
    pk, state, deleted = last.first() or (None, "", None)
    return pk if state in OPEN_STATES and not deleted else None


def _whose(request: HttpRequest) -> tuple[list[Person], Person | None]:
    """Whose hours to show: one's own; an owner may choose anybody or all, and begins with whose hours run
    here. A maker sees their own, whoever took over: what may be seen hangs on who is signed in."""
    if not request.user.is_owner:
        return [], request.user
    people, here = list(Person.objects.order_by("shown_name", "pk")), bench_person(request)
    asked = request.GET.get("person", str(here.pk))
    return people, next((p for p in people if str(p.pk) == asked), None if asked == "all" else here)


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
    rows = logs.select_related("project", "person", "entered_by", "step").order_by("-date", "-pk")
    found = list(rows[: PAGE + 1])
    last = found[PAGE - 1] if len(found) > PAGE else None
    return LogPage(found[:PAGE], f"{last.date:%Y-%m-%d}.{last.pk}" if last else "")


def _place(text: str) -> tuple[date, int] | None:
    day, _, number = text.partition(".")
    try:
        found = parse_date(day)
    except ValueError:
        return None
    return (found, int(number)) if found and number.isdecimal() and len(number) < 19 else None


def _days(first: date, counted: "QuerySet[LabourLog]", page: LogPage, request: HttpRequest) -> list[Day]:
    minutes = dict(counted.order_by().values_list("date").annotate(Sum_("minutes")))
    shown = lines(page.logs, request.workroom.zone)
    dates = [first + timedelta(days=n) for n in range(7)]
    days = [Day(d, minutes.get(d) or 0, [line for line in shown if line.log.date == d]) for d in dates]
    last = max((day.date for day in days if day.lines), default=None)
    return [replace(day, open=day.date == last or len(shown) <= FEW) for day in days]


def _sums(counted: "QuerySet[LabourLog]") -> list[dict[str, Any]]:
    """Minutes of each project, stage and person, and those of work done again; one query."""
    rows = counted.order_by().values(
        "project_id", "project__title", "project__number", "stage", "person_id", "person__shown_name",
        "worker",
    )
    again = Coalesce(Sum_("minutes", filter=Q(rework=True)), 0)
    # The rework first: once a sum is called "minutes", that name means the sum.
    return [row for row in rows.annotate(again=again).annotate(minutes=Sum_("minutes")) if row["minutes"]]


def _grouped(rows: list[dict[str, Any]], by: str, titles: dict[str, str]) -> list[Sum]:
    """The sums by project, stage or person, each with its parts; what was not said comes last."""
    inner = {"project": "stage", "stage": "project", "person": "project"}[by]
    groups: dict[Any, list[dict[str, Any]]] = {}
    order = list(titles)
    rows = _told_apart(rows)
    for row in rows:
        groups.setdefault(_place_of(row, by, order), []).append(row)
    found = []
    for place in sorted(groups)[:MOST_SUMS]:
        parts: dict[Any, list[dict[str, Any]]] = {}
        for row in groups[place]:
            parts.setdefault(_place_of(row, inner, order), []).append(row)
        inside = tuple(_sum(parts[key], inner, titles) for key in sorted(parts))
        found.append(replace(_sum(groups[place], by, titles), parts=inside))
    return found


def _told_apart(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Projects of one title with their numbers behind it."""
    projects = {row["project_id"]: row["project__title"] for row in rows if row["project_id"]}
    often = Counter(projects.values())
    return [
        {**row, "project__title": f"{row['project__title']}, number {row['project__number']}"}
        if often[row["project__title"]] > 1
        else row
        for row in rows
    ]


def _place_of(row: dict[str, Any], by: str, order: list[str]) -> tuple[Any, ...]:
    """What a row is sorted and grouped by."""
    if by == "project":
        return row["project_id"] is None, row["project__title"] or "", row["project_id"] or 0
    if by == "stage":
        known = row["stage"] in order
        return not row["stage"], order.index(row["stage"]) if known else len(order), row["stage"]
    return row["person__shown_name"] or row["worker"], row["person_id"] or 0


def _sum(rows: list[dict[str, Any]], by: str, stages: dict[str, str]) -> Sum:
    first = rows[0]
    titles = {
        "project": first["project__title"] or "No project",
        "stage": stages.get(first["stage"], first["stage"] or "No stage"),
        "person": first["person__shown_name"] or first["worker"],
    }
    link = reverse("project_hours", args=[first["project_id"]]) if first["project_id"] else ""
    minutes, again = (sum(row[name] for row in rows) for name in ("minutes", "again"))
    return Sum(titles[by], minutes, again, link if by == "project" else "")


def project_context(request: HttpRequest, project: Project) -> dict[str, Any]:
    """Sums from the stored totals (all hours ever, at the same cost), and a page of the logs one may see."""
    totals = LabourTotal.objects.filter(project=project, minutes__gt=0).select_related("person")
    mine = totals if request.user.is_owner else totals.filter(person=request.user)
    logs = LabourLog.objects.filter(project=project)
    if not request.user.is_owner:
        logs = logs.filter(person=request.user)
    page = _page(request, logs)
    done_again = logs.filter(removed_at=None, rework=True).aggregate(sum=Sum_("minutes"))
    again = done_again["sum"] or 0
    titles = stage_titles()
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
        "page": page,
        "lines": lines(page.logs, request.workroom.zone),
        "again": again,
        "stages": titles,
    }
