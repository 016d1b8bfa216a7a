"""The timer: one a person, kept in the database, so that it outlives device and server.

Its only clock is the moment it started. Whether its person was at work all the while shows in signs of work:
a tap at the bench, a tick, an answer. Where none came for long, nothing is counted silently: a stop or
another start asks first (``Forgotten``), and work that is taken up again begins a log of its own, the silence
before it kept as a question (``gap_from``). A log over midnight belongs to the day it began (see ``logs``).
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.db.models import Q, QuerySet

from projects.models import LabourLog, Person, Project, Step, Workroom

from . import first_budgets
from .hour_sums import add_to_total

A_DAY = timedelta(days=1)
SILENCE = timedelta(minutes=90)
"""So long without a sign of work, and the timer may have been forgotten: a starting value."""
SILENCE_AT_NIGHT = timedelta(minutes=30)
"""The same where midnight lies in the silence."""
SLIP = timedelta(seconds=30)
"""A timer that ran shorter was started by a slip: nothing is logged."""


class Forgotten(Exception):
    """The timer ran long without a sign of work; when it was stopped has to be asked. ``log`` still runs."""

    def __init__(self, log: LabourLog) -> None:
        super().__init__(f"log {log.pk}")
        self.log = log


class BadMoment(ValueError):
    """A moment that can't be when the work ended; its text stands beside the field."""


def _open(person: Person) -> "QuerySet[LabourLog]":
    return LabourLog.objects.filter(
        person=person, started_at__isnull=False, ended_at=None, minutes=None, removed_at=None
    )


def _before(now: datetime) -> Q:
    return Q(seen_at=None) | Q(seen_at__lt=now)


def running(person: Person) -> LabourLog | None:
    """The person's open timer, if one runs."""
    return _open(person).select_related("project", "step").first()


def last_sign(log: LabourLog) -> datetime:
    """When there was the last sign of work: the start where none came after it."""
    started: datetime = log.started_at
    return max(started, log.seen_at or started)


def asks_from(log: LabourLog, zone: ZoneInfo) -> datetime:
    """From when on the timer counts as forgotten, unless there is a sign of work before."""
    last = last_sign(log).astimezone(zone)
    midnight = (last + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)
    at_night = max(midnight, last_sign(log) + SILENCE_AT_NIGHT)
    return min(at_night, last_sign(log) + SILENCE)


def forgotten(log: LabourLog, *, now: datetime, zone: ZoneInfo) -> bool:
    """Whether there was no sign of work for so long that nothing is counted by itself: the one rule, for what
    stops a timer and for signs of work that come after the silence."""
    return now >= asks_from(log, zone)


def start(
    *,
    person: Person,
    project: Project | None,
    stage: str = "",
    step: Step | None = None,
    now: datetime,
    zone: ZoneInfo,
    rework: bool = False,
) -> LabourLog:
    """Start the person's timer. One runs at a time: another one is stopped and logged first.

    The same start again (a second tap, a second device) leaves the timer that runs as it is. Raises Forgotten
    while it has to be asked when the timer that runs was stopped.
    """
    wanted = (getattr(project, "pk", None), stage, getattr(step, "pk", None), rework)
    try:
        with transaction.atomic():
            # One tap of a person at a time: the second then sees the timer of the first, and leaves it.
            Person.objects.select_for_update().get(pk=person.pk)
            before = running(person)
            if before and forgotten(before, now=now, zone=zone):
                raise Forgotten(before)
            if before and _work(before) == wanted:
                return before
            stop(person=person, now=now)
            return _begin(person, wanted, now, zone)
    except IntegrityError:
        # Two taps at once: the database let one timer in, and that one is the answer to both.
        winner = running(person)
        if winner is None:
            raise
        return winner


def _work(log: LabourLog) -> tuple[int | None, str, int | None, bool]:
    """What a timer runs for: project, stage, step, and whether it is done again."""
    return log.project_id, log.stage, log.step_id, log.rework


def _begin(
    person: Person, work: tuple[int | None, str, int | None, bool], now: datetime, zone: ZoneInfo
) -> LabourLog:
    project, stage, step, rework = work
    first_budgets.follow(project)
    return LabourLog.objects.create(
        person=person,
        entered_by=person,
        project_id=project,
        stage=stage,
        step_id=step,
        rework=rework,
        date=now.astimezone(zone).date(),
        started_at=now,
    )


@transaction.atomic
def stop(*, person: Person, now: datetime, log: int | None = None) -> LabourLog | None:
    """Stop the person's timer at ``now`` and log its minutes (half up).

    One that ran shorter than ``SLIP`` leaves no log: its ``minutes`` are 0 and its ``pk`` is None. ``None``
    when none runs, or another one than ``log``. Whether it was forgotten is not asked here.
    """
    rows = _open(person).select_for_update()
    found = rows.filter(pk=log).first() if log else rows.first()
    if found is None:
        return None
    found.ended_at = max(now, found.started_at)
    # One that asks about a silence stays, however short, so that the question does.
    if found.ended_at - found.started_at < SLIP and found.gap_from is None:
        found.delete()
        found.minutes = 0
        first_budgets.follow(found.project_id)
        return found
    found.minutes = minutes_between(found.started_at, found.ended_at)
    found.revision += 1
    found.save(update_fields=["ended_at", "minutes", "revision"])
    add_to_total(found, found.minutes)
    return found


def stop_unasked(*, person: Person, now: datetime, zone: ZoneInfo) -> LabourLog | None:
    """Stop a timer whose person can't be asked: at the last sign of work where it was forgotten."""
    log = running(person)
    if log is None:
        return None
    return stop(person=person, now=last_sign(log) if forgotten(log, now=now, zone=zone) else now)


