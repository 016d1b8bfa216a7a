"""Amounts of stock and shares, for reading."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import template

from projects.calc import lengths
from projects.forms.numbers import written
from projects.models import ClothLength, Notion
from projects.planning.words import unit_for

register = template.Library()


@register.filter
def percent(share: Decimal | None) -> str:
    """A share in percent: 0.04 -> "4 %"; "unknown" where there is none."""
    return "unknown" if share is None else f"{written(Decimal(share).scaleb(2))}\N{NO-BREAK SPACE}%"


@register.filter
def percent_about(share: Decimal) -> str:
    """A share in whole percent, half up: 0.345 -> "35 %"."""
    return f"{(share * 100).quantize(Decimal(1), ROUND_HALF_UP)}\N{NO-BREAK SPACE}%"


@register.filter
def price(value: Decimal) -> str:
    """A price as it was typed, with two places at least: 4.5 -> "4.50", 12.3456 -> "12.3456"."""
    text = written(value)
    whole, _, parts = text.partition(".")
    return f"{whole}.{parts:0<2}"


@register.filter
def thousandths(amount: int) -> str:
    """Thousandths of a unit as a plain number: 2500 -> "2.5"."""
    return written(Decimal(amount) / 1000).replace("-", "−")


@register.simple_tag(takes_context=True)
def amount(context: dict[str, Any], row: ClothLength | Notion, value: int, signed: str = "") -> str:
    """An amount of a length or notion with its unit; ``signed`` puts a plus before what came in."""
    plus = "+" if signed and value > 0 else ""
    if isinstance(row, Notion):
        return f"{plus}{thousandths(value)} {unit_for(Decimal(abs(value)) / 1000, row.unit)}"
    system = lengths.System(context["workroom"].units)
    return plus + lengths.rounded(value, lengths.of_shelf(value, system), system)
