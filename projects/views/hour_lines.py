"""Logs as lines to read: from when to when, what overlaps, and what was changed, by whom and why."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.dateparse import parse_datetime

from projects.activities import overlaps
from projects.calc import labour
from projects.models import LabourLog, LogChange, Person
from projects.planning.moments import clock
from projects.planning.stages import stage_titles

FIELDS = {
    "project": "Project", "stage": "Stage", "step": "Step", "date": "Date", "minutes": "Time",
    "started_at": "Start", "ended_at": "End", "note": "Note", "rework": "Done again", "person": "Person",
    "removed": "Removed",
}  # fmt: skip
SHOWN_CHANGES = 50
SHOWN_OVERLAPS = 3


@dataclass(frozen=True)
class Line:
    """A log with what a list says of it beside its own fields."""

    log: LabourLog
    span: str
    overlaps: tuple[str, ...] = ()
    overlaps_more: int = 0
    changed_by: str = ""

    @property
    def overlaps_besides(self) -> int:
        """How many more it overlaps with than the first."""
        return len(self.overlaps) + self.overlaps_more - 1

    @property
    def entered_by(self) -> str:
        """Who entered it, where that was somebody else."""
        return str(self.log.entered_by) if self.log.entered_by_id not in (None, self.log.person_id) else ""


def span(log: LabourLog, zone: ZoneInfo) -> str:
    """From when to when by the studio's clock: "22:30 to 0:15 on 3 Jun"; empty for a log by hand."""
    if not log.started_at:
        return ""
    began = log.started_at.astimezone(zone)
    if not log.ended_at:
        return f"since {clock(began, zone)}"
    ended = log.ended_at.astimezone(zone)
    later = "" if ended.date() == began.date() else f" on {ended.day} {ended:%b}"
    return f"{clock(began, zone)} to {clock(ended, zone)}{later}"


def other(log: LabourLog, zone: ZoneInfo) -> str:
    """A log that overlaps, in a few words."""
    running = "" if log.ended_at else "the timer that runs "
    return f"{running}{span(log, zone)} ({log.project or 'no project'})"


def lines(logs: Sequence[LabourLog], zone: ZoneInfo) -> list[Line]:
    """Lines for one page of logs, in two queries however many there are. What two of them share is told once,
    at the later."""
    shared = overlaps.among(logs)
    changed: dict[int, list[str]] = {}
    # No log has the number 0: an empty page asks as often as a full one.
    found = LogChange.objects.filter(log__in=[0, *(log.pk for log in logs)]).order_by("pk")
    for pk, name in found.values_list("log_id", "by__shown_name"):
        changed.setdefault(pk, []).append(name)
    listed = {log.pk for log in logs}
    made = []
    for log in logs:
        told = [o for o in shared.get(log.pk, []) if o.pk not in listed or _began(o) < _began(log)]
        by = ", ".join(dict.fromkeys(changed.get(log.pk, [])))
        first = tuple(other(o, zone) for o in told[:SHOWN_OVERLAPS])
        made.append(Line(log, span(log, zone), first, len(told) - len(first), by))
    return made


def _began(log: LabourLog) -> tuple[datetime, int]:
    return log.started_at, log.pk


@dataclass(frozen=True)
class Changed:
    """One change: who, when, why, and field by field what stood there and what stands there now."""

    by: str
    at: datetime
    reason: str
    fields: tuple[tuple[str, str, str], ...]


def around(log: LabourLog, reader: Person, zone: ZoneInfo) -> dict[str, Any]:
    """What stands around the form of a log: its changes, what overlaps, and whether it is somebody else's."""
    rows = log.changes.select_related("by").order_by("-pk")[:SHOWN_CHANGES]
    found = lines([log], zone)[0]
    line = replace(found, changed_by="")
    titles = stage_titles() if rows else {}
    return {
        "line": line,
        "others": log.person_id != reader.pk,
        "changes": [Changed(str(row.by), row.at, row.reason, _fields(row, zone, titles)) for row in rows],
    }


def _fields(
    row: LogChange, zone: ZoneInfo, stages: dict[str, str]
) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (title, *(_said(name, side.get(name), zone, stages) for side in (row.before, row.after)))
        for name, title in FIELDS.items()
        if name in row.before or name in row.after
    )


def _said(name: str, value: Any, zone: ZoneInfo, stages: dict[str, str]) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value in (None, ""):
        return "nothing"
    if name == "minutes":
        return labour.format_minutes(int(value))
    if name == "stage":
        return stages.get(value, str(value))
    if name in ("started_at", "ended_at"):
        at = parse_datetime(str(value))
        return clock(at, zone) if at else str(value)
    return str(value)
