"""Logs of one person that overlap in time: shown, never refused, since two things at once do happen."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from projects.models import LabourLog

MOST = 2_000
LEAST = timedelta(minutes=1)
"""Less shared than this is one log ending as the next begins."""
NEVER = datetime(9999, 1, 1, tzinfo=UTC)


def with_log(log: LabourLog) -> list[LabourLog]:
    """Other logs of the same person that share time with ``log``; none for one without start and end."""
    return among([log]).get(log.pk, [])


def among(logs: Iterable[LabourLog]) -> dict[int, list[LabourLog]]:
    """For each of ``logs`` that overlaps with others of its person (of these or not): those others, in one
    query. A timer that still runs counts from its start on. Less than a minute shared is none.
    """
    timed = [log for log in logs if log.started_at and log.person_id and log.removed_at is None]
    if not timed:
        return {}
    rows = LabourLog.objects.filter(
        person__in={log.person_id for log in timed},
        removed_at=None,
        started_at__lt=max(_end(log) for log in timed),
    ).exclude(ended_at__lte=min(log.started_at for log in timed))
    known = rows.select_related("project").order_by("started_at", "pk")[:MOST]
    by_person: dict[int, list[LabourLog]] = defaultdict(list)
    for row in known:
        by_person[row.person_id].append(row)
    found = {log.pk: [o for o in by_person[log.person_id] if _overlap(log, o)] for log in timed}
    return {pk: others for pk, others in found.items() if others}


def _end(log: LabourLog) -> datetime:
    return log.ended_at or NEVER


def _overlap(one: LabourLog, other: LabourLog) -> bool:
    shared = min(_end(one), _end(other)) - max(one.started_at, other.started_at)
    return one.pk != other.pk and shared >= LEAST
