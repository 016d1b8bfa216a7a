"""Minutes that nobody can know exactly, said no more exactly than they are."""

from decimal import Decimal

from django import template

from projects.calc.labour import format_minutes

register = template.Library()
HALF_HOURS_FROM, FIVE = 5 * 60, 5


@register.filter
def about(minutes: Decimal | int | None) -> str:
    """To half hours from five hours on, else to five minutes, at least five: "9 h 30 min", "40 min"."""
    if minutes is None:
        return ""
    step = 30 if minutes >= HALF_HOURS_FROM else FIVE
    return format_minutes(max(step, int((Decimal(minutes) / step + Decimal("0.5")) // 1) * step))
