"""Where fold and stitch lines are drawn on flat cloth, and which end the sewing begins at.

Distances are exact whole nm from the panel's first edge (top, or left on the face), border included;
they are rounded one by one when shown, never here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from projects.calc.axis import Axis
from projects.calc.folds import Pressing


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One tuck as marked. `space` is seam to seam on the finished face, the first from the edge.

    `fold_from_last` is where the fold lies from the last seam, measured flat: space + q / 2.
    """

    number: int
    letter: str
    stitch_before: int
    fold: int
    stitch_after: int
    depth: int
    space: int
    fold_from_last: int
    take_up: int
    seam: int
    pressing: Pressing
    from_edge: bool
    caught: str = ""


def mark_rows(axis: Axis, border: int = 0, caught: dict[int, str] | None = None) -> Iterator[MarkRow]:
    """Each tuck's marks from the first edge; e is never drawn, so stitch lines are the fold +/- depth."""
    reasons = caught or {}
    for index, fold in enumerate(axis.folds()):
        space = fold.space if index else fold.space + border
        yield MarkRow(
            number=fold.number,
            letter=fold.mark,
            stitch_before=fold.stitch_before + border,
            fold=fold.fold + border,
            stitch_after=fold.stitch_after + border,
            depth=fold.depth,
            space=space,
            fold_from_last=space + fold.take_up // 2,
            take_up=fold.take_up,
            seam=fold.seam + border,
            pressing=fold.pressing,
            from_edge=index == 0,
            caught=reasons.get(fold.number, ""),
        )


def last_mark_from_far_edge(axis: Axis, border: int = 0) -> int | None:
    """The last stitch line's distance from the far edge, the check before sewing; None without tucks."""
    if not axis.count:
        return None
    take_up = axis.take_ups[-1]
    after_fold = take_up - take_up // 2 + axis.length - axis.seams[-1]
    return after_fold - axis.depths[-1] + border


def begin_at(axis: Axis) -> str:
    """Where the sewing begins: "first" edge, "far" edge, "both" edges (towards the centre), "centre"
    (outwards), or as the axis wishes "middle" (outwards too) or "alternate" (from the first edge, every other
    one and then those between).

    Overlapping tucks are sewn against the pressing, so that no flap lies over the next seam: no wish can be
    followed there. All others begin at the first edge unless another order is wished for.
    """
    if axis.count and axis.narrowest_gap < 0:
        return _OVERLAPPING.get((axis.pressings[0], axis.pressings[-1]), "first")
    return WISHES.get(axis.order, "first") if axis.count > 1 else "first"


WISHES: Final = {"centre": "middle", "alternate": "alternate"}
"""Where the sewing begins by the order an axis wishes for."""
_OVERLAPPING: Final = {
    (Pressing.ON, Pressing.ON): "far",
    (Pressing.ON, Pressing.BACK): "centre",
    (Pressing.BACK, Pressing.ON): "both",
}


def cross_from(axis: Axis) -> str:
    """Where seams that cross these flaps start, so that the foot runs off folds and never into them.

    "first" edge or "far" edge of this direction, "both" (to the middle from each end), "centre", or
    "either" where nothing lies to one side.
    """
    first = axis.pressings[0] if axis.pressings else None
    alike = axis.pressings.count(first) == axis.count  # the usual case, told without looking at each tuck
    lying = {p for p in (axis.pressings[:1] if alike else axis.pressings) if p.turned is not p}
    if not lying:
        return "either"
    if len(lying) == 1:
        return "first" if Pressing.ON in lying else "far"
    return "both" if axis.pressings[0] is Pressing.ON else "centre"
