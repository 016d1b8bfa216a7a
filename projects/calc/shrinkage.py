"""What the first wash takes: lengths counted washed, bought unwashed, and panels sewn before the wash.

Shares are exact decimals, lengths whole nm. Need / (1 - s), never need x (1 + s).
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from projects.calc.direction import Direction
from projects.calc.folds import even
from projects.calc.lengths import ceil_div, half_up


def washed_length(length: int, shrink: Decimal | None) -> int:
    """What an unwashed length counts as: length x (1 - s), rounded down; unknown counts as none lost."""
    left = 1 - Fraction(shrink or 0)
    return length * left.numerator // left.denominator


washed_width = washed_length
"""The same rule with the share lost across."""


def buy_for(need: int, shrink: Decimal | None) -> int:
    """Unwashed cloth to buy for a washed need: need / (1 - s), rounded up."""
    return grown(need, growth(shrink))


ONE = Fraction(1)
"""No growth; compared by identity first, because most panels do not grow and fractions compare slowly."""


def growth(shrink: Decimal | None) -> Fraction:
    """1 / (1 - s): what every finished measure grows by when cloth is sewn unwashed and washed after."""
    return 1 / (1 - Fraction(shrink)) if shrink else ONE


def grown(length: int, factor: Fraction) -> int:
    """An extent times a growth, rounded up."""
    return length if factor is ONE or factor == 1 else ceil_div(length * factor.numerator, factor.denominator)


def scaled(length: int, factor: Fraction) -> int:
    """A measure inside an extent times a growth, half up."""
    return length if factor is ONE or factor == 1 else half_up(length * factor.numerator, factor.denominator)


def scaled_extra(extra: int, factor: Fraction) -> int:
    """e times a growth, kept even."""
    return extra if factor is ONE else even(scaled(extra, factor))


def scaled_direction(direction: Direction, spaces: Fraction, depths: Fraction) -> Direction:
    """A direction with its finished measures grown; a cord grows too, since what lies round it must."""
    if spaces is ONE and depths is ONE:
        return direction
    return replace(
        direction,
        tucks=tuple(
            replace(t, space=scaled(t.space, spaces), depth=scaled(t.depth, depths)) for t in direction.tucks
        ),
        width=scaled(direction.width, spaces),
        depth=scaled(direction.depth, depths),
        cord=scaled(direction.cord, depths),
    )
