"""Money in the studio's currency, for reading."""

from typing import Any

from django import template

from projects.calc.money import format_money

register = template.Library()


@register.simple_tag(takes_context=True)
def money(context: dict[str, Any], amount: int | None, unknown: str = "unknown") -> str:
    """Minor units with their currency: 123450 -> "1 234.50 EUR"; ``unknown`` where there is none."""
    return unknown if amount is None else format_money(amount, context["workroom"].currency)
