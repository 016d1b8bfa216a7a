"""Ruffles: strips cut across the cloth, joined, and drawn up to an edge. Lengths whole nm."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from projects.calc.errors import CalcError, millimetres
from projects.calc.units import ceil_div


class RuffleError(CalcError):
    """A ruffle that can't be cut."""


@dataclass(frozen=True, slots=True)
class Ruffle:
    """A ruffle for an edge: its flat length without allowances, strips to cut, and seams that join them."""

    flat: int
    strips: int
    joins: int


def ruffle(
    edge: int, fullness: Fraction, usable_width: int, allowance: int = 0, *, closed: bool = False
) -> Ruffle:
    """strips = ceil(edge x fullness / (usable width - 2 allowances)); one join fewer, or as many when closed.

    `fullness` is flat / finished, `allowance` is what each end of a strip loses to its join. Raises
    RuffleError naming the field.
    """
    if edge <= 0:
        raise RuffleError("edge", millimetres(edge), "an edge above 0", "Give the edge's length.")
    if fullness < 1:
        raise RuffleError("fullness", f"{float(fullness):g}", "1 or more", "2 takes twice the edge.")
    room = usable_width - 2 * allowance
    if room <= 0:
        least = f"more than {millimetres(2 * allowance)}"
        raise RuffleError("usable_width", millimetres(usable_width), least, "Take a wider cloth.")
    flat = ceil_div(edge * fullness.numerator, fullness.denominator)
    strips = ceil_div(flat, room)
    return Ruffle(flat, strips, strips if closed else strips - 1)
