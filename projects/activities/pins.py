"""PINs: a few figures by which somebody takes over the taps at a bench where another person is signed in."""

import re
from datetime import datetime
from typing import Final

from django.contrib.auth.hashers import check_password, make_password
from django.core.exceptions import ValidationError
from django.utils.crypto import salted_hmac

from projects.models import Person

from . import signing_in

SHAPE: Final = re.compile(r"[0-9]{4,8}", re.ASCII)
RISING: Final = "01234567890"
FEWEST_FIGURES: Final = 3
"""So many different figures at least; 1212 and 7777 have fewer."""


class WrongPin(Exception):
    """The PIN is not this person's, or they have none."""


def check_new(pin: str) -> None:
    """Raises ValidationError for what is no PIN, or one of those tried first."""
    if not SHAPE.fullmatch(pin):
        raise ValidationError("A PIN is 4 to 8 figures and nothing else. Type figures only.")
    if pin in RISING or pin in RISING[::-1] or len(set(pin)) < FEWEST_FIGURES or _repeats(pin):
        raise ValidationError("That is one of the PINs tried first. Choose figures without a pattern.")
    if len(pin) == 4 and pin.startswith(("19", "20")):
        raise ValidationError("That looks like a year, and years are tried first. Choose other figures.")


def _repeats(pin: str) -> bool:
    """Whether it is one group of figures over and over: 123123."""
    return any(pin == pin[:n] * (len(pin) // n) for n in range(1, len(pin)) if len(pin) % n == 0)


def set_pin(person: Person, *, pin: str) -> None:
    """A new PIN in the old one's place; whoever works under the old one elsewhere has to give the new one."""
    check_new(pin)
    person.pin = make_password(pin)
    person.save(update_fields=["pin"])


def remove_pin(person: Person) -> None:
    person.pin = ""
    person.save(update_fields=["pin"])


def mark(person: Person) -> str:
    """Something that changes with the PIN and tells nothing of it."""
    return salted_hmac("projects.pin", person.pin).hexdigest()[:20] if person.pin else ""


def check(*, person: Person, pin: str, asked_by: Person, now: datetime) -> None:
    """Raises WrongPin, or ``signing_in.TooSoon`` after too many wrong ones in a row, as at the sign-in.

    Tries are counted by who is signed in, so that another address gives no further ones.
    """
    key = {"name": f"PIN of {person.pk}", "address": f"signed in as {asked_by.pk}"}
    signing_in.begin_try(**key, now=now)
    known = bool(person.pin) and person.is_active and bool(SHAPE.fullmatch(pin))
    if not known or not check_password(pin, person.pin):
        raise WrongPin
    signing_in.forget_tries(**key)
