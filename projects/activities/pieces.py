"""What people do with pieces: add, change, follow the newest version, copy, delete."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from projects.models import Deletion, Person, Piece, Project, RecipeVersion

from . import deleting, revising
from .edges import copy_edges
from .panels import sync_panels

NOT_COPIED = ("id", "project", "revision", "created_at", "changed_at", "deleted_at", "deletion")


def check_piece(piece: Piece) -> None:
    """What rows alone can tell. Raises ValidationError naming the field."""
    piece.full_clean()
    if piece.mirrored and piece.count % 2:
        raise ValidationError({"count": odd_pair(piece.count)})


def odd_pair(count: int) -> str:
    return f"A pair needs an even number, and {count} is odd. Make it {count + 1}, or untick the pair."


@transaction.atomic
def create_piece(*, project: Project, values: dict[str, Any]) -> Piece:
    """A new piece, last in its project, with its panels."""
    last = Piece.objects.filter(project=project).aggregate(last=Max("order"))["last"]
    piece = Piece(project=project, order=0 if last is None else last + 1, **values)
    check_piece(piece)
    piece.save()
    sync_panels(piece)
    return piece


@transaction.atomic
def change_piece(piece: Piece, *, values: dict[str, Any], revision: int) -> Piece:
    """Change a piece and bring its panels up to it. Raises Stale when somebody saved first."""
    changed = revising.save_changes(piece, revision=revision, changes=values)
    check_piece(changed)
    sync_panels(changed)
    return changed


@transaction.atomic
def use_newest_version(piece: Piece) -> Piece:
    """Let a piece follow the newest version of its recipe; without a recipe nothing happens."""
    if piece.version is None:
        return piece
    newest = RecipeVersion.objects.filter(recipe_id=piece.version.recipe_id).order_by("-number").first()
    return change_piece(piece, values={"version": newest}, revision=piece.revision)


@transaction.atomic
def use_version(piece: Piece, *, version: RecipeVersion, revision: int) -> Piece:
    """Let a piece follow this version. Raises ValidationError once one of its panels is cut, and Stale."""
    cut = piece.panels.exclude(cut_at=None).count()
    if cut:
        panels = "1 panel is" if cut == 1 else f"{cut} panels are"
        raise ValidationError(f"{panels} cut from this piece already, so its recipe stays as it is.")
    return change_piece(piece, values={"version": version}, revision=revision)


@transaction.atomic
def move_piece(piece: Piece, *, earlier: bool) -> None:
    """Let a piece change places with its neighbour; at the end of the row nothing happens.

    The order belongs to the project: no revision is raised, and whoever edits a piece meanwhile may save.
    """
    row = list(Piece.objects.select_for_update().live().filter(project=piece.project_id))
    here = next((i for i, found in enumerate(row) if found.pk == piece.pk), None)
    there = None if here is None else here - 1 if earlier else here + 1
    if here is None or there is None or not 0 <= there < len(row):
        return
    row[here], row[there] = row[there], row[here]
    for order, found in enumerate(row):
        if found.order != order:
            Piece.objects.filter(pk=found.pk).update(order=order)


def copy_piece(piece: Piece, *, project: Project) -> Piece:
    """The same piece in another project, nothing of it cut."""
    names = [f.attname for f in Piece._meta.concrete_fields if f.name not in NOT_COPIED]
    copied = Piece(project=project, **{name: getattr(piece, name) for name in names})
    copied.save()
    copy_edges(piece, to=copied)
    sync_panels(copied)
    return copied


@transaction.atomic
def delete_piece(piece: Piece, *, person: Person) -> Deletion:
    """Hide a piece; its panels go out of the plan with it and come back with it."""
    return deleting.delete([piece], what=f"piece {piece.name} of {piece.project}", person=person)
