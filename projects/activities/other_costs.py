"""What else a project costs: add, change, delete with undo."""

from typing import Any

from django.db import transaction

from projects.models import Deletion, OtherCost, Person, Project

from . import deleting, revising


@transaction.atomic
def add_other_cost(*, project: Project, values: dict[str, Any]) -> OtherCost:
    """A new cost. Raises ValidationError naming the field."""
    row = OtherCost(project=project, **values)
    row.full_clean()
    row.save()
    return row


def change_other_cost(row: OtherCost, *, values: dict[str, Any], revision: int) -> OtherCost:
    """Raises Stale when somebody saved first."""
    return revising.save_changes(row, revision=revision, changes=values)


@transaction.atomic
def delete_other_cost(row: OtherCost, *, person: Person) -> Deletion:
    """Hide it; it comes back by its deletion's number."""
    return deleting.delete([row], what=f"cost {row.what} of {row.project}", person=person)
