"""The studio itself: claiming it, its settings, how long work takes in it."""

import hashlib
import hmac
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from projects.calc.labour import DRIVERS, SETUP, STARTING_SETUP, Driver
from projects.calc.lengths import BUY_STEPS, System
from projects.models import LabourRate, Person, Workroom

from .learning import rate_changed
from .people import make_person
from .revising import save_changes

SETUPS = {
    SETUP + stage: Driver(SETUP + stage, stage, "setting up, once a project", "project", minutes)
    for stage, minutes in STARTING_SETUP.items()
}
PARTS = {**SETUPS, **DRIVERS}
"""Everything a studio may have its own minutes for: setting up each stage, and what is counted in it."""
WRONG_CODE = "This is not the code printed on the console; look there and type it again."


class Claimed(Exception):
    """The studio has an owner already."""


def has_owner() -> bool:
    return Person.objects.filter(role=Person.OWNER, is_active=True).exists()


def is_claim_code(code: str, workroom: Workroom) -> bool:
    """Whether ``code`` is the one printed on the console; capitals, spaces and dashes don't matter."""
    plain = "".join(code.split()).replace("-", "").lower()
    given = hashlib.sha256(plain.encode("utf-8", "replace")).hexdigest()
    return bool(workroom.claim_hash) and hmac.compare_digest(given, workroom.claim_hash)


@transaction.atomic
def claim_studio(*, code: str, person: dict[str, str], values: dict[str, Any]) -> Person:
    """The first owner, and what the studio is called and measures in. The code is used up.

    ``person`` holds username, shown_name and password. Raises ``Claimed``, or ValidationError by field.
    """
    workroom = Workroom.objects.select_for_update().get(pk=Workroom.load().pk)
    if has_owner():
        raise Claimed
    if not is_claim_code(code, workroom):
        raise ValidationError({"code": WRONG_CODE})
    owner = make_person(role=Person.OWNER, **person)
    for name, value in with_usual_step(workroom, values).items():
        setattr(workroom, name, value)
    workroom.claim_hash, workroom.claimed_at = "", timezone.now()
    workroom.full_clean()
    workroom.save()
    return owner


def change_settings(workroom: Workroom, *, revision: int, changes: dict[str, Any]) -> Workroom:
    """Write what differs; raises ``Stale`` when somebody saved first. Stored lengths are never converted."""
    return save_changes(workroom, revision=revision, changes=changes)


def with_usual_step(workroom: Workroom, changes: dict[str, Any]) -> dict[str, Any]:
    """A studio claimed in inches begins with the yard's usual step to buy in."""
    units = changes.get("units", workroom.units)
    return {"buy_step": BUY_STEPS[System(units)], **changes}


@transaction.atomic
def set_rate(*, driver: str, minutes: Decimal, from_date: date) -> LabourRate:
    """Minutes one of ``driver`` takes here from a date on; the same date again replaces its figure."""
    if driver not in PARTS:
        raise ValidationError({"driver": "There is no such part of the work; choose one from the page."})
    rate = LabourRate.objects.select_for_update().filter(driver=driver, from_date=from_date).first()
    rate = rate or LabourRate(driver=driver, from_date=from_date)
    rate.minutes = minutes
    rate.full_clean()
    rate.save()
    rate_changed(driver)
    return rate


def clear_rate(*, driver: str) -> int:
    """Back to the starting value: every own figure of this driver goes. Returns how many there were."""
    gone = LabourRate.objects.filter(driver=driver).delete()[0]
    rate_changed(driver)
    return gone
