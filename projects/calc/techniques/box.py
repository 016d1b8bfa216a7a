"""Box pleats: two knife pleats at one seam turned apart, so each takes up 4 x the underlay depth."""

from __future__ import annotations

from projects.calc.axis import Axis
from projects.calc.direction import Direction
from projects.calc.folds import Pressing
from projects.calc.techniques.knife import sew_note
from projects.calc.techniques.pleats import PleatCount, count_pleats, lay_pleats, middles, pleats
from projects.calc.techniques.technique import Technique


def box_pleats(section: int, depth: int, width: int, extra: int = 0) -> PleatCount:
    """section + 4 x depth x n of flat cloth (NIMI Dress Making, p. 204)."""
    return pleats(section, depth, width, 2, extra)


def place_box(
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
    """See `Place`. Each pleat's seam is the middle of its share of the section."""
    section = length - lead if section is None else section
    shares = middles(section, count_pleats(section, direction.width))
    seams = tuple(lead + x for x in shares for _ in range(2))
    return lay_pleats(direction, length, extra, seams, (Pressing.BACK, Pressing.ON) * len(shares))


def starting_take_up(direction: Direction, thickness: int | None) -> tuple[int, ...]:
    """Twice the underlay depth for each of the pair."""
    return (2 * direction.depth,) * 2


BOX = Technique("box", "Box pleats", "pleat", False, place_box, starting_take_up, sew_note)
