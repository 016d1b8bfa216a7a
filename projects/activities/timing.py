"""Hours: the timer, logs by hand, and the stored sums that change together with them."""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.db.models import F

from projects.models import LabourLog, LabourTotal, Person, Project, Step

from .revising import Stale

MOST_MINUTES = 24 * 60


def running(person: Person) -> LabourLog | None:
    """The person's open timer, if one runs."""
    return (
        LabourLog.objects.filter(
            person=person, started_at__isnull=False, ended_at=None, minutes=None, removed_at=None
        )
        .select_related("project", "step")
        .first()
    )


def start(
    *,
    person: Person,
    project: Project | None,
    stage: str = "",
    step: Step | None = None,
    now: datetime,
    zone: ZoneInfo,
) -> LabourLog:
    """Start the person's timer. One runs at a time: another one is stopped and logged first.

    The same start again (a second tap, a second device) leaves the timer that runs as it is.
    """
    try:
        with transaction.atomic():
            # One tap of a person at a time: the second then sees the timer of the first, and leaves it.
            Person.objects.select_for_update().get(pk=person.pk)
            same = _same_work(running(person), project, stage, step)
            if same:
                return same
            stop(person=person, now=now)
            return LabourLog.objects.create(
                person=person,
                entered_by=person,
                project=project,
                stage=stage,
                step=step,
                date=now.astimezone(zone).date(),
                started_at=now,
            )
    except IntegrityError:
        # Two taps at once: the database let one timer in, and that one is the answer to both.
        winner = running(person)
        if winner is None:
            raise
        return winner


def _same_work(
    log: LabourLog | None, project: Project | None, stage: str, step: Step | None
) -> LabourLog | None:
    if log is None:
        return None
    wanted = (getattr(project, "pk", None), stage, getattr(step, "pk", None))
    return log if (log.project_id, log.stage, log.step_id) == wanted else None


@transaction.atomic
def stop(*, person: Person, now: datetime) -> LabourLog | None:
    """Stop the person's timer and log its minutes (half up, at least one); ``None`` when none runs."""
    log = (
        LabourLog.objects.select_for_update()
        .filter(person=person, started_at__isnull=False, ended_at=None, minutes=None, removed_at=None)
        .first()
    )
    if log is None:
        return None
    log.ended_at = max(now, log.started_at)
    log.minutes = minutes_between(log.started_at, log.ended_at)
    log.revision += 1
    log.save(update_fields=["ended_at", "minutes", "revision"])
    _add_to_total(log, log.minutes)
    return log


def minutes_between(start_at: datetime, end_at: datetime) -> int:
    """Whole minutes between two moments, half up, at least one. In UTC, so a new clock costs nothing."""
    return max(1, int((end_at - start_at).total_seconds() + 30) // 60)


@transaction.atomic
def log_by_hand(
    *,
    person: Person,
    entered_by: Person,
    project: Project | None,
    stage: str,
    on: date,
    minutes: int,
    step: Step | None = None,
    note: str = "",
) -> LabourLog:
    """Log minutes that were not timed."""
    log = LabourLog(
        person=person,
        entered_by=entered_by,
        project=project,
        stage=stage,
        step=step,
        date=on,
        minutes=minutes,
        note=note,
    )
    log.full_clean()
    log.save()
    _add_to_total(log, minutes)
    return log


@transaction.atomic
def change(*, log: LabourLog, revision: int, changes: dict[str, Any]) -> LabourLog:
    """Change a finished log; its old minutes leave their sum and the new ones join theirs.

    A log that was removed is in no sum, and stays out of them. Hours that came with a file lose the name they
    came with once they are given to a person.
    """
    if changes.get("person") is not None:
        changes = {**changes, "worker": ""}
    current = LabourLog.objects.select_for_update().get(pk=log.pk)
    differing = {name: value for name, value in changes.items() if getattr(current, name) != value}
    if not differing:
        return current
    if current.revision != revision:
        raise Stale(current)
    if current.removed_at is None:
        _add_to_total(current, -(current.minutes or 0))
    for name, value in differing.items():
        setattr(current, name, value)
    current.full_clean()
    current.revision += 1
    current.save(update_fields=[*differing, "revision"])
    if current.removed_at is None:
        _add_to_total(current, current.minutes or 0)
    return current


@transaction.atomic
def remove(*, log: LabourLog, now: datetime) -> None:
    """Take a log out of the sums; it can be put back."""
    current = LabourLog.objects.select_for_update().get(pk=log.pk)
    if current.removed_at is None:
        LabourLog.objects.filter(pk=log.pk).update(removed_at=now, revision=F("revision") + 1)
        _add_to_total(current, -(current.minutes or 0))


@transaction.atomic
def put_back(*, log: LabourLog) -> None:
    """Undo ``remove``."""
    current = LabourLog.objects.select_for_update().get(pk=log.pk)
    if current.removed_at is not None:
        LabourLog.objects.filter(pk=log.pk).update(removed_at=None, revision=F("revision") + 1)
        _add_to_total(current, current.minutes or 0)


def _add_to_total(log: LabourLog, minutes: int) -> None:
    """Move the stored sum of the log's project, person and stage. Time of no project has no sum."""
    if log.project_id is None or not minutes:
        return
    total, _ = LabourTotal.objects.get_or_create(
        project_id=log.project_id, person_id=log.person_id, worker=log.worker, stage=log.stage
    )
    LabourTotal.objects.filter(pk=total.pk).update(minutes=F("minutes") + minutes)
