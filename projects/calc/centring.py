"""Where a repeat must start so that a tuck or a space lies on a centre line, and what reads both ways.

On a tuck means the middle of what it covers, on a space the middle of its visible gap. Lengths nm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate

from projects.calc.direction import Direction
from projects.calc.folds import Pressing, Tuck, after_seam, before_seam
from projects.calc.gaps import widest_gap, widest_gap_phase


@lru_cache(maxsize=256)
def symmetric_centres(tucks: tuple[Tuck, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Tucks, and spaces by the tuck they come after (from 1), about which spaces and depths read both ways.

    Spaces and depths alternate in a ring of 2n entries; entry c is a centre when entry 2c - i equals entry i
    for every i, that is when the ring read backwards from 2c is the ring itself.
    """
    ring = [length for tuck in tucks for length in (tuck.space, tuck.depth)]
    size = len(ring)
    backwards = ring[::-1] * 2
    found = [c for c in range(size) if backwards[(offset := (-1 - 2 * c) % size) : offset + size] == ring]
    on_tucks = tuple((c + 1) // 2 for c in found if c % 2)
    on_spaces = tuple(sorted(c // 2 or len(tucks) for c in found if not c % 2))
    return on_tucks, on_spaces


def start_phase(direction: Direction, centre: int | None, reach: int | None = None) -> int:
    """Where in the repeat a panel begins: as centring decides, else the middle of the widest gap."""
    if direction.centring and centre is not None:
        return centring_phase(direction, centre, reach)
    return _widest_gap_phase(direction, reach)


@lru_cache(maxsize=256)
def _widest_gap_phase(direction: Direction, reach: int | None) -> int:
    return widest_gap_phase(direction.tucks, direction.laid, reach)


def centring_phase(direction: Direction, centre: int, reach: int | None = None) -> int:
    """The phase that puts the direction's tuck or space on `centre` (from the panel's first edge), nm."""
    if direction.centring == "tuck":
        coordinate = _tuck_middle(direction, centred_tuck(direction), reach)
    else:
        coordinate = _space_middle(direction, centred_space(direction, reach), reach)
    return (coordinate - centre) % sum(t.space for t in direction.tucks)


def centred_tuck(direction: Direction) -> int:
    """The tuck named, else the one that reads the same both ways, else the deepest; from 1."""
    if direction.centre_on:
        return direction.centre_on
    depths = [t.depth for t in direction.tucks]
    candidates = symmetric_centres(direction.tucks)[0] or range(1, len(depths) + 1)
    return max(candidates, key=lambda number: (depths[number - 1], -number))


def centred_space(direction: Direction, reach: int | None = None) -> int:
    """The space named, else the one that reads the same both ways, else the widest gap; after which tuck."""
    if direction.centre_on:
        return direction.centre_on
    candidates = symmetric_centres(direction.tucks)[1]
    if not candidates:
        return widest_gap(direction.tucks, direction.laid, reach)
    ring = direction.tucks
    return max(candidates, key=lambda number: (ring[number % len(ring)].space, -number))


def _lines(tucks: Sequence[Tuck]) -> list[int]:
    return list(accumulate(t.space for t in tucks))


def _tuck_middle(direction: Direction, number: int, reach: int | None) -> int:
    laid = _laid_on_line(direction)
    width = direction.tucks[number - 1].depth if reach is None else reach
    return _lines(direction.tucks)[number - 1] + (after_seam(laid, width) - before_seam(laid, width)) // 2


def _laid_on_line(direction: Direction) -> Pressing:
    """A tuck on the line at which the pressing turns is opened."""
    if direction.turns_at_centre and direction.laid.turned is not direction.laid:
        return Pressing.OPENED
    return direction.laid


def _space_middle(direction: Direction, number: int, reach: int | None) -> int:
    tucks = direction.tucks
    first, second = tucks[number - 1], tucks[number % len(tucks)]
    later = direction.laid.turned if direction.turns_at_centre else direction.laid
    line = _lines(tucks)[number - 1]
    end = line + after_seam(direction.laid, first.depth if reach is None else reach)
    start = line + second.space - before_seam(later, second.depth if reach is None else reach)
    return (end + start) // 2


def turn_refusal(direction: Direction) -> str:
    """Why a panel turned end for end does not match one that was not; empty when it does.

    Turned, the recipe is reversed and its pressing turns over: spaces, depths and pressing must all read
    the same.
    """
    if direction.is_pleats:
        return _pleat_refusal(direction)
    if direction.laid.turned is not direction.laid and not direction.turns_at_centre:
        return "Turned end for end its tucks would be pressed the other way."
    if symmetric_centres(direction.tucks) == ((), ()):
        return "Turned end for end its spaces and depths would come in another order."
    return ""


def _pleat_refusal(direction: Direction) -> str:
    if direction.technique == "knife" and not direction.turns_at_centre:
        return "Turned end for end its pleats would lie the other way."
    return ""
