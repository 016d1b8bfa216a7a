"""Lattice smocking: whole squares over a finished size. Lengths whole nm.

Squares drawn up on their diagonal: 4 W / diagonal across, 2 L / diagonal down (worked example in the tests).
With square / diagonal written as a ratio, that is finished x ratio / square in either direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from projects.calc.units import half_up


@dataclass(frozen=True, slots=True)
class Squares:
    """One direction: whole squares, the flat cloth they are drawn on, and the finished size it gives."""

    count: int
    flat: int
    finished: int


def whole_squares(finished: int, ratio: Fraction, square: int, squaring: int = 0) -> Squares:
    """The nearest whole number of squares, one more where it falls short by over the squaring margin."""
    wished = finished * ratio / square
    count = max(1, half_up(wished.numerator, wished.denominator))
    if finished - _given(count, ratio, square) > squaring:
        count += 1
    return Squares(count, count * square, _given(count, ratio, square))


def _given(count: int, ratio: Fraction, square: int) -> int:
    """What so many squares become, rounded down."""
    return count * square * ratio.denominator // ratio.numerator
