"""The smallest blank of a cloth that gives the strips a project needs. Lengths are whole nm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from projects.calc.binding import (
    MOST_STRIPS,
    BindingError,
    Strips,
    bias_strips,
    join_loss,
    root2,
    straight_strips,
)

STEP: Final = 10_000_000
"""Sides of a blank on the bias are whole steps of this (1 cm): nobody measures one closer."""
GOOD_STRIP: Final = 400_000_000
"""Shorter strips are only cut where every edge is shorter, or the cloth too narrow: a starting value of our
own (40 cm)."""
SPARE: Final = Fraction(2, 100)
"""What a blank on the bias gives over what is needed: bias is never sewn as long as it was cut. A starting
value of our own."""
PER_JOIN: Final = 100_000_000**2
"""Cloth (nm2) that is gladly spent to save a join: a square of 10 cm, a starting value of our own."""


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle to cut strips from: across and along the cloth (nm), and what it gives."""

    width: int
    length: int
    strips: Strips


@dataclass(frozen=True, slots=True)
class Asked:
    """Strips ``strip`` wide that give ``need`` in all; ``allowance`` and ``least`` as in ``bias_strips``.

    ``per_join`` is the cloth (nm2) that each join counts as when blanks are compared.
    """

    need: int
    strip: int
    allowance: int = 0
    least: int = 0
    step: int = STEP
    per_join: int = 0

    def cut(self, width: int, length: int) -> Strips:
        return bias_strips(width, length, self.strip, allowance=self.allowance, least=self.least)


def easy_to_join(asked: Asked, longest: int, cloth: int) -> Asked:
    """The same with a little to spare and few joins: longer strips where the ``longest`` strip of an edge
    and a cloth ``cloth`` wide (nm) allow them, and cloth spent to save a join."""
    good = min(GOOD_STRIP, longest)
    least = max(asked.least, good) if root2(cloth) >= good else asked.least
    need = -(-asked.need * (1 + SPARE) // 1)
    return replace(asked, need=need, least=least, per_join=PER_JOIN)


@lru_cache(maxsize=256)
def bias_blank(asked: Asked, cloth: int) -> Blank:
    """The smallest blank in area (``per_join`` added for each of its joins), then in length, on a cloth
    ``cloth`` wide. Its longest strip is as long as the cloth allows where more than two squares of it are
    needed: then only the whole width is tried.

    Raises BindingError where nothing is needed or the cloth is narrower than a strip worth keeping.
    """
    if asked.need <= 0:
        raise BindingError("cloth", "nothing to bind", "a length above 0", "Give an edge its length.")
    widest = cloth // asked.step * asked.step
    much = asked.need * asked.strip > 2 * cloth * cloth
    found: Blank | None = None
    for wide in range(widest, 0, -asked.step):
        if (found and much) or root2(wide) < max(asked.least, join_loss(asked.allowance), 1):
            break
        tried = _shortest(asked, wide, size(asked, found)[0] if found else None)
        if tried is not None and (found is None or size(asked, tried) < size(asked, found)):
            found = tried
    if found is None:
        raise _too_narrow(cloth)
    return found


def straight_blank(asked: Asked, cloth: int) -> Blank:
    """As few whole strips across the cloth as serve. Raises BindingError as ``bias_blank`` does."""
    lost = 2 * asked.allowance
    if asked.need <= 0 or cloth <= lost:
        raise _too_narrow(cloth)
    count = max(1, -(-(asked.need - lost) // (cloth - lost)))
    length = count * asked.strip
    return Blank(cloth, length, straight_strips(cloth, length, asked.strip, allowance=asked.allowance))


def _too_narrow(cloth: int) -> BindingError:
    return BindingError(
        "cloth",
        f"a cloth {cloth / STEP:g} cm wide",
        "one on which a strip worth keeping finds room, and strips not cut by the thousand",
        "Choose a wider cloth, or another finish for the edge.",
    )


def size(asked: Asked, made: Blank) -> tuple[int, int]:
    """What blanks are compared by: the smaller comes first. Its area with what its joins count as (nm2), then
    its length."""
    joins = max(0, len(made.strips.lengths) - 1)
    return made.width * made.length + joins * asked.per_join, made.length


def _shortest(asked: Asked, wide: int, most: int | None) -> Blank | None:
    """The shortest blank of this width that serves; None where none does within ``most`` (nm2).

    What a blank gives never falls as it grows, so the length is found by halving.
    """
    low = max(1, asked.need * asked.strip // wide // asked.step)
    high = most // wide // asked.step if most else _enough(asked, wide, low)
    if high < low or asked.cut(wide, high * asked.step).gives < asked.need:
        return None
    while low < high:
        middle = (low + high) // 2
        if asked.cut(wide, middle * asked.step).gives >= asked.need:
            high = middle
        else:
            low = middle + 1
    return Blank(wide, high * asked.step, asked.cut(wide, high * asked.step))


def _enough(asked: Asked, wide: int, low: int) -> int:
    """A length, in steps, that serves; the longest that can be cut where none does."""
    most = MOST_STRIPS * asked.strip * 7 // 10 // asked.step
    high = low
    while high < most and asked.cut(wide, high * asked.step).gives < asked.need:
        high = min(most, 2 * high)
    return high
