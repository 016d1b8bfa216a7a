"""Bands, loops for buttons, and strips round a cord. Lengths are whole nm; roots and pi are rounded up."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from typing import Final

from projects.calc.binding import up
from projects.calc.errors import CalcError

PI: Final = Fraction(3_141_592_653_589_793_239, 10**18)
"""A little more than pi: what it makes is never too short."""


class BandError(CalcError):
    """Numbers that give no band or loop."""


def band(opening: int, reduction: Decimal, allowance: int) -> int:
    """A band shorter than its opening: opening x (1 - reduction) + 2 allowances, rounded up.

    ``reduction`` is a share from 0 to 0.5. Raises BandError.
    """
    if opening <= 0 or not 0 <= reduction <= Decimal("0.5"):
        raise BandError(
            "band",
            f"an opening of {opening} nm, a band shorter by {reduction}",
            "an opening above 0 and a share from 0 to 0.5",
            "Type a share such as 0.1.",
        )
    worn = (opening * (1 - reduction)).to_integral_value(ROUND_CEILING)
    return int(worn) + 2 * allowance


def visible_loop(diameter: int, thickness: int, gap: int) -> int:
    """The least a loop shows so that a flat button passes, its ends ``gap`` apart.

    Up to the button's diameter D: 2 (D + t) - g, the way round it; wider: D + 2 sqrt(((g - D) / 2)^2 + t^2).
    """
    if min(diameter, thickness, gap) < 0 or diameter == 0:
        raise _no_loop(f"a button {diameter} nm across, {thickness} nm thick, a gap of {gap} nm")
    if gap <= diameter:
        return 2 * (diameter + thickness) - gap
    return diameter + up((gap - diameter) ** 2 + 4 * thickness**2)


def visible_ball_loop(diameter: int, gap: int) -> int:
    """The least a loop shows for a ball button: pi D - g."""
    if diameter <= 0 or gap < 0:
        raise _no_loop(f"a ball {diameter} nm across, a gap of {gap} nm")
    return max(0, -int(-PI * diameter // 1) - gap)


def _no_loop(given: str) -> BandError:
    return BandError(
        "band", given, "a diameter above 0, and a thickness and gap of 0 or more", "Measure the button again."
    )


def loop_length(visible: int, ease: int, allowance: int) -> int:
    """What is cut for one loop: what shows, ease, and an allowance at each end."""
    return visible + ease + 2 * allowance


def piping_strip(circumference: int, allowance: int) -> int:
    """Strip round a cord: its circumference and two allowances."""
    return circumference + 2 * allowance


def cord_round(diameter: int) -> int:
    """Circumference of a cord, rounded up."""
    return -int(-PI * diameter // 1)
