"""When somebody has been at it long enough for a break: minutes of the timer without a pause."""

from datetime import datetime, timedelta

from projects.models import LabourLog, Person

PAUSE = timedelta(minutes=5)
"""So long without a timer is a pause: a starting value."""
LOOKED_BACK = timedelta(hours=12)
MOST_LOGS = 60


def sitting_since(log: LabourLog) -> datetime:
    """When the work without a pause began that the running timer goes on with, whatever it was logged on."""
    since: datetime = log.started_at
    before = LabourLog.objects.filter(
        person=log.person_id, removed_at=None, ended_at__gt=since - LOOKED_BACK, ended_at__lte=since + PAUSE
    ).exclude(pk=log.pk)
    spans = before.order_by("-ended_at").values_list("started_at", "ended_at")[:MOST_LOGS]
    for started, ended in spans:
        if started is None or since - ended >= PAUSE:
            break
        since = min(since, started)
    return since


def due_at(log: LabourLog, person: Person, *, said_at: datetime | None = None) -> datetime | None:
    """When to remind ``person`` of a break, counted on from ``said_at`` where one was just taken or put off.

    None for somebody who wants no reminder.
    """
    if not person.break_after:
        return None
    since = sitting_since(log)
    return max(since, said_at or since) + timedelta(minutes=person.break_after)
