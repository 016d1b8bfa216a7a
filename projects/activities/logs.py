"""Logs by hand, and what is changed in logs afterwards: each change is kept with who, when and why.

A log over midnight is one log and belongs to the day it began, in the studio's zone: so no minute counts in
two weeks, and days sum to their week, weeks to their project.
"""

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from projects.models import LabourLog, LogChange, Person, Project, Step

from .hour_sums import add_to_total
from .revising import Stale

KEPT = ("project", "stage", "step", "date", "minutes", "started_at", "ended_at", "note", "rework", "person")


class StillRuns(Exception):
    """A timer that runs has no minutes to take out yet; it is stopped first."""


@transaction.atomic
def log_by_hand(
    *,
    person: Person,
    entered_by: Person,
    project: Project | None,
    stage: str,
    on: date,
    minutes: int,
    started_at: datetime | None = None,
    ended_at: datetime | None = None,
    step: Step | None = None,
    note: str = "",
    rework: bool = False,
) -> LabourLog:
    """Log minutes that were not timed; with start and end (UTC) where both are known."""
    log = LabourLog(
        person=person,
        entered_by=entered_by,
        project=project,
        stage=stage,
        step=step,
        date=on,
        minutes=minutes,
        started_at=started_at,
        ended_at=ended_at,
        note=note,
        rework=rework,
    )
    log.full_clean()
    log.save()
    add_to_total(log, minutes)
    return log


@transaction.atomic
def change(
    *, log: LabourLog, revision: int, changes: dict[str, Any], by: Person | None = None, reason: str = ""
) -> LabourLog:
    """Change a finished log; its old minutes leave their sum and the new ones join theirs.

    What stood there and what stands there now is kept with ``by`` and ``reason``. A log that was removed is
    in no sum, and stays out of them. Hours that came with a file lose the name they came with once they are
    given to a person. A silence that was to be answered is none any more once a time that was typed covers
    it. Raises Stale when somebody saved first.
    """
    if changes.get("person") is not None:
        changes = {**changes, "worker": ""}
    current = LabourLog.objects.select_for_update().get(pk=log.pk)
    differing = {name: value for name, value in changes.items() if getattr(current, name) != value}
    if not differing:
        return current
    if current.revision != revision:
        raise Stale(current)
    before = words(current, differing)
    if current.removed_at is None:
        add_to_total(current, -(current.minutes or 0))
    for name, value in differing.items():
        setattr(current, name, value)
    if current.gap_from and (current.started_at is None or current.started_at <= current.gap_from):
        current.gap_from = None
    current.full_clean()
    current.revision += 1
    current.save(update_fields=[*differing, "gap_from", "revision"])
    if current.removed_at is None:
        add_to_total(current, current.minutes or 0)
    _keep(current, by, reason, before, words(current, differing))
    return current


def words(log: LabourLog, names: Any) -> dict[str, Any]:
    """Fields of a log as they are kept beside a change: names instead of numbers, moments in UTC."""
    found: dict[str, Any] = {}
    for name in KEPT:
        if name in names:
            value = getattr(log, name)
            known = isinstance(value, (int, str)) or value is None
            found[name] = value if known else value.isoformat() if isinstance(value, date) else str(value)
    return found


def _keep(
    log: LabourLog, by: Person | None, reason: str, before: dict[str, Any], after: dict[str, Any]
) -> None:
    if by is not None:
        LogChange.objects.create(log=log, by=by, reason=reason, before=before, after=after)


@transaction.atomic
def remove(*, log: LabourLog, now: datetime, by: Person | None = None) -> None:
    """Take a log out of the sums; it can be put back. Raises StillRuns for a timer that runs."""
    current = LabourLog.objects.select_for_update().get(pk=log.pk)
    if current.minutes is None:
        raise StillRuns(current)
    if current.removed_at is None:
        LabourLog.objects.filter(pk=log.pk).update(removed_at=now, revision=F("revision") + 1)
        add_to_total(current, -(current.minutes or 0))
        _keep(current, by, "", {"removed": False}, {"removed": True})


@transaction.atomic
def put_back(*, log: LabourLog, by: Person | None = None) -> None:
    """Undo ``remove``."""
    current = LabourLog.objects.select_for_update().get(pk=log.pk)
    if current.removed_at is not None:
        LabourLog.objects.filter(pk=log.pk).update(removed_at=None, revision=F("revision") + 1)
        add_to_total(current, current.minutes or 0)
        _keep(current, by, "", {"removed": True}, {"removed": False})
