"""What an hour costs, from a day on: for the studio, for a person, and the overhead on every hour."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import HourRate, Person


@transaction.atomic
def set_hour_rate(*, kind: str, person: Person | None, amount: int, from_date: date) -> HourRate:
    """Minor units an hour costs from a day on; the same day again replaces its figure.

    Raises ValidationError naming the field: overhead is the studio's and never a person's.
    """
    if kind == "overhead" and person is not None:
        raise ValidationError({"person": "Overhead is added to everybody's hours; choose the studio."})
    row = HourRate.objects.select_for_update().filter(kind=kind, person=person, from_date=from_date).first()
    row = row or HourRate(kind=kind, person=person, from_date=from_date)
    row.amount = amount
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def delete_last(rate: HourRate) -> None:
    """Take the latest figure of its kind and person away, so that the one before holds again.

    Raises ValidationError for an earlier one: what was reckoned with it would change under it.
    """
    later = HourRate.objects.filter(kind=rate.kind, person=rate.person_id, from_date__gt=rate.from_date)
    if later.exists():
        raise ValidationError("A later figure holds already; only the last one can be deleted.")
    rate.delete()
