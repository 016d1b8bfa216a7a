"""The order in which a lay is cut apart, and what remains of the cloth afterwards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from projects.calc.lay.leavings import Rect, empty_places
from projects.calc.lay.leavings import without as clear_of
from projects.calc.lay.parting import Piece, Thing, blade_of, divided, scraps, stuck, without
from projects.calc.lay.request import Lay, LayRequest

LOOKS: Final = 2_400  # panels times remnants that are tried; keeps a page quick with many panels
PICKY: Final = 60  # up to so many panels in a part, the one to cut out first is chosen


@dataclass(frozen=True, slots=True)
class Part:
    """A rectangle of cloth: its corner nearest the start and its size (nm)."""

    x: int
    y: int
    width: int
    length: int


@dataclass(frozen=True, slots=True)
class Remnant:
    """Cloth that is over, large enough to keep: on which length (empty: the roll), corner and size (nm)."""

    on: str
    x: int
    y: int
    width: int
    length: int


@dataclass(frozen=True, slots=True)
class Cut:
    """One step. A straight cut runs from (x1, y1) to (x2, y2), edge to edge of `part`.

    One that isn't straight runs round the rectangle between these two corners, a panel cut out of `part`.
    `part` is as it lies then; `gone` are rectangles in it that were cut out before, so that a straight cut
    may begin or end at one of them, or pass over it.
    `frees` are (name, copy) of the panels that have their size with this cut; `leaves` the remnants that do.
    """

    number: int
    on: str
    x1: int
    y1: int
    x2: int
    y2: int
    frees: tuple[tuple[str, int], ...]
    straight: bool
    part: Part
    leaves: tuple[Remnant, ...] = ()
    gone: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class _Cloth:
    """The part of one cloth that is cut up, its panels, and the uncut rest beyond it."""

    on: str
    box: Rect
    things: tuple[Thing, ...]
    rest: Remnant | None
    cut_off: bool


@lru_cache(maxsize=16)  # a page draws the cuts and lists them
def cuts_of(lay: Lay, request: LayRequest) -> tuple[Cut, ...]:
    """The steps that cut a lay apart, numbered from 1: the lengths in the order asked, then the roll.

    First what is used is cut off (a length that one panel takes whole is named as a step too, so that it can
    be ticked); then come all cuts across it in order, then each stretch is cut along, and
    so on. Cuts lie on edges of panels. A gap up to `BLADE` is what the blade takes: one cut, on the edge
    nearer the start; a wider one takes two. Where no straight cut divides a part, a panel is cut out of it,
    and what is left is cut without cutting again where cloth is gone. Remnants of `remnants_of` come out
    whole.
    """
    found: list[Cut] = []
    for cloth in _cloths(lay, request):
        things = (*cloth.things, *(Thing(_box(left)) for left in _within(cloth, request)))
        for cut in _cutting(cloth, things, request):
            found.append(replace(cut, number=len(found) + 1))
    return tuple(found)


def remnants_of(lay: Lay, request: LayRequest) -> tuple[Remnant, ...]:
    """What remains after cutting, at least `smallest_remnant` on both sides: by length, the largest first.

    The uncut rest of a length comes before what is left within its used part. No two overlap, none touches
    a flaw within the used part or lies in the end that is lost, and none costs a straight cut.
    """
    found: list[Remnant] = []
    for cloth in _cloths(lay, request):
        within = sorted(_within(cloth, request), key=lambda left: (-left.width * left.length, left.y, left.x))
        found += [*([cloth.rest] if cloth.rest else []), *within]
    return tuple(found)


def _cloths(lay: Lay, request: LayRequest) -> Iterator[_Cloth]:
    """Each cloth that is cut, with what lies on it."""
    sizes = {length.name: (length.width, length.length) for length in request.lengths}
    for on in (*sizes, *([""] if "" not in sizes else [])):
        laid = [placed for placed in lay.placements if placed.on == on]
        if not laid:
            continue
        width, whole = sizes.get(on, (request.width, 0))
        used = max(placed.y + placed.length for placed in laid)
        things = tuple(
            Thing((p.x, p.y, p.x + p.width, p.y + p.length), (p.name, p.copy))
            for p in sorted(laid, key=lambda p: (p.y, p.x))
        )
        least = max(request.smallest_remnant, 1)
        rest = Remnant(on, 0, used, width, whole - used) if min(whole - used, width) >= least else None
        yield _Cloth(on, (0, 0, width, used), things, rest, on not in sizes or used < whole)


def _within(cloth: _Cloth, request: LayRequest) -> list[Remnant]:
    """Remnants of the used part: the largest empty places that no straight cut has to cross, then scraps."""
    least = max(request.smallest_remnant, blade_of(request.gap) + 1)  # what the blade takes doesn't remain
    flaws = [flaw for length in request.lengths if length.name == cloth.on for flaw in length.flaws]
    taken = [thing.box for thing in cloth.things]
    taken += [(f.x, f.y, f.x + f.width, f.y + f.length) for f in flaws]
    x1, y1, x2, y2 = cloth.box
    start = (x1, min(y1 + request.end_loss, y2), x2, y2)
    things, kept = list(cloth.things), []
    at_most = stuck(Piece(cloth.box, cloth.things))
    by = blade_of(request.gap)  # beside each panel: a remnant that reached it would ask for a cut of its own
    around = [(a - by, b - by, c + by, d + by) for a, b, c, d in taken]
    places = empty_places(start, around, least)
    for _ in range(max(8, LOOKS // len(things))):
        if not places:
            break
        place = max(places, key=lambda box: ((box[2] - box[0]) * (box[3] - box[1]), -box[1], -box[0]))
        tried = [*things, Thing(place)]
        if stuck(Piece(cloth.box, tuple(tried))) <= at_most:
            things = tried
            kept.append(place)
            places = clear_of(places, place, least)
        else:
            places.remove(place)
    rests = scraps(Piece(cloth.box, tuple(things)), blade_of(request.gap))
    kept += [scrap for scrap in rests if _keeps(scrap, start, taken, least)]
    return [Remnant(cloth.on, a, b, c - a, d - b) for a, b, c, d in kept]


def _keeps(box: Rect, start: Rect, taken: Sequence[Rect], least: int) -> bool:
    """Whether a scrap is large enough, outside the lost end and without a flaw."""
    if min(box[2] - box[0], box[3] - box[1]) < least or box[1] < start[1]:
        return False
    return not any(a < box[2] and box[0] < c and b < box[3] and box[1] < d for a, b, c, d in taken)


def _cutting(cloth: _Cloth, things: Sequence[Thing], request: LayRequest) -> Iterator[Cut]:
    """The cuts of one cloth; their numbers are given later."""
    x1, y1, x2, y2 = cloth.box
    blade = blade_of(request.gap)
    whole = Piece(cloth.box, tuple(things))
    if cloth.cut_off or whole.whole:
        frees, leaves = _come_free([whole], cloth.on)
        far = next((length.length for length in request.lengths if length.name == cloth.on), y2)
        rest = (cloth.rest,) if cloth.rest else ()
        yield Cut(0, cloth.on, x1, y2, x2, y2, frees, True, Part(x1, y1, x2 - x1, far - y1), (*rest, *leaves))
    waiting = [whole]
    while waiting:
        piece = waiting.pop()
        if not piece.things or piece.whole:
            continue
        further = divided(piece, blade)
        if further is None:
            out = _first_out(piece, blade)
            left = without(piece, out, blade)
            yield _cut(cloth.on, out.box, piece, [Piece(out.box, (out,)), *left], straight=False)
        else:
            lines, left = further
            yield from (_cut(cloth.on, line.ends, line.piece, line.free, straight=True) for line in lines)
        waiting += reversed(left)


def _cut(on: str, ends: Rect, piece: Piece, free: Sequence[Piece], *, straight: bool) -> Cut:
    frees, leaves = _come_free(free, on)
    return Cut(0, on, *ends, frees, straight, _part(piece.box), leaves, tuple(map(_part, piece.gone)))


def _come_free(
    parts: Sequence[Piece], on: str
) -> tuple[tuple[tuple[str, int], ...], tuple[Remnant, ...]]:
    """Panels and remnants that are parts by themselves."""
    free = [part.things[0] for part in parts if part.whole]
    frees = tuple(thing.panel for thing in free if thing.panel is not None)
    return frees, tuple(
        Remnant(on, a, b, c - a, d - b) for thing in free if thing.panel is None for a, b, c, d in [thing.box]
    )


def _first_out(piece: Piece, blade: int) -> Thing:
    """The panel to cut out: the smallest that lets straight cuts divide the rest, else the first."""
    panels = [thing for thing in piece.things if thing.panel is not None] or piece.things
    if len(piece.things) <= PICKY:
        for thing in sorted(panels, key=lambda thing: _area(thing.box)):
            left = without(piece, thing, blade)
            if len(left) != 1 or divided(left[0], blade):
                return thing
    return min(panels, key=lambda thing: (thing.box[1], thing.box[0]))


def _area(box: Rect) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])


def _part(box: Rect) -> Part:
    return Part(box[0], box[1], box[2] - box[0], box[3] - box[1])


def _box(left: Remnant) -> Rect:
    return left.x, left.y, left.x + left.width, left.y + left.length
