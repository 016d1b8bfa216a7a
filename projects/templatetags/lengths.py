"""Lengths in the studio's units, for reading. Forms use the exact text instead (projects.forms.fields)."""

from typing import Any

from django import template

from projects.calc import lengths

register = template.Library()


def _system(context: dict[str, Any]) -> lengths.System:
    return lengths.System(context["workroom"].units)


@register.simple_tag(takes_context=True)
def mark(context: dict[str, Any], nm: int | None) -> str:
    """A mark or check measure, to 0.5 mm or 1/32 in."""
    return "unknown" if nm is None else lengths.rounded(nm, lengths.Rounding.MARK, _system(context))


@register.simple_tag(takes_context=True)
def panel(context: dict[str, Any], nm: int | None) -> str:
    """A piece or panel, to 1 mm or 1/16 in."""
    return "unknown" if nm is None else lengths.rounded(nm, lengths.Rounding.PANEL, _system(context))


@register.simple_tag(takes_context=True)
def cloth(context: dict[str, Any], nm: int | None) -> str:
    """Cloth by the length, to 1 cm or 1/8 yd."""
    return "unknown" if nm is None else lengths.rounded(nm, lengths.Rounding.CLOTH, _system(context))


@register.simple_tag(takes_context=True)
def depth(context: dict[str, Any], nm: int | None) -> str:
    """A depth or space: never rounded in its own unit, "about" in the other."""
    return "unknown" if nm is None else lengths.about(nm, _system(context))


@register.simple_tag(takes_context=True)
def thickness(context: dict[str, Any], nm: int | None) -> str:
    """How thick cloth is, or layers of it: as measured, "about" only in the other system."""
    return "unknown" if nm is None else lengths.thickness(nm, _system(context))
