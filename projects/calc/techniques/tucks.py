"""Tucks of any depth: spaced, pin, graduated, blind, overlapping, released.

A tuck takes up twice its depth (chestofbooks.com, Home and School Sewing, XXI). Lengths nm.
"""

from __future__ import annotations

from functools import lru_cache

from projects.calc.axis import Axis, place
from projects.calc.centring import start_phase
from projects.calc.direction import Direction
from projects.calc.folds import Pressing
from projects.calc.gaps import visible_gaps
from projects.calc.techniques.technique import Technique


def place_tucks(
    direction: Direction,
    length: int,
    extra: int,
    thickness: int | None,
    *,
    lead: int = 0,
    section: int | None = None,
    phase: int | None = None,
    centre: int | None = None,
) -> Axis:
    """See `Place`. Tucks run over the whole panel, `lead` and `section` are not used."""
    return place(
        direction.tucks,
        length=length,
        extra=extra,
        phase=start_phase(direction, centre) if phase is None else phase,
        pressing=direction.pressing,
        turns_at_centre=direction.turns_at_centre,
        centre=centre,
        tightest=tightest_gap(direction),
    )


@lru_cache(maxsize=256)
def tightest_gap(direction: Direction) -> int:
    """The smallest visible gap between the tucks of the repeat, nm; negative where they overlap."""
    return min(visible_gaps(direction.tucks, direction.pressing))


def graduated(first: int, step: int, n: int) -> tuple[int, ...]:
    """Depths first, first + step ..: n of them, taking up 2 (n d + s n (n - 1) / 2) together."""
    return tuple(first + step * i for i in range(n))


def starting_take_up(direction: Direction, thickness: int | None) -> tuple[int, ...]:
    """Twice the depth of each tuck of the repeat."""
    return tuple(2 * t.depth for t in direction.tucks)


def sew_note(direction: Direction) -> str:
    """How to go about it, in one line."""
    if tightest_gap(direction) < 0:
        return "Tucks overlap: sew against the pressing, the last tuck first, and press each before the next."
    if direction.pressing is Pressing.OPENED:
        return "Fold, sew at the depth, then open each tuck over its seam and press."
    return "Fold, sew at the depth from the fold, press each tuck before the next."


TUCKS = Technique("tucks", "Tucks", "tuck", False, place_tucks, starting_take_up, sew_note)
