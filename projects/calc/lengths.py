"""Lengths: whole nanometres, read from what people type and written in two ways.

*Exact* text (`exact`) is for forms and files: `parse` reads it back to the same nanometres. *Rounded* text
(`rounded`) is for reading; it is never parsed and never added up. 1 in = 25.4 mm and 1 yd = 36 in exactly,
so 0.01 mm and 1/64 in are both whole nanometres.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from projects.calc.length_text import check_bounds, read, shorten
from projects.calc.units import (
    BUY_STEPS,
    FIELD_UNITS,
    NM_PER_INCH,
    NM_PER_MM,
    UNITS,
    LengthError,
    PlainError,
    System,
    Typed,
    buy_up,
    ceil_div,
    field_unit,
    half_up,
    share_out,
    system_of,
)

__all__ = [
    "BUY_STEPS",
    "FIELD_UNITS",
    "NM_PER_INCH",
    "NM_PER_MM",
    "UNITS",
    "LengthError",
    "PlainError",
    "Rounding",
    "System",
    "Typed",
    "about",
    "buy_up",
    "ceil_div",
    "exact",
    "field_unit",
    "half_up",
    "of_lay",
    "of_shelf",
    "parse",
    "rounded",
    "rounded_down",
    "rounded_number",
    "rounded_unit",
    "rounded_up",
    "rounded_value",
    "share_out",
    "shorten",
    "system_of",
]


class Rounding(Enum):
    """What is being read: a mark or check measure, a piece or panel, or cloth to cut or buy."""

    MARK = "mark"
    PANEL = "panel"
    CLOTH = "cloth"


@dataclass(frozen=True, slots=True)
class _Style:
    step: int
    unit: str
    decimals: int | None  # None: a fraction


_STYLES: Final[dict[tuple[Rounding, System], _Style]] = {
    (Rounding.MARK, System.METRIC): _Style(NM_PER_MM // 2, "mm", 1),
    (Rounding.PANEL, System.METRIC): _Style(NM_PER_MM, "cm", 1),
    (Rounding.CLOTH, System.METRIC): _Style(10 * NM_PER_MM, "m", 2),
    (Rounding.MARK, System.INCH): _Style(NM_PER_INCH // 32, "in", None),
    (Rounding.PANEL, System.INCH): _Style(NM_PER_INCH // 16, "in", None),
    (Rounding.CLOTH, System.INCH): _Style(UNITS["yd"] // 8, "yd", None),
}
_ABOUT: Final[dict[System, _Style]] = {
    System.METRIC: _Style(NM_PER_MM // 10, "mm", 1),
    System.INCH: _Style(NM_PER_INCH // 64, "in", None),
}
_THIN: Final[dict[System, _Style]] = {
    System.METRIC: _Style(NM_PER_MM // 100, "mm", 2),
    System.INCH: _Style(NM_PER_INCH // 1000, "in", 3),
}
_WHOLE: Final[dict[System, int]] = {
    System.METRIC: NM_PER_MM // 1000,
    System.INCH: NM_PER_INCH // 10_000,
}


def parse(
    text: str, unit: str, *, least: int | None = None, most: int | None = None, allow_negative: bool = False
) -> Typed:
    """Read what a person typed. A bare number is in `unit`, the field's own.

    Understood: decimals with point or comma, fractions, mixed numbers (`1 7/16`, `1-7/16`, `1½`), the units
    mm, cm, m, in, ft, yd with their names and signs, and sums of descending units (`5 ft 3 in`). A value that
    is no whole nanometre (1/3 in) goes to the nearest, a tie going up. `least` and `most` are inclusive
    bounds in nm. Raises LengthError with a plain sentence; a comma before exactly three digits is refused.

    >>> parse("1 7/16 in", "mm")
    Typed(nm=36512500, unit='in')
    """
    typed = read(text, unit, allow_negative=allow_negative)
    check_bounds(typed, text, unit, least=least, most=most)
    return typed


def exact(nm: int, unit: str, field: str | None = None) -> str:
    """The shortest text that `parse(text, field)` reads back to exactly `nm`, written in `unit`.

    `field` is the unit of the field it stands in (by default `unit`); the unit is written out only where it
    differs. Inches, feet and yards are written as fractions first, then as decimals; what neither can hold
    is written in mm.

    >>> exact(4_000_000, "mm", "in"), exact(7_937_500, "in"), exact(8_466_667, "in"), exact(1, "in")
    ('4 mm', '5/16', '1/3', '0.000001 mm')
    """
    sign, size = ("-", -nm) if nm < 0 else ("", nm)
    number = _decimal(size, unit) if system_of(unit) is System.METRIC else _inch_number(size, unit)
    if number is None:
        written, number = "mm", _decimal(size, "mm")
    else:
        written = unit
    suffix = "" if written == (field or unit) else f" {written}"
    return f"{sign}{number}{suffix}"


def rounded_value(nm: int, kind: Rounding, system: System) -> int:
    """`nm` to the step of its kind, half up: 0.5 mm or 1/32 in, 1 mm or 1/16 in, 1 cm or 1/8 yd."""
    step = _STYLES[kind, system].step
    return half_up(nm, step) * step


def rounded_number(nm: int, kind: Rounding, system: System) -> str:
    """The rounded number without its unit; see `rounded_unit`."""
    return _styled(nm, _STYLES[kind, system])


def rounded_unit(kind: Rounding, system: System) -> str:
    """The unit rounded numbers of a kind are shown in."""
    return _STYLES[kind, system].unit


def rounded(nm: int, kind: Rounding, system: System) -> str:
    """Rounded text with its unit, for reading only.

    >>> rounded(483_400_000, Rounding.PANEL, System.METRIC), rounded(33_337_500, Rounding.MARK, System.INCH)
    ('48.3 cm', '1 ⁵⁄₁₆ in')
    """
    return f"{rounded_number(nm, kind, system)} {rounded_unit(kind, system)}"


def rounded_up(nm: int, kind: Rounding, system: System) -> str:
    """What is needed or bought, up to the step of its kind: never less than `nm`. For reading only.

    >>> rounded_up(700_000_000, Rounding.CLOTH, System.INCH)
    '⁷⁄₈ yd'
    """
    return rounded(up_to_step(nm, kind, system), kind, system)


def up_to_step(nm: int, kind: Rounding, system: System) -> int:
    """`nm` up to the step of its kind: 0.5 mm or 1/32 in, 1 mm or 1/16 in, 1 cm or 1/8 yd."""
    step = _STYLES[kind, system].step
    return ceil_div(nm, step) * step


def rounded_down(nm: int, kind: Rounding, system: System) -> str:
    """What is there, free or left over, down to the step of its kind: never more than `nm`. For reading only.

    >>> rounded_down(2_500_000_000, Rounding.CLOTH, System.INCH)
    '2 ⁵⁄₈ yd'
    """
    step = _STYLES[kind, system].step
    return rounded(nm // step * step, kind, system)


def of_lay(system: System) -> Rounding:
    """How cloth that panels are laid on is measured: eighths of a yard are too coarse there, so in inches."""
    return Rounding.PANEL if system is System.INCH else Rounding.CLOTH


def of_shelf(nm: int, system: System) -> Rounding:
    """How a length on the shelf, or what is taken off it, is said: in yards where it is whole eighths of one,
    else in inches as lays are measured, so that what a lay takes is the same everywhere and sums come out."""
    return of_lay(system) if nm % _STYLES[Rounding.CLOTH, system].step else Rounding.CLOTH


def about(nm: int, system: System) -> str:
    """A depth or space in the unit it was not typed in: to 0.1 mm or 1/64 in, with "about" unless exact."""
    style = _ABOUT[system]
    off = nm % style.step
    if off and 0 < nm < style.step:
        return f"less than {_styled(style.step, style)} {style.unit}"
    text = f"{_trimmed(_styled(nm, style), style)} {style.unit}"
    return f"about {text}" if off else text


def thickness(nm: int, system: System) -> str:
    """How thick cloth is, or layers of it: exact as far as 0.001 mm, 1/64 in or 0.0001 in hold it.

    Else "about", to 0.01 mm or 0.001 in: what was measured in one system is seldom round in the other.

    >>> thickness(160_000, System.METRIC), thickness(160_000, System.INCH), thickness(396_875, System.INCH)
    ('0.16 mm', 'about 0.006 in', '¹⁄₆₄ in')
    """
    style = _THIN[system]
    if system is System.INCH and nm % _ABOUT[system].step == 0:
        return about(nm, system)
    if nm % _WHOLE[system] == 0:
        return f"{_decimal(nm, style.unit)} {style.unit}"
    if nm < style.step:
        return f"less than {_styled(style.step, style)} {style.unit}"
    return f"about {_styled(nm, style).rstrip('0').rstrip('.')} {style.unit}"


# -- writing -------------------------------------------------------------------------------------------------

_SUPERSCRIPT: Final = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_SUBSCRIPT: Final = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
# unit -> divisor, times, places: the number written is (nm / divisor) * times / 10^places.
_DECIMALS: Final[dict[str, tuple[int, int, int]]] = {
    "mm": (1, 1, 6),
    "cm": (1, 1, 7),
    "m": (1, 1, 9),
    "in": (127, 5, 6),
    "ft": (381, 125, 8),
    "yd": (1143, 125, 8),
}
# Halves to 64ths, then the parts people type that are no whole nm (1/3 in) or no 64th (1/9 yd = 4 in).
_PARTS: Final[dict[str, tuple[int, ...]]] = {
    "in": (64, 3, 6, 12),
    "ft": (64, 12),
    "yd": (64, 36),
}


def _decimal(nm: int, unit: str) -> str | None:
    """`nm` (not negative) as a decimal of `unit`, or None where the decimal would not end."""
    divisor, times, places = _DECIMALS[unit]
    count, rest = divmod(nm, divisor)
    return None if rest else _point(count * times, places)


def _point(count: int, places: int) -> str:
    """count / 10^places as text without trailing zeros."""
    whole, part = divmod(count, 10**places)
    return f"{whole}.{part:0{places}d}".rstrip("0") if part else str(whole)


def _inch_number(nm: int, unit: str) -> str | None:
    """`nm` in inches, feet or yards: a fraction, else a decimal, else None."""
    size = UNITS[unit]
    for parts in _PARTS[unit]:
        count = half_up(nm * parts, size)
        if half_up(count * size, parts) == nm:
            return _fraction(count, parts)
    return _decimal(nm, unit)


def _fraction(count: int, parts: int, *, pretty: bool = False) -> str:
    """count / parts in lowest terms as a mixed number, plain (`1 5/16`) or with real fractions (`1 ⁵⁄₁₆`)."""
    whole, over = divmod(count, parts)
    if not over:
        return str(whole)
    while over % 2 == 0 and parts % 2 == 0:
        over, parts = over // 2, parts // 2
    while over % 3 == 0 and parts % 3 == 0:
        over, parts = over // 3, parts // 3
    top, bottom = str(over), str(parts)
    part = f"{top.translate(_SUPERSCRIPT)}⁄{bottom.translate(_SUBSCRIPT)}" if pretty else f"{top}/{bottom}"
    return f"{whole} {part}" if whole else part


def _styled(nm: int, style: _Style) -> str:
    count = half_up(nm, style.step)
    sign, count = ("−", -count) if count < 0 else ("", count)
    size = UNITS[style.unit]
    if style.decimals is None:
        return sign + _fraction(count, size // style.step, pretty=True)
    scale = 10**style.decimals
    whole, part = divmod(count * style.step * scale // size, scale)
    return f"{sign}{whole}.{part:0{style.decimals}d}"


def _trimmed(number: str, style: _Style) -> str:
    return number if style.decimals is None else number.removesuffix(".0")
