"""Fabrics and the lengths of them: new, changed, put away. A length's stock is in ``stock``."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.activities import balances, deleting, photos, revising, stock
from projects.models import ClothLength, Deletion, Fabric, Person, Piece
from projects.planning.uses import uses


@transaction.atomic
def add_fabric(*, values: dict[str, Any]) -> Fabric:
    fabric = Fabric(**values)
    fabric.full_clean()
    fabric.save()
    return fabric


def change_fabric(*, fabric: Fabric, revision: int, changes: dict[str, Any]) -> Fabric:
    """Raises ``revising.Stale`` when somebody saved first."""
    return revising.save_changes(fabric, revision=revision, changes=changes)


@transaction.atomic
def delete_fabric(*, fabric: Fabric, person: Person) -> Deletion:
    """Hide a fabric with its lengths.

    Raises ``ValidationError`` while a piece is planned in it or some of it is reserved.
    """
    Fabric.objects.select_for_update().get(pk=fabric.pk)
    lengths = list(ClothLength.objects.live().filter(fabric=fabric).select_for_update())
    planned = Piece.objects.live().filter(uses([fabric.pk]), project__deleted_at=None)
    piece = planned.select_related("project").first()
    if piece:
        where = f"{piece.name} of {piece.project.title}"
        raise ValidationError(f"{where} is planned in it. Choose another fabric there first.")
    held = balances.balances(lengths)
    for length in lengths:
        _refuse_reserved(length, held[length.pk])
    rows = [fabric, *lengths, *photos.of_all(fabric)]
    return deleting.delete(rows, what=f"the fabric {fabric.name}", person=person)


@transaction.atomic
def add_length(
    *, fabric: Fabric, values: dict[str, Any], received: int | None, person: Person
) -> ClothLength:
    """A new length on the shelf, with ``received`` nm of it as its first line (none: an empty length)."""
    length = ClothLength(fabric=fabric, **values)
    length.full_clean()
    length.save()
    if received:
        stock.receive(row=length, amount=received, person=person)
    return length


def change_length(*, length: ClothLength, revision: int, changes: dict[str, Any]) -> ClothLength:
    """Raises ``revising.Stale`` when somebody saved first."""
    return revising.save_changes(length, revision=revision, changes=changes)


@transaction.atomic
def delete_length(*, length: ClothLength, person: Person) -> Deletion:
    """Hide a length; its ledger stays. Raises ``ValidationError`` while some of it is reserved."""
    ClothLength.objects.select_for_update().get(pk=length.pk)
    _refuse_reserved(length, balances.balance(length))
    return deleting.delete([length], what=f"the length {length.label} of {length.fabric.name}", person=person)


def _refuse_reserved(length: ClothLength, held: balances.Balance) -> None:
    if held.reserved:
        raise ValidationError(
            f"Some of the length {length.label} is reserved for a project. Release it there first."
        )
