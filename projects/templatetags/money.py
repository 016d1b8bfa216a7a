"""Money in the studio's currency, for reading."""

from decimal import Decimal
from typing import Any

from django import template

from projects.calc import labour, lengths
from projects.calc.money import format_money
from projects.planning.cost_lines import CostLine, Figure
from projects.planning.words import counted

register = template.Library()


@register.simple_tag(takes_context=True)
def money(context: dict[str, Any], amount: int | None, unknown: str = "unknown") -> str:
    """Minor units with their currency: 123450 -> "1 234.50 EUR"; ``unknown`` where there is none."""
    return unknown if amount is None else format_money(amount, context["workroom"].currency)


@register.simple_tag(takes_context=True)
def cost_quantity(context: dict[str, Any], line: CostLine, figure: Figure) -> str:
    """How much a figure of a line is: cloth, notions or hours, in words; nothing where there is none."""
    if not figure.quantity:
        return "" if figure.quantity == 0 or line.kind == "money" or figure.amount is not None else "unknown"
    if line.kind == "cloth":
        system = lengths.System(context["workroom"].units)
        return lengths.rounded_up(int(figure.quantity), lengths.Rounding.CLOTH, system)
    if line.kind == "time":
        return labour.format_minutes(labour.total_minutes([Decimal(figure.quantity)]))
    return counted(Decimal(figure.quantity), line.unit)
