"""What people do with clients: add, change, delete."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import Client, Deletion, Person

from . import deleting, revising

CONTACT = ("email", "telephone", "address", "notes")
"""The fields that only owners see or change."""


def without_contact(values: dict[str, Any], *, person: Person) -> dict[str, Any]:
    """``values`` as they are for an owner, without contact details for a maker."""
    return values if person.is_owner else {name: v for name, v in values.items() if name not in CONTACT}


@transaction.atomic
def create_client(*, values: dict[str, Any], person: Person) -> Client:
    """A new client. Raises ValidationError naming the field."""
    client = Client(**without_contact(values, person=person))
    client.full_clean()
    client.save()
    return client


def change_client(client: Client, *, values: dict[str, Any], revision: int, person: Person) -> Client:
    """Raises Stale when somebody saved first, ValidationError for what can't be."""
    return revising.save_changes(client, revision=revision, changes=without_contact(values, person=person))


@transaction.atomic
def delete_client(client: Client, *, person: Person) -> Deletion:
    """Hide a client who has no projects; with projects ValidationError says what to do first."""
    count = client.projects.live().count()
    if count:
        noun = "project has" if count == 1 else "projects have"
        raise ValidationError(f"{count} {noun} this client. Give them another client, or delete them first.")
    return deleting.delete([client], what=f"client {client.name}", person=person)
