"""Inverted pleats: two knife pleats turned together, their seams 2 x depth apart, meeting in the middle."""

from __future__ import annotations

from projects.calc.axis import Axis, AxisError
from projects.calc.direction import Direction
from projects.calc.errors import millimetres
from projects.calc.folds import Pressing
from projects.calc.techniques.box import box_pleats, starting_take_up
from projects.calc.techniques.knife import sew_note
from projects.calc.techniques.pleats import count_pleats, lay_pleats, middles
from projects.calc.techniques.technique import Technique

inverted_pleats = box_pleats
"""An inverted pleat takes up what a box pleat does: it is one seen from behind."""


def place_inverted(
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
    """See `Place`. The folds of each pleat meet in the middle of its share of the section."""
    section = length - lead if section is None else section
    n, depth = count_pleats(section, direction.width), direction.depth
    if 2 * depth * n > section:
        raise AxisError(
            "depth",
            millimetres(depth),
            f"at most {millimetres(section // (2 * n))}, half of what each inverted pleat shows",
            "Make the pleats shallower or wider.",
        )
    shares = middles(section, n)
    pairs = [
        (lead + x + side, p) for x in shares for side, p in ((-depth, Pressing.ON), (depth, Pressing.BACK))
    ]
    pairs.sort(key=lambda pair: pair[0])
    return lay_pleats(direction, length, extra, tuple(x for x, _ in pairs), tuple(p for _, p in pairs))


INVERTED = Technique(
    "inverted", "Inverted pleats", "pleat", False, place_inverted, starting_take_up, sew_note
)
