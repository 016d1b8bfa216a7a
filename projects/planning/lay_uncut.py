"""Parts of an accepted lay that lie on the table: cut off, and not cut up yet.

Places are whole nm of cloth as it is worked, from the corner of the length the lay was laid on.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from projects.calc.lay.cuts import Part, Remnant
from projects.calc.lay.leavings import Rect, empty_places
from projects.calc.lay.request import Flaw
from projects.models import ClothLength, KeptLay, LayCut, Panel

from .lay_cuts import SMALLEST, Cutting, cutting_of


@dataclass(frozen=True, slots=True)
class Uncut:
    """A rectangle of cloth cut off ``cloth`` that panels still lie in; ``flaws`` as they lie in ``left``."""

    cloth: ClothLength
    left: Remnant
    flaws: tuple[Flaw, ...]


def uncut_parts(cutting: Cutting) -> tuple[Uncut, ...]:
    """What is cut off and not cut up, in the order it would be cut. Where panels were cut out of a part
    already, the largest rectangles that are whole; a part nothing was cut out of is named however small."""
    begun = {step.cut.on for step in cutting.steps if step.made}
    if not begun or all(step.made for step in cutting.steps):
        return ()
    out = _cut_out(cutting)
    return tuple(
        Uncut(step.cloth, left, _flaws(cutting, left))
        for step in cutting.steps
        if not step.made and step.needs and not cutting.waits_for(step) and step.cloth is not None
        for left in _whole(step.cut.on, step.cut.part, out.get(step.cut.on, []), cutting)
    )


def uncut_of(cloth: ClothLength) -> tuple[tuple[KeptLay, tuple[Uncut, ...]], ...]:
    """Each accepted lay that was begun to be cut from a length, with what of that lies uncut on the table."""
    begun = LayCut.objects.filter(entry__cloth=cloth).values("lay")
    lays = KeptLay.objects.filter(pk__in=begun).select_related("project", "fabric", "cloth__fabric")
    found = ((lay, uncut_parts(cutting_of(lay))) for lay in lays.order_by("pk"))
    return tuple((lay, mine) for lay, parts in found if (mine := tuple(p for p in parts if p.cloth == cloth)))


def _cut_out(cutting: Cutting) -> dict[str, list[Rect]]:
    """By cloth the places that are gone: cut out of a part, or of a panel that is booked as cut."""
    rows = [pk for pk in cutting.owners.values() if pk is not None]
    booked = set(Panel.objects.filter(pk__in=rows, cut_at__isnull=False).values_list("pk", flat=True))
    found: dict[str, list[Rect]] = {}
    for placed in cutting.lay.placements:
        if cutting.owners.get((placed.name, placed.copy)) in booked:
            box = (placed.x, placed.y, placed.x + placed.width, placed.y + placed.length)
            found.setdefault(placed.on, []).append(box)
    for step in cutting.steps:
        if step.made and not step.cut.straight:
            cut = step.cut
            found.setdefault(cut.on, []).append((cut.x1, cut.y1, cut.x2, cut.y2))
    return found


def _whole(on: str, part: Part, out: list[Rect], cutting: Cutting) -> Iterator[Remnant]:
    box = (part.x, part.y, part.x + part.width, part.y + part.length)
    least = max(1, cutting.request.smallest_remnant or SMALLEST)
    gone = [place for place in out if _meets(box, place)]
    places = empty_places(box, gone, least if gone else 1)
    while places:
        best = max(places, key=lambda p: ((p[2] - p[0]) * (p[3] - p[1]), -p[1], -p[0]))
        yield Remnant(on, best[0], best[1], best[2] - best[0], best[3] - best[1])
        gone.append(best)
        places = empty_places(box, gone, least)


def _meets(a: Rect, b: Rect) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _flaws(cutting: Cutting, left: Remnant) -> tuple[Flaw, ...]:
    rows = (length.flaws for length in cutting.request.lengths if length.name == left.on)
    return tuple(cut for flaws in rows for flaw in flaws if (cut := _within(flaw, left)))


def _within(flaw: Flaw, left: Remnant) -> Flaw | None:
    """The part of a flaw that lies in a rectangle, from its corner."""
    x1, x2 = max(flaw.x, left.x), min(flaw.x + flaw.width, left.x + left.width)
    y1, y2 = max(flaw.y, left.y), min(flaw.y + flaw.length, left.y + left.length)
    return Flaw(x1 - left.x, y1 - left.y, x2 - x1, y2 - y1) if x1 < x2 and y1 < y2 else None
