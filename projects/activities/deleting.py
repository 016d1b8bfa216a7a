"""Deleting with undo: everything that goes together carries one number and comes back with it."""

from collections.abc import Iterable
from datetime import timedelta

from django.apps import apps
from django.db import transaction
from django.utils import timezone

from projects.models import Deletable, Deletion, Person

KEPT_FOR = timedelta(days=30)


def deletable_models() -> list[type[Deletable]]:
    return [m for m in apps.get_app_config("projects").get_models() if issubclass(m, Deletable)]


@transaction.atomic
def delete(rows: Iterable[Deletable], *, what: str, person: Person) -> Deletion:
    """Hide ``rows`` under one deletion number. What takes part in a ledger is hidden, never removed."""
    now = timezone.now()
    deletion = Deletion.objects.create(deleted_at=now, deleted_by=person, what=what[:300])
    for row in rows:
        type(row).objects.filter(pk=row.pk, deleted_at=None).update(deleted_at=now, deletion=deletion)
    return deletion


@transaction.atomic
def restore(deletion: Deletion) -> None:
    """Bring back everything that went with this number."""
    for model in deletable_models():
        model.objects.filter(deletion=deletion).update(deleted_at=None, deletion=None)
    deletion.restored_at = timezone.now()
    deletion.save(update_fields=["restored_at"])


def restorable() -> "list[Deletion]":
    """Deletions of the last thirty days that were not undone, newest first."""
    since = timezone.now() - KEPT_FOR
    return list(
        Deletion.objects.filter(restored_at=None, deleted_at__gte=since)
        .select_related("deleted_by")
        .order_by("-pk")[:200]
    )
