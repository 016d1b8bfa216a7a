"""Deleting with undo: everything that goes together carries one number and comes back with it."""

from collections.abc import Iterable
from datetime import timedelta

from django.apps import apps
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from projects.models import Deletable, Deletion, HourRate, Person

KEPT_FOR = timedelta(days=30)


def deletable_models() -> list[type[Deletable]]:
    return [m for m in apps.get_app_config("projects").get_models() if issubclass(m, Deletable)]


@transaction.atomic
def delete(rows: Iterable[Deletable], *, what: str, person: Person | None) -> Deletion:
    """Hide ``rows`` under one deletion number. What takes part in a ledger is hidden, never removed."""
    now = timezone.now()
    deletion = Deletion.objects.create(deleted_at=now, deleted_by=person, what=what[:300])
    for row in rows:
        type(row).objects.filter(pk=row.pk, deleted_at=None).update(deleted_at=now, deletion=deletion)
    return deletion


@transaction.atomic
def restore(deletion: Deletion) -> None:
    """Bring back everything that went with this number. A figure of what an hour costs takes the place of one
    set since for the same day, which can then be brought back itself."""
    for rate in HourRate.objects.filter(deletion=deletion):
        since = HourRate.objects.live().filter(kind=rate.kind, person=rate.person_id)
        if taken := since.filter(from_date=rate.from_date).first():
            delete([taken], what=rate_name(taken), person=deletion.deleted_by)
    for model in deletable_models():
        model.objects.filter(deletion=deletion).update(deleted_at=None, deletion=None)
    deletion.restored_at = timezone.now()
    deletion.save(update_fields=["restored_at"])


def restorable(*, owner: bool) -> "list[Deletion]":
    """Deletions of the last thirty days that were not undone, newest first; those of money for owners."""
    since = timezone.now() - KEPT_FOR
    found = Deletion.objects.filter(restored_at=None, deleted_at__gte=since)
    if not owner:
        found = found.exclude(pk__in=HourRate.objects.exclude(deletion=None).values("deletion"))
    return list(found.select_related("deleted_by").order_by("-pk")[:200])


def for_owners(deletion: Deletion) -> bool:
    """Whether only owners may bring it back: what an hour costs is nobody else's to see or change."""
    return HourRate.objects.filter(deletion=deletion).exists()


def rate_name(rate: HourRate) -> str:
    """A figure of what an hour costs, without the figure."""
    whose = {"overhead": "the overhead on every hour"}.get(rate.kind, "an hour's work")
    if rate.person_id:
        whose = f"an hour of {rate.person}"
    return f"the rate of {whose} from {date_format(rate.from_date, 'j F Y')}"
