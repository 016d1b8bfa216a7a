"""The studio's people: links to join by, roles, switching off and on, fresh passwords."""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from projects.models import Invitation, Person, Workroom

from . import timing

LINK_LASTS = timedelta(days=7)
TOKEN_BYTES = 32
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
LAST_OWNER = "A studio needs an owner. Make somebody else an owner first."


class NoSuchLink(Exception):
    """The link is wrong, used, too old or taken back; which of these is not told."""


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def fresh_password() -> str:
    """Four groups of four letters and figures (79 bits) that are not taken for one another when copied."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(4))


def make_person(*, username: str, shown_name: str, role: str, password: str) -> Person:
    """Somebody new. Raises ValidationError by field; a name that differs only in case is taken."""
    if Person.objects.filter(username__iexact=username).exists():
        raise ValidationError({"username": "This user name is taken; choose another."})
    person = Person(username=username, shown_name=shown_name, role=role)
    person.set_password(password)
    person.full_clean()
    person.save()
    return person


@transaction.atomic
def invite(*, shown_name: str, role: str, by: Person) -> str:
    """A link's token, told this once: only its hash is kept."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    invitation = Invitation(
        token_hash=hash_of(token), role=role, shown_name=shown_name, created_by=by,
        expires_at=timezone.now() + LINK_LASTS,
    )
    invitation.full_clean()
    invitation.save()
    return token


def open_invitations(now: datetime) -> list[Invitation]:
    """Links that can still be used, newest first."""
    rows = Invitation.objects.filter(used_at=None, revoked_at=None, expires_at__gt=now)
    return list(rows.select_related("created_by").order_by("-pk")[:200])


def find_invitation(token: str, now: datetime, *, lock: bool = False) -> Invitation:
    """The invitation a usable link belongs to; raises ``NoSuchLink``."""
    rows = Invitation.objects.select_for_update() if lock else Invitation.objects
    found = rows.filter(token_hash=hash_of(token), used_at=None, revoked_at=None, expires_at__gt=now).first()
    if found is None:
        raise NoSuchLink
    return found


@transaction.atomic
def join(*, token: str, username: str, password: str) -> Person:
    """Somebody joins by a link, which is used up. Raises ``NoSuchLink`` or ValidationError by field."""
    now = timezone.now()
    invitation = find_invitation(token, now, lock=True)
    person = make_person(
        username=username, shown_name=invitation.shown_name, role=invitation.role, password=password
    )
    invitation.used_at = now
    invitation.save(update_fields=["used_at"])
    return person


def revoke(invitation: Invitation) -> None:
    """Take a link back; one that was used or taken back already stays as it is."""
    still_open = Invitation.objects.filter(pk=invitation.pk, used_at=None, revoked_at=None)
    still_open.update(revoked_at=timezone.now())


def _keep_an_owner(person: Person) -> None:
    """Refuse when ``person`` is the last active owner. Owners' rows stay locked until the change is saved."""
    owners = Person.objects.select_for_update().filter(role=Person.OWNER, is_active=True).order_by("pk")
    if [owner.pk for owner in owners] == [person.pk]:
        raise ValidationError(LAST_OWNER)


@transaction.atomic
def switch_off(person: Person) -> None:
    """They are signed out at once and can't sign in; their hours and work stay. Never the last owner.

    A timer they left running is stopped and its time logged, up to the last sign of work where it was
    forgotten: nobody could stop it any more.
    """
    _keep_an_owner(person)
    timing.stop_unasked(person=person, now=timezone.now(), zone=Workroom.load().zone)
    Person.objects.filter(pk=person.pk).update(is_active=False)


def switch_on(person: Person) -> None:
    Person.objects.filter(pk=person.pk).update(is_active=True)


@transaction.atomic
def change_person(person: Person, *, shown_name: str, role: str) -> None:
    """Name and role. Never takes the last owner's role."""
    if role != Person.OWNER:
        _keep_an_owner(person)
    person.shown_name, person.role = shown_name, role
    person.full_clean()
    person.save(update_fields=["shown_name", "role"])


def change_password(person: Person, *, password: str) -> None:
    """A new password; every other sign-in of this person ends."""
    person.set_password(password)
    person.save(update_fields=["password"])


def reset_password(person: Person) -> str:
    """A fresh password, told this once."""
    password = fresh_password()
    change_password(person, password=password)
    return password


def set_break(person: Person, *, after: int | None) -> None:
    """Minutes of work without a pause after which the timer reminds of a break; None for no reminder."""
    person.break_after = after
    person.full_clean()
    person.save(update_fields=["break_after"])
