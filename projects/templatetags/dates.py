"""Dates as people speak of them."""

from datetime import date

from django import template
from django.utils import timezone
from django.utils.formats import date_format

register = template.Library()


@register.filter
def days_left(due: date | None) -> int | None:
    """Days from today, in the studio's time zone, to ``due``; negative when it has passed."""
    return None if due is None else (due - timezone.localdate()).days


@register.filter
def due_in(due: date | None) -> str:
    """ "in 12 days", "tomorrow", "today", "3 days late"; nothing without a date."""
    days = days_left(due)
    if days is None:
        return ""
    if days < 0:
        return f"{-days} day{'s' if days < -1 else ''} late"
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")


@register.filter
def on_day(day: date | None, beside: date | None = None) -> str:
    """ "4 December", with its year where that is not this one; or where ``beside``, a date named with it, has
    another year than this one."""
    if day is None:
        return ""
    years = {day.year, (beside or day).year}
    return date_format(day, "j F" if years == {timezone.localdate().year} else "j F Y")
