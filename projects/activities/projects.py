"""What people do with projects: start, change, move between states, copy, delete."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils import timezone

from projects.models import Client, Deletion, NotionNeed, Person, Piece, Project

from . import clients, deleting, photos, revising
from .pieces import copy_piece

TRIES = 5


@transaction.atomic
def create_project(*, values: dict[str, Any], new_client: str = "", person: Person) -> Project:
    """A new project with the next number; ``new_client`` is the name of a client to add with it."""
    return numbered(Project(**_with_client(values, new_client, person)))


@transaction.atomic
def change_project(
    project: Project, *, values: dict[str, Any], revision: int, new_client: str = "", person: Person
) -> Project:
    """Raises Stale when somebody saved first; nothing is kept then, the new client neither."""
    changes = _dated(project, _with_client(values, new_client, person))
    return revising.save_changes(project, revision=revision, changes=changes)


def _dated(project: Project, changes: dict[str, Any]) -> dict[str, Any]:
    """With the day it is taken in hand or leaves it, where these changes do that. Back on the day it left,
    that was a slip, and it has been in hand all along."""
    state, today = changes.get("state", project.state), timezone.localdate()
    if (state == "in_hand") == (project.state == "in_hand"):
        return changes
    if state != "in_hand":
        return {**changes, "in_hand_until": today}
    if project.in_hand_until == today:
        return {**changes, "in_hand_until": None}
    return {**changes, "in_hand_from": today}


def _with_client(values: dict[str, Any], new_client: str, person: Person) -> dict[str, Any]:
    if not new_client:
        return values
    try:
        client = clients.create_client(values={"name": new_client}, person=person)
    except ValidationError as error:
        raise ValidationError({"new_client": error.messages}) from error
    return {**values, "client": client}


def numbered(project: Project) -> Project:
    """Save under the next free number; when somebody else took it meanwhile, under the one after."""
    for left in reversed(range(TRIES)):
        project.number = (Project.objects.aggregate(most=Max("number"))["most"] or 0) + 1
        if project.state == "in_hand" and project.in_hand_from is None:
            project.in_hand_from = timezone.localdate()
        project.full_clean(exclude=["number"])
        try:
            with transaction.atomic():
                project.save(force_insert=True)
            return project
        except IntegrityError:
            if not left:
                raise
    raise AssertionError("unreachable")


@transaction.atomic
def set_state(project: Project, *, state: str) -> Project:
    """Move a project to another state. Raises ValidationError for a word that is no state."""
    current = Project.objects.select_for_update().get(pk=project.pk)
    if current.state == state:
        return current
    changes = _dated(current, {"state": state})
    return revising.save_changes(current, revision=current.revision, changes=changes)


@transaction.atomic
def copy_project(project: Project, *, person: Person) -> Project:
    """The next of its kind: brief, washing, pieces and notions; no hours, no steps, nothing cut, no date."""
    client: Client | None = project.client if project.client and project.client.is_live else None
    copied = numbered(
        Project(
            title=_copy_title(project.title),
            client=client,
            brief=project.brief,
            washing=project.washing,
            childrens_wear=project.childrens_wear,
            nightwear=project.nightwear,
        )
    )
    for piece in Piece.objects.live().filter(project=project):
        copy_piece(piece, project=copied)
    needs = project.notion_needs.all()
    NotionNeed.objects.bulk_create(
        NotionNeed(project=copied, notion_id=need.notion_id, amount=need.amount, why=need.why)
        for need in needs
    )
    return copied


def _copy_title(title: str) -> str:
    most = Project._meta.get_field("title").max_length
    return f"{title[: most - 7]} (copy)"


@transaction.atomic
def delete_project(project: Project, *, person: Person) -> Deletion:
    """Hide a project, its living pieces and photographs under one number."""
    rows = [project, *Piece.objects.live().filter(project=project), *photos.of_all(project)]
    return deleting.delete(rows, what=f"project {project.number}, {project.title}", person=person)
