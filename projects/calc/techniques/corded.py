"""Corded tucks, and twin-needle tucks, which are a ridge raised the same way with or without a cord.

Starting take-up pi (cord + cloth thickness), the length of cloth round the cord; a sample must replace it.
They stand up, cover x +/- (cord + 2 t) / 2, and are never pressed over. Lengths nm; an unknown thickness
counts as 0 and the note says so.
"""

from __future__ import annotations

from dataclasses import replace

from projects.calc.axis import Axis, even, place
from projects.calc.centring import start_phase
from projects.calc.direction import Direction
from projects.calc.folds import Pressing
from projects.calc.lengths import half_up
from projects.calc.techniques.technique import Technique

TAIL = 20_000_000
"""What of each cord hangs out of its tuck, both ends together, so that it can be held and caught in the
seams; a starting value of our own, nm."""

_PI = (314_159_265_358_979, 100_000_000_000_000)


def round_the_cord(cord: int, thickness: int | None) -> int:
    """pi (cord + t), even, so that the two stitch lines lie whole nanometres from the fold."""
    return even(half_up(_PI[0] * (cord + (thickness or 0)), _PI[1]))


def covered_width(cord: int, thickness: int | None) -> int:
    """cord + 2 t, what a ridge covers on the finished face."""
    return cord + 2 * (thickness or 0)


def cord_needed(sewn: int, cords: int) -> int:
    """Cord for `cords` tucks that are sewn over `sewn` nm in all: their length, and a tail each."""
    return sewn + cords * TAIL


def place_corded(
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
    """See `Place`. The stitch lines are half the starting take-up from the fold; `extra` comes on top."""
    depth = round_the_cord(direction.cord, thickness) // 2
    reach = covered_width(direction.cord, thickness)
    return place(
        tuple(replace(t, depth=depth) for t in direction.tucks),
        length=length,
        extra=extra,
        phase=start_phase(direction, centre, reach) if phase is None else phase,
        pressing=Pressing.CORDED,
        reach=reach,
    )


def starting_take_up(direction: Direction, thickness: int | None) -> tuple[int, ...]:
    """pi (cord + t) for each tuck of the repeat."""
    return (round_the_cord(direction.cord, thickness),) * len(direction.tucks)


def thickness_note(thickness: int | None) -> str:
    """What to say while the thickness is unknown; empty when it is known."""
    if thickness is not None:
        return ""
    return "The cloth's thickness is not known and counts as nothing: the tucks will take up a little more."


def sew_note(direction: Direction) -> str:
    return "Lay the cord in the fold, sew close beside it; never press over the cord."


CORDED = Technique("corded", "Corded tucks", "tuck", True, place_corded, starting_take_up, sew_note)
