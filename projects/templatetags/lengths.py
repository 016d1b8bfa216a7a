"""Lengths in the studio's units, for reading. Forms use the exact text instead (projects.forms.fields)."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from django import template

from projects.calc import lengths
from projects.planning.materials import ON_HAND, ROUNDING

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
def cloth_needed(context: dict[str, Any], nm: int | None) -> str:
    """Cloth needed or to buy: up to 1 cm or 1/8 yd, never less than it is."""
    return "unknown" if nm is None else lengths.rounded_up(nm, lengths.Rounding.CLOTH, _system(context))


@register.simple_tag(takes_context=True)
def shelf(context: dict[str, Any], nm: int) -> str:
    """Cloth on the shelf: to 1 cm; whole eighths of a yard, else to 1/16 in."""
    system = _system(context)
    return lengths.rounded(nm, lengths.of_shelf(nm, system), system)


@register.simple_tag(takes_context=True)
def taken(context: dict[str, Any], nm: int | None) -> str:
    """What work takes of cloth: up to 1 cm; whole eighths of a yard, else up to 1/16 in. Never less than it
    is; what is bought is said by ``cloth_needed``, as it is sold."""
    system = _system(context)
    return "unknown" if nm is None else lengths.rounded_up(nm, lengths.of_shelf(nm, system), system)


@register.simple_tag(takes_context=True)
def laid(context: dict[str, Any], nm: int | None) -> str:
    """What a lay takes of cloth: up to 1 cm or 1/16 in, never less than it is."""
    system = _system(context)
    return "unknown" if nm is None else lengths.rounded_up(nm, lengths.of_lay(system), system)


@register.simple_tag(takes_context=True)
def cloth_there(context: dict[str, Any], nm: int | None) -> str:
    """Cloth a lay may take, or that it leaves: down to 1 cm or 1/16 in, never more than it is."""
    system = _system(context)
    return "unknown" if nm is None else lengths.rounded_down(nm, lengths.of_lay(system), system)


@register.simple_tag(takes_context=True)
def left(context: dict[str, Any], nm: int) -> str:
    """A side of what is left over: down to 1 mm or 1/16 in, never more than it is."""
    return lengths.rounded_down(nm, lengths.Rounding.PANEL, _system(context))


TOO_MUCH = "Less what the lines above are rounded up by"


@register.simple_tag(takes_context=True)
def buy_lines(context: dict[str, Any], lines: Iterable[Any]) -> list[tuple[str, str]]:
    """The reasons of what to buy, each rounded up by itself, so that one length is one figure and enough to
    cut from. What that adds is taken off the rounding to the step it is sold in, or off what is on hand, so
    that what is shown sums to what is shown."""
    system, kind, lines = _system(context), lengths.Rounding.CLOTH, list(lines)
    shown = [(line.why, lengths.up_to_step(line.length, kind, system)) for line in lines]
    buy = lengths.up_to_step(sum(line.length for line in lines), kind, system)
    over = sum(length for _, length in shown) - buy
    for place in range(len(lines) - 1, -1, -1):
        why, length = shown[place]
        if why == ON_HAND or (why == ROUNDING and length >= over):
            shown[place], over = (why, length - over), 0
            break
    shown += [(TOO_MUCH, -over)] if over else []
    return [(why, lengths.rounded(length, kind, system)) for why, length in shown if length]


@register.simple_tag(takes_context=True)
def as_set(context: dict[str, Any], nm: int) -> str:
    """A setting for lengths of cloth exactly as it stands, with its unit; one of the other system's with
    about what it is in the studio's."""
    system = _system(context)
    unit = lengths.field_unit("cloth", system)
    text = lengths.exact(nm, unit, unit)
    if not text[-1].isalpha():
        return f"{text} {unit}"
    near = lengths.rounded(nm, lengths.Rounding.PANEL, system)
    return f"about {near}, set as {text}" if system is lengths.System.INCH else text


@register.simple_tag(takes_context=True)
def depth(context: dict[str, Any], nm: int | None) -> str:
    """A depth or space: never rounded in its own unit, "about" in the other."""
    return "unknown" if nm is None else lengths.about(nm, _system(context))


@register.simple_tag(takes_context=True)
def strays(context: dict[str, Any], nm: int) -> str:
    """By how much depths are off: to 0.1 mm or 0.001 in, since 1/64 in is as much as a hand strays."""
    system = _system(context)
    return lengths.about(nm, system) if system is lengths.System.METRIC else lengths.thickness(nm, system)


@register.simple_tag(takes_context=True)
def thickness(context: dict[str, Any], nm: int | None) -> str:
    """How thick cloth is, or layers of it: as measured, "about" only in the other system."""
    return "unknown" if nm is None else lengths.thickness(nm, _system(context))


@register.filter
def ratio(value: Any) -> str:
    """Flat to finished with two decimals, half up."""
    hundredths = Fraction(value) * 100
    whole = (2 * hundredths.numerator + hundredths.denominator) // (2 * hundredths.denominator)
    return f"{whole // 100}.{whole % 100:02d}"
