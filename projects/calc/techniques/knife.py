"""Knife pleats: each covers its underlay to one side.

Pressed on, fold i is the outer edge of pleat i and its inner fold lies `depth` before it; pressed back the
other way round. Deeper than wide they overlap: then the first (last) inner fold stays at the section's edge.
"""

from __future__ import annotations

from projects.calc.axis import Axis
from projects.calc.direction import Direction
from projects.calc.folds import Pressing
from projects.calc.techniques.pleats import PleatCount, count_pleats, fold_lines, lay_pleats, pleats
from projects.calc.techniques.technique import Technique


def knife_pleats(section: int, depth: int, width: int, extra: int = 0) -> PleatCount:
    """section + 2 x depth x n of flat cloth (NIMI Dress Making, p. 203)."""
    return pleats(section, depth, width, 1, extra)


def place_knife(
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
    """See `Place`. Pleats lie over `section` (None: the whole length) after `lead`; `phase` is not used."""
    section = length - lead if section is None else section
    n = count_pleats(section, direction.width)
    lines = fold_lines(section, n)
    laid = _pressings(direction, n)
    seams = tuple(
        lead + _seam(pressing, direction.depth, lines[i], lines[i + 1]) for i, pressing in enumerate(laid)
    )
    return lay_pleats(direction, length, extra, seams, laid)


def _pressings(direction: Direction, n: int) -> tuple[Pressing, ...]:
    if not direction.turns_at_centre:
        return (direction.pressing,) * n
    middle = (Pressing.OPENED,) * (n % 2)
    return (direction.pressing,) * (n // 2) + middle + (direction.pressing.turned,) * (n // 2)


def _seam(pressing: Pressing, depth: int, first: int, last: int) -> int:
    if pressing is Pressing.ON:
        return max(first, last - depth)
    return min(last, first + depth) if pressing is Pressing.BACK else (first + last) // 2


def starting_take_up(direction: Direction, thickness: int | None) -> tuple[int, ...]:
    """Twice the underlay depth."""
    return (2 * direction.depth,)


def sew_note(direction: Direction) -> str:
    folded = "Fold each pleat to its line, baste across the top, press"
    return f"{folded}." if direction.sewn == 0 else f"{folded}, then sew as far as marked."


KNIFE = Technique("knife", "Knife pleats", "pleat", False, place_knife, starting_take_up, sew_note)
