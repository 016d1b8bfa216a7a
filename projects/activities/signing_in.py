"""Slowing down who guesses passwords: after a few wrong ones in a row, each further try has to wait."""

import hashlib
from datetime import datetime, timedelta
from functools import lru_cache
from math import ceil

from django.contrib.auth.hashers import check_password
from django.db import transaction

from projects.models import Person, SignInTries, Workroom

FREE_TRIES = 5
FIRST_WAIT = timedelta(seconds=15)
LONGEST_WAIT = timedelta(minutes=15)
FORGOTTEN_AFTER = timedelta(hours=1)
DEMO = "demo"


class TooSoon(Exception):
    """The next try has to wait; ``seconds`` from now."""

    def __init__(self, wait: timedelta) -> None:
        self.seconds = ceil(wait.total_seconds())
        super().__init__(f"wait {self.seconds} s")

    @property
    def words(self) -> str:
        """How long, for reading: "40 seconds", "3 minutes"."""
        if self.seconds < 90:
            return f"{self.seconds} second{'s' if self.seconds != 1 else ''}"
        return f"{ceil(self.seconds / 60)} minutes"


def wait_after(tries: int) -> timedelta:
    """The pause after so many wrong passwords in a row: none for five, then 15 s, doubling to 15 min."""
    if tries < FREE_TRIES:
        return timedelta(0)
    return min(FIRST_WAIT * 2 ** min(tries - FREE_TRIES, 10), LONGEST_WAIT)


def _key(name: str, address: str) -> str:
    return hashlib.sha256(f"{name.strip().casefold()}\n{address}".encode("utf-8", "replace")).hexdigest()


@transaction.atomic
def begin_try(*, name: str, address: str, now: datetime) -> None:
    """Count a try before its password is looked at; raise ``TooSoon`` while the pause lasts.

    Counting first keeps many tries at once from all being looked at.
    """
    key = _key(name, address)
    row, fresh = SignInTries.objects.get_or_create(key=key, defaults={"last_at": now})
    row = SignInTries.objects.select_for_update().get(pk=row.pk)
    if fresh:
        SignInTries.objects.filter(last_at__lt=now - FORGOTTEN_AFTER).exclude(pk=row.pk).delete()
    if now - row.last_at > FORGOTTEN_AFTER:
        row.tries = 0
    left = wait_after(row.tries) - (now - row.last_at)
    if left > timedelta(0):
        raise TooSoon(left)
    row.tries += 1
    row.last_at = now
    row.save(update_fields=["tries", "last_at"])


def forget_tries(*, name: str, address: str) -> None:
    """The right password was given: the next wrong one is the first again."""
    SignInTries.objects.filter(key=_key(name, address)).delete()


def demo_still_open(workroom: Workroom) -> bool:
    """Whether demo / demo still signs in to this studio; a page may say so only then."""
    if not workroom.is_demo:
        return False
    found = Person.objects.filter(username=DEMO, is_active=True).values_list("password", flat=True).first()
    return bool(found) and _opens(found)


@lru_cache(maxsize=8)
def _opens(kept: str) -> bool:
    # A password hash is slow on purpose; the sign-in page asks once a hash, not once a visit.
    return check_password(DEMO, kept)
