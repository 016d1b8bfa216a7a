"""When people work: the hours they usually give to projects, by weekday, and days off."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet

from projects.models import DayOff, Person, WeekHours

from .deleting import KEPT_FOR

LONGEST = timedelta(days=366)


class Changed(Exception):
    """Somebody else changed the hours after the form was shown. ``week`` is what they are now."""

    def __init__(self, week: tuple[int, ...]) -> None:
        super().__init__(str(week))
        self.week = week


def week_of(person: Person) -> tuple[int, ...]:
    """Minutes by weekday, Monday first; 0 where nothing was said."""
    known = dict(WeekHours.objects.filter(person=person).values_list("weekday", "minutes"))
    return tuple(known.get(weekday, 0) for weekday in range(7))


@transaction.atomic
def set_week(*, person: Person, minutes: Mapping[int, int], seen: tuple[int, ...] | None = None) -> None:
    """Write what differs; a weekday without minutes keeps no row. Raises ``Changed`` where the hours are not
    those that were ``seen``."""
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    now = week_of(person)
    wanted = tuple(minutes.get(weekday, 0) for weekday in range(7))
    if seen is not None and now not in (seen, wanted):
        raise Changed(now)
    for weekday, given in enumerate(wanted):
        if not given:
            WeekHours.objects.filter(person=person, weekday=weekday).delete()
        elif given != now[weekday]:
            WeekHours(person=person, weekday=weekday, minutes=given).clean_fields()
            WeekHours.objects.update_or_create(person=person, weekday=weekday, defaults={"minutes": given})


@transaction.atomic
def add_day_off(*, person: Person | None, first: date, last: date, note: str = "") -> DayOff:
    """Days off of a person, or of the whole studio. Raises ValidationError by field."""
    if last < first:
        raise ValidationError({"last": "The last day lies before the first; turn them round."})
    if last - first > LONGEST:
        raise ValidationError({"last": "That is more than a year. Give at most a year at a time."})
    row = DayOff(person=person, first=first, last=last, note=note.strip())
    same = DayOff.objects.filter(person=person, first=first, last=last, removed_at=None).first()
    if same is not None:
        return same
    row.full_clean()
    row.save()
    return row


def remove_day_off(row: DayOff, *, now: datetime) -> None:
    """Take it out; it can be put back for thirty days. Doing it twice is no mistake."""
    DayOff.objects.filter(pk=row.pk, removed_at=None).update(removed_at=now)


def put_back(row: DayOff) -> None:
    """Undo ``remove_day_off``."""
    DayOff.objects.filter(pk=row.pk).update(removed_at=None)


def days_off(person: Person, *, today: date, now: datetime) -> QuerySet[DayOff]:
    """Days off of a person and of the whole studio that are not over, and those removed lately."""
    kept = Q(removed_at=None) | Q(removed_at__gte=now - KEPT_FOR)
    rows = DayOff.objects.filter(kept, Q(person=person) | Q(person=None), last__gte=today)
    return rows.select_related("person").order_by("first", "pk")
