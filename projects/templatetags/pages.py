"""Small things that many templates need."""

import uuid
from decimal import Decimal
from typing import Any

from django import template

from projects.calc import units

register = template.Library()


@register.simple_tag
def op() -> str:
    """A fresh operation key for a form's hidden field."""
    return str(uuid.uuid4())


@register.filter
def hours(minutes: int | Decimal | None) -> str:
    """Minutes as hours and minutes for reading: 95 -> "1 h 35 min"."""
    from projects.calc import labour

    return "" if minutes is None else labour.format_minutes(int(round(minutes)))


@register.filter
def get(mapping: Any, key: Any) -> Any:
    """``mapping[key]``, or nothing."""
    return mapping.get(key) if mapping else None


@register.filter
def undo_number(tags: str | None) -> int | None:
    """The number of the deletion a message offers to undo (its tag is "undo-17"), or nothing."""
    name, _, number = (tags or "").partition("-")
    return int(number) if name == "undo" and number.isdigit() else None


@register.filter
def number(value: Decimal | int | None) -> str:
    """A decimal without trailing zeros: 4.500 -> "4.5"."""
    text = f"{value:f}" if value is not None else ""
    return text.rstrip("0").rstrip(".") if "." in text else text


@register.filter
def grouped(count: int) -> str:
    """A whole number with its thousands apart, as those of money: 13846 -> "13 846"."""
    return units.grouped(count)
