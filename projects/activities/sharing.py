"""Links by which a client sees the build page of one project: made, found by their token, revoked."""

import secrets
from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from projects.models import Person, Project, ShareLink

from . import revising
from .people import TOKEN_BYTES, NoSuchLink, hash_of

SHOWS = ("show_progress", "show_photos", "show_drawing", "show_cloth", "show_date")
MOST_OPEN = 50
"""Open links a project may have: more would be a mistake, and each is a door."""
OPEN, OVER, REVOKED = "open", "over", "revoked"


@transaction.atomic
def make_link(
    *, project: Project, name: str, expires_at: datetime | None, shows: dict[str, bool], person: Person
) -> str:
    """A link's token (256 random bits), told this once: only its SHA-256 is kept.

    Raises ValidationError by field.
    """
    now = timezone.now()
    if open_links(project, now).count() >= MOST_OPEN:
        text = f"This project has {MOST_OPEN} links that work. Revoke one that is not needed any more."
        raise ValidationError({"name": text})
    token = secrets.token_urlsafe(TOKEN_BYTES)
    link = ShareLink(
        project=project,
        name=name,
        token_hash=hash_of(token),
        expires_at=expires_at,
        created_by=person,
        **shows,
    )
    link.full_clean()
    link.save()
    return token


@transaction.atomic
def say_to_client(
    project: Project,
    *,
    revision: int,
    says: dict[str, Any],
    chosen: Collection[int],
    left_out: Collection[int],
) -> None:
    """Keep the words to the client, and which photographs are shown. Photographs not named stay as they are.

    Raises Stale when somebody changed the words first; nothing is kept then.
    """
    revising.save_changes(project, revision=revision, changes=says)
    photos = project.photos.filter(deleted_at=None)
    for ids, shown in ((chosen, True), (left_out, False)):
        rows = photos.filter(pk__in=ids).exclude(for_client=shown)
        rows.update(for_client=shown, revision=F("revision") + 1)


def open_links(project: Project, now: datetime) -> QuerySet[ShareLink]:
    return ShareLink.objects.filter(_lives(now), project=project)


def _lives(now: datetime) -> Q:
    return Q(revoked_at=None) & (Q(expires_at=None) | Q(expires_at__gt=now))


def find_link(token: str, now: datetime) -> ShareLink:
    """The living link of a living project that a token belongs to; raises ``NoSuchLink``.

    One look by the hash, whatever is wrong: neither the answer nor its time tells a wrong token from one
    that has expired or was revoked.
    """
    rows = ShareLink.objects.select_related("project").filter(_lives(now), project__deleted_at=None)
    found = rows.filter(token_hash=hash_of(token)).first()
    if found is None:
        raise NoSuchLink
    return found


def state_of(link: ShareLink, now: datetime) -> str:
    """Whether a link still works: ``OPEN``, ``OVER`` or ``REVOKED``."""
    if link.revoked_at is not None:
        return REVOKED
    return OVER if link.expires_at is not None and link.expires_at <= now else OPEN


def revoke(link: ShareLink) -> None:
    """Stop a link at once; one that was revoked already keeps its date."""
    ShareLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=timezone.now())
