"""What an hour costs, from a day on: for the studio, for a person, and the overhead on every hour."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import Deletion, HourRate, Person

from . import deleting


@transaction.atomic
def set_hour_rate(
    *, kind: str, person: Person | None, amount: int, from_date: date, by: Person
) -> tuple[HourRate, Deletion | None]:
    """Minor units an hour costs from a day on; the same day again replaces its figure, which can be brought
    back by the deletion's number.

    Raises ValidationError naming the field: overhead is the studio's and never a person's.
    """
    if kind == "overhead" and person is not None:
        raise ValidationError({"person": "Overhead is added to everybody's hours; choose the studio."})
    held = HourRate.objects.live().select_for_update()
    held = held.filter(kind=kind, person=person, from_date=from_date).first()
    if held is not None and held.amount == amount:
        return held, None
    row = HourRate(kind=kind, person=person, from_date=from_date, amount=amount)
    row.clean_fields()
    replaced = deleting.delete([held], what=deleting.rate_name(held), person=by) if held else None
    row.full_clean()
    row.save()
    return row, replaced


@transaction.atomic
def delete_last(rate: HourRate, *, by: Person) -> Deletion:
    """Take the latest figure of its kind and person away, so that the one before holds again; it comes back
    by its deletion's number.

    Raises ValidationError for an earlier one: what was reckoned with it would change under it.
    """
    later = HourRate.objects.live().filter(
        kind=rate.kind, person=rate.person_id, from_date__gt=rate.from_date
    )
    if later.exists():
        raise ValidationError("A later figure holds already; only the last one can be deleted.")
    return deleting.delete([rate], what=deleting.rate_name(rate), person=by)
