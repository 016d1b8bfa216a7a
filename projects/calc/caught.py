"""Tucks caught in an edge, an allowance, a hem or an opening.

A tuck is caught when its seam or what it covers meets one. Touching with the fold alone is not meeting:
what is covered is measured as an open interval, so that the two panels of a pair have the same tucks caught.
A tuck wholly outside the piece's cut edge, sewn only to be trimmed away, is listed too. Lengths nm, finished.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from projects.calc.axis import Axis

OUTSIDE = "outside"
"""How the reason begins where a tuck is sewn only to be trimmed away."""


@dataclass(frozen=True, slots=True)
class Caught:
    """A caught tuck by its number, why, and whether it was dropped."""

    number: int
    reason: str
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class Zone:
    """What lies beyond the stitching line at one edge: trimmed up to the cut, then taken into the seam.

    Both are distances from that panel edge. `name` is the edge, `kind` "seam allowance" or "hem".
    """

    cut: int
    stitching: int
    name: str
    kind: str = "seam allowance"

    def reason(self, nearest: int, furthest: int) -> str:
        """Why a tuck is caught that reaches from `nearest` to `furthest` from this panel edge."""
        if nearest < 0:
            return f"{self.name} edge of the panel"
        if furthest <= self.cut:
            return f"{OUTSIDE} the {self.name} edge"
        return f"{self.name} {self.kind}" if self.stitching > self.cut else f"{self.name} edge"


def find_caught(
    axis: Axis,
    near: Zone,
    far: Zone,
    openings: Sequence[tuple[int, int, str]] = (),
    sewn: bool = True,
) -> tuple[tuple[int, str], ...]:
    """(index, reason) of each caught tuck, in order. Pleats are not `sewn`: only what they cover counts."""
    if not openings:
        return tuple(_at_edges(axis, near, far, sewn))
    found = dict(_in_openings(axis, openings))
    found.update(_at_edges(axis, near, far, sewn))
    return tuple(sorted(found.items()))


def _at_edges(axis: Axis, near: Zone, far: Zone, sewn: bool) -> Iterator[tuple[int, str]]:
    first, last = near.stitching, axis.length - far.stitching
    widest = max(axis.reaches, default=0)
    middle = range(bisect_right(axis.seams, first + widest), bisect_left(axis.seams, last - widest))
    seams, starts, ends = axis.seams, axis.cover_starts, axis.cover_ends
    for index in chain(range(middle.start), range(max(middle.start, middle.stop), axis.count)):
        seam, start, end = seams[index], starts[index], ends[index]
        if start < first or (sewn and seam <= first):
            yield index, near.reason(start, end)
        elif end > last or (sewn and seam >= last):
            yield index, far.reason(axis.length - end, axis.length - start)


def _in_openings(axis: Axis, openings: Sequence[tuple[int, int, str]]) -> Iterator[tuple[int, str]]:
    for begins, ends, name in openings:
        for index, (start, end) in enumerate(axis.covers()):
            if (start < ends and end > begins) or begins <= axis.seams[index] <= ends:
                yield index, name
