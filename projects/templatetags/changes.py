"""Changes for reading: more or less cloth, more or less time."""

from decimal import Decimal

from django import template

from projects.calc import labour

register = template.Library()
SQUARE_YARD = Decimal("0.83612736")


@register.filter
def signed_area(square_metres: Decimal, units: str) -> str:
    """For instance "+0.42 m²"; nothing that shows is "the same"."""
    area, unit = (square_metres, "m²") if units == "metric" else (square_metres / SQUARE_YARD, "yd²")
    rounded = area.quantize(Decimal("0.01"))
    return f"{_sign(rounded)}{abs(rounded)} {unit}" if rounded else "the same"


@register.filter
def signed_hours(minutes: Decimal) -> str:
    """For instance "+1 h 20 min"."""
    whole = labour.total_minutes([abs(minutes)])
    return f"{_sign(minutes)}{labour.format_minutes(whole)}" if whole else "the same"


def _sign(value: Decimal) -> str:
    return "+" if value > 0 else "\N{MINUS SIGN}"
