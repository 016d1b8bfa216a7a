"""Saving what somebody edited without overwriting what somebody else did meanwhile."""

from typing import Any, TypeVar

from django.db import transaction
from django.db.models import F, Model

Row = TypeVar("Row", bound=Model)


class Stale(Exception):
    """Somebody saved first. ``current`` is the row as it is now."""

    def __init__(self, current: Model) -> None:
        super().__init__(f"{current} was changed while you were editing it.")
        self.current = current


@transaction.atomic
def save_changes(row: Row, *, revision: int, changes: dict[str, Any]) -> Row:
    """Write ``changes`` (only what differs) to ``row`` if it still has ``revision``; else raise ``Stale``.

    Nothing is written, and the revision stays, when nothing differs.
    """
    current = type(row)._default_manager.select_for_update().get(pk=row.pk)
    differing = {name: value for name, value in changes.items() if getattr(current, name) != value}
    if not differing:
        return current
    if current.revision != revision:
        raise Stale(current)
    for name, value in differing.items():
        setattr(current, name, value)
    current.full_clean()
    current.revision += 1
    names = [*differing, "revision"] + (["changed_at"] if hasattr(current, "changed_at") else [])
    current.save(update_fields=names)
    return current


def touch(row: Model) -> None:
    """Raise a row's revision without other changes."""
    type(row)._default_manager.filter(pk=row.pk).update(revision=F("revision") + 1)