def minutes_between(start_at: datetime, end_at: datetime) -> int:
    """Whole minutes between two moments, half up, at least one. In UTC, so a new clock costs nothing."""
    return max(1, int((end_at - start_at).total_seconds() + 30) // 60)


def seen(*, person: Person, now: datetime) -> None:
    """There was a sign of work of ``person`` at ``now``; nothing happens where no timer of theirs runs.

    Where the timer was ``forgotten`` by then, the log ends at the sign before it and a new one of the same
    work begins: what the silence was is asked (``gap_from``), and neither counted nor lost meanwhile. Signs
    may come late and in any order; an older one than the last changes nothing.
    """
    # After so short a silence it was not forgotten at any hour of the day, and one question is enough.
    since = now - SILENCE_AT_NIGHT
    fresh = Q(seen_at__gt=since) | Q(started_at__gt=since)
    if _open(person).filter(fresh).filter(_before(now)).update(seen_at=now):
        return
    log = running(person)
    if log is None or now <= last_sign(log):
        return
    if forgotten(log, now=now, zone=Workroom.load().zone):
        _take_up_again(log, now)
    else:
        _open(person).filter(_before(now), pk=log.pk).update(seen_at=now)


def seen_at(*, person: Person, moments: Iterable[datetime], now: datetime) -> None:
    """Signs of work that arrive together, such as taps made while a device was offline, none later than
    ``now``. As few are looked at as keep every silence between them: the first and the last where none is.
    """
    last, ahead = datetime.min.replace(tzinfo=UTC), sorted(min(at, now) for at in moments)
    for at, after in zip(ahead, [*ahead[1:], None], strict=True):
        if after is None or after - last >= SILENCE_AT_NIGHT / 2:
            seen(person=person, now=at)
            last = at


@transaction.atomic
def _take_up_again(log: LabourLog, now: datetime) -> None:
    Person.objects.select_for_update().get(pk=log.person_id)
    until = last_sign(log)
    if stop(person=log.person, now=until, log=log.pk):
        again = _begin(log.person, _work(log), now, Workroom.load().zone)
        again.seen_at, again.gap_from = now, until
        again.save(update_fields=["seen_at", "gap_from"])


def still_at_it(*, person: Person, now: datetime) -> LabourLog | None:
    """The person says they worked all the while: the timer runs on, and the silence counts."""
    _open(person).update(seen_at=now)
    return running(person)


@transaction.atomic
def answer(*, person: Person, log: int, at: datetime, now: datetime) -> LabourLog | None:
    """Stop the timer ``log`` when its person says it was. ``None`` when it runs no more.

    Raises BadMoment for a moment before its start, or one that has not come.
    """
    found = _open(person).select_for_update().filter(pk=log).first()
    if found is None:
        return None
    if at < found.started_at:
        raise BadMoment("That is before the timer was started.")
    if at > now + timedelta(minutes=1):
        raise BadMoment("That has not come yet.")
    return stop(person=person, now=min(at, now), log=log)


def with_silence(person: Person, log: int | None = None) -> LabourLog | None:
    """The log before which a silence is to be answered: ``log``, or that of the timer that runs. It stays to
    be answered after the timer was stopped. None where nothing is asked."""
    rows = LabourLog.objects if log else _open(person)
    asked = rows.filter(person=person, gap_from__isnull=False, started_at__isnull=False, removed_at=None)
    return (asked.filter(pk=log) if log else asked).select_related("project", "step").first()


@transaction.atomic
def answer_gap(*, person: Person, log: int, until: datetime | None) -> int:
    """What a silence was: work up to ``until``, or none (None). Returns the minutes that now count too.

    They join the log before the silence where it still ends there, else they are a log of their own. Raises
    BadMoment for a moment outside the silence. Answered already: nothing happens.
    """
    LabourLog.objects.select_for_update().filter(pk=log).first()
    found = with_silence(person, log)
    if found is None:
        return 0
    began: datetime = found.gap_from
    if until is not None and not began <= until <= found.started_at:
        raise BadMoment("That is outside the time that is asked about.")
    LabourLog.objects.filter(pk=found.pk).update(gap_from=None)
    if until is None or until == began:
        return 0
    return _count_on(found, began, until)


def _count_on(log: LabourLog, began: datetime, until: datetime) -> int:
    before = (
        LabourLog.objects.select_for_update()
        .filter(person=log.person_id, ended_at=began, removed_at=None, project=log.project_id)
        .filter(stage=log.stage, step=log.step_id, rework=log.rework)
        .order_by("-pk")
        .first()
    )
    if before is None or until - before.started_at > A_DAY:
        return _log_apart(log, began, until)
    old = before.minutes or 0
    before.ended_at, before.minutes = until, minutes_between(before.started_at, until)
    before.revision += 1
    before.save(update_fields=["ended_at", "minutes", "revision"])
    add_to_total(before, before.minutes - old)
    return before.minutes - old


def _log_apart(log: LabourLog, began: datetime, until: datetime) -> int:
    made = LabourLog.objects.create(
        person_id=log.person_id,
        entered_by_id=log.person_id,
        project_id=log.project_id,
        stage=log.stage,
        step_id=log.step_id,
        rework=log.rework,
        date=began.astimezone(Workroom.load().zone).date(),
        started_at=began,
        ended_at=until,
        minutes=minutes_between(began, until),
    )
    add_to_total(made, made.minutes)
    return made.minutes
