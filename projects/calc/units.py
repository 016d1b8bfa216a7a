"""Units of length, the error a typed length raises, and whole-number arithmetic.

Use these names through `lengths`, the public face of this module and of `length_text`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from projects.calc.errors import CalcError

NM_PER_MM: Final = 1_000_000
NM_PER_INCH: Final = 25_400_000
UNITS: Final[dict[str, int]] = {
    "mm": NM_PER_MM,
    "cm": 10 * NM_PER_MM,
    "m": 1_000 * NM_PER_MM,
    "in": NM_PER_INCH,
    "ft": 12 * NM_PER_INCH,
    "yd": 36 * NM_PER_INCH,
}


GAP: Final = "\N{NO-BREAK SPACE}"
"""Between thousands, and between a figure and its unit where a line may break."""


class System(StrEnum):
    """The two systems a studio can work in."""

    METRIC = "metric"
    INCH = "inch"


FIELD_UNITS: Final[dict[str, tuple[str, str]]] = {
    "fine": ("mm", "in"),
    "piece": ("cm", "in"),
    "cloth": ("m", "yd"),
}
BUY_STEPS: Final[dict[System, int]] = {System.METRIC: 100 * NM_PER_MM, System.INCH: UNITS["yd"] // 8}


class PlainError(CalcError):
    """A refusal that says the problem first: `str()` is the problem and the remedy, in full sentences.

    `given` is what was typed or measured (shortened when long), `expected` what would have been understood or
    allowed, `remedy` what to do, `field` which part of several was wrong.
    """

    def __init__(self, problem: str, *, given: str, expected: str, remedy: str, field: str = "") -> None:
        super().__init__(field, given, expected, remedy)
        self.args = (f"{problem} {remedy}",)


class LengthError(PlainError):
    """A length that can't be used; its text stands beside the field."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A length as typed: whole nanometres, and the unit it was typed in."""

    nm: int
    unit: str


def field_unit(kind: str, system: System) -> str:
    """The unit of a form field: `kind` is "fine" (tucks), "piece" (also cloth widths) or "cloth"."""
    return FIELD_UNITS[kind][0 if system is System.METRIC else 1]


def system_of(unit: str) -> System:
    """The system a unit belongs to."""
    return System.INCH if unit in ("in", "ft", "yd") else System.METRIC


def ceil_div(numerator: int, denominator: int) -> int:
    """Whole-number division rounded up; the denominator is positive."""
    return -(-numerator // denominator)


def half_up(numerator: int, denominator: int) -> int:
    """Whole-number division rounded to the nearest, a tie going up; the denominator is positive."""
    return (2 * numerator + denominator) // (2 * denominator)


def buy_up(nm: int, step: int) -> int:
    """A length to buy: up to the shop's step (both nm), by ceiling.

    >>> buy_up(2_310_000_000, 100_000_000)
    2400000000
    """
    return ceil_div(nm, step) * step


def share_out(total: int, n: int) -> tuple[int, ...]:
    """`total` in `n` whole parts that differ by at most one and sum to it; the first take the remainder.

    >>> share_out(10, 3)
    (4, 3, 3)
    """
    if n < 1:
        raise ValueError(f"A whole can't be shared out in {n} parts; give at least 1.")
    each, left = divmod(total, n)
    return tuple(each + (i < left) for i in range(n))


def grouped(count: int) -> str:
    """A whole number for reading, its thousands apart by a space: never a comma, which would be read as a
    decimal one.

    >>> grouped(13846).replace(GAP, "_")
    '13_846'
    """
    return f"{count:,}".replace(",", GAP)
