"""How much thread the work takes. Lengths are whole nm, rounded up.

Thread = 1.15 x seams x ratio + 0.3 m for every start and stop. The ratios are the trade's for lockstitch
(301) and lockstitch or zigzag (304); 1.15 and 0.3 m are starting values.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from projects.calc.errors import CalcError
from projects.calc.units import UNITS, System, ceil_div, grouped

RATIOS: Final[dict[str, Fraction]] = {"301": Fraction(5, 2), "304": Fraction(11, 2)}
STITCHES: Final[dict[str, str]] = {"301": "lockstitch", "304": "zigzag lockstitch"}
SPARE: Final = Fraction(23, 20)
START: Final = 300_000_000


class ThreadError(CalcError):
    """A stitch nobody knows, or a length below 0."""


def thread(sewn: int, starts: int, stitch: str = "301") -> int:
    """Thread for ``sewn`` nm of seam begun ``starts`` times. Raises ThreadError."""
    if stitch not in RATIOS:
        raise ThreadError("thread", f"stitch {stitch}", f"one of {', '.join(RATIOS)}", "Choose one of these.")
    if sewn < 0 or starts < 0:
        raise ThreadError(
            "thread",
            f"{sewn} nm of seam and {starts} starts",
            "0 or more of both",
            "Measure the seams again.",
        )
    return -int(-sewn * SPARE * RATIOS[stitch] // 1) + starts * START


def said(length: int, system: System) -> str:
    """A length of thread or cord as it is said: rounded up to whole metres or yards from ten of them, to a
    tenth below. What rests on starting values is no surer than that.

    >>> said(43_190_000_000, System.METRIC)
    '44 m'
    >>> said(2_100_000_001, System.METRIC)
    '2.2 m'
    """
    unit = "m" if system is System.METRIC else "yd"
    tenths = ceil_div(length * 10, UNITS[unit])
    if tenths > 100:
        return f"{grouped(ceil_div(length, UNITS[unit]))} {unit}"
    return f"{tenths / 10:.1f} {unit}"


def spools(length: int, spool: int) -> int:
    """Whole spools of ``spool`` nm each. Raises ThreadError."""
    if spool <= 0:
        raise ThreadError(
            "thread", f"a spool of {spool} nm", "a length above 0", "Type what the spool holds."
        )
    return -(-length // spool)
