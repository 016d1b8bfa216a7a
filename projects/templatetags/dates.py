"""Dates as people speak of them."""

from datetime import date

from django import template
from django.utils import timezone

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
