"""Released tucks and part-length pleats: sewn for part of their length, they have two extents.

A released tuck reduces the width at its stitched end only. Lengths nm.
"""

from __future__ import annotations

from dataclasses import dataclass

from projects.calc.direction import Direction


@dataclass(frozen=True, slots=True)
class Extents:
    """The extent of a direction where its seams are sewn, and where they have been released."""

    sewn_end: int
    free_end: int


def extents(direction: Direction | None, finished: int, flat: int, run: int) -> Extents:
    """Both extents of a panel side; `run` is how far a seam could run, the panel's other extent."""
    if direction is None or direction.sewn is None or direction.sewn >= run:
        return Extents(finished, finished)
    return Extents(finished, flat)


def sewn_length(direction: Direction, run: int) -> int:
    """How much of a seam that could run `run` is sewn."""
    return run if direction.sewn is None else min(direction.sewn, run)
