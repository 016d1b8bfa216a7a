"""What people do with the edges of a piece: add, change, copy, delete with undo."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from projects.models import Deletion, Edge, Person, Piece

from . import deleting, revising

MOST = 60
NOT_COPIED = ("id", "piece", "revision", "created_at", "changed_at", "deleted_at", "deletion")


@transaction.atomic
def add_edge(*, piece: Piece, values: dict[str, Any]) -> Edge:
    """A new edge, last of its piece. Raises ValidationError naming the field."""
    rows = Edge.objects.filter(piece=piece)
    if rows.filter(deleted_at=None).count() >= MOST:
        raise ValidationError(f"{piece.name} has {MOST} edges; more are not kept. Change one of them.")
    last = rows.aggregate(last=Max("order"))["last"]
    row = Edge(piece=piece, order=0 if last is None else last + 1, **values)
    row.full_clean()
    row.save()
    return row


def change_edge(row: Edge, *, values: dict[str, Any], revision: int) -> Edge:
    """Raises Stale when somebody saved first."""
    return revising.save_changes(row, revision=revision, changes=values)


def copy_edges(piece: Piece, *, to: Piece) -> None:
    """The same edges on another piece."""
    names = [f.attname for f in Edge._meta.concrete_fields if f.name not in NOT_COPIED]
    for row in Edge.objects.live().filter(piece=piece):
        Edge.objects.create(piece=to, **{name: getattr(row, name) for name in names})


@transaction.atomic
def delete_edge(row: Edge, *, person: Person) -> Deletion:
    """Hide it; it comes back by its deletion's number."""
    return deleting.delete([row], what=f"edge {row.name} of {row.piece}", person=person)
