"""What the time of work by ratio hangs on: for each of its steps, drivers of `labour` and how many."""

from __future__ import annotations

from decimal import Decimal

from projects.calc.labour import metres
from projects.calc.ratio_work import RatioWork

Quantities = tuple[tuple[str, Decimal | int], ...]

_STITCHED = {"english": "smocking_stitches", "honeycomb": "smocking_stitches", "lattice": "lattice_stitches"}
_SEWN = {
    "gathers": "gather_metres",
    "shirring": "shirring_metres",
    "quilting": "quilting_metres",
    "trapunto": "quilting_metres",
}


def marking(work: RatioWork) -> Quantities:
    """Dots, or lines, drawn on the cloth."""
    return _some((("dots", work.dots), ("marks", work.lines)))


def drawing_up(work: RatioWork) -> Quantities:
    """Dots picked up on threads; gathering and elastic draw up as part of their metres."""
    return _some((("dots_picked", work.dots),)) if work.technique == "english" else ()


def sewing(work: RatioWork) -> Quantities:
    """Stitches, or metres of line, by machine (which is set up first) or by hand."""
    if work.technique in _STITCHED:
        return _some(((_STITCHED[work.technique], work.stitches),))
    length = metres(work.metres)
    if work.by_hand:
        return _some((("texture_hand_metres", length),))
    return _some((("runs", 1), (_SEWN[work.technique], length)))


def steaming(work: RatioWork) -> Quantities:
    """One panel steamed to its size."""
    return (("panels_steamed", 1),)


def quantities(work: RatioWork) -> dict[str, Decimal]:
    """All of them together, by driver."""
    found: dict[str, Decimal] = {}
    for step in (marking(work), drawing_up(work), sewing(work), steaming(work)):
        for key, amount in step:
            found[key] = found.get(key, Decimal(0)) + amount
    return found


def _some(counted: Quantities) -> Quantities:
    return tuple((key, amount) for key, amount in counted if amount)
