"""The order in which a lay is cut apart, and what remains of the cloth afterwards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from projects.calc.lay.leavings import Rect, empty_places, without
from projects.calc.lay.request import Lay, LayRequest

ACROSS: Final = 1  # a line across the cloth, at one y
ALONG: Final = 0  # a line along it, at one x
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


@dataclass(frozen=True, slots=True)
class _Thing:
    """What must come out whole: a panel by (name, copy), or a remnant where that is empty."""

    box: Rect
    panel: tuple[str, int] | None = None


@dataclass(frozen=True, slots=True)
class _Cloth:
    """The part of one cloth that is cut up, its panels, and the uncut rest beyond it."""

    on: str
    box: Rect
    things: tuple[_Thing, ...]
    rest: Remnant | None
    cut_off: bool


def cuts_of(lay: Lay, request: LayRequest) -> tuple[Cut, ...]:
    """The steps that cut a lay apart, numbered from 1: the lengths in the order asked, then the roll.

    First what is used is cut off (a length that one panel takes whole is named as a step too, so that it can
    be ticked); then come all cuts across it in order, then each stretch is cut along, and
    so on. Cuts lie on edges of panels, so a gap takes two. Where no straight cut divides a part, a panel is
    cut out of it, and the rest is cut as if it weren't there. Remnants of `remnants_of` come out whole.
    """
    found: list[Cut] = []
    for cloth in _cloths(lay, request):
        things = (*cloth.things, *(_Thing(_box(left)) for left in _within(cloth, request)))
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
            _Thing((p.x, p.y, p.x + p.width, p.y + p.length), (p.name, p.copy))
            for p in sorted(laid, key=lambda p: (p.y, p.x))
        )
        least = max(request.smallest_remnant, 1)
        rest = Remnant(on, 0, used, width, whole - used) if min(whole - used, width) >= least else None
        yield _Cloth(on, (0, 0, width, used), things, rest, on not in sizes or used < whole)


def _within(cloth: _Cloth, request: LayRequest) -> list[Remnant]:
    """Remnants of the used part: the largest empty places that no straight cut has to cross, then scraps."""
    least = max(request.smallest_remnant, 1)
    flaws = [flaw for length in request.lengths if length.name == cloth.on for flaw in length.flaws]
    taken = [thing.box for thing in cloth.things]
    taken += [(f.x, f.y, f.x + f.width, f.y + f.length) for f in flaws]
    x1, y1, x2, y2 = cloth.box
    start = (x1, min(y1 + request.end_loss, y2), x2, y2)
    things, kept = list(cloth.things), []
    stuck = _stuck(cloth.box, things)
    places = empty_places(start, taken, least)
    for _ in range(max(8, LOOKS // len(things))):
        if not places:
            break
        place = max(places, key=lambda box: ((box[2] - box[0]) * (box[3] - box[1]), -box[1], -box[0]))
        tried = [*things, _Thing(place)]
        if _stuck(cloth.box, tried) <= stuck:
            things = tried
            kept.append(place)
            places = without(places, place, least)
        else:
            places.remove(place)
    kept += [scrap for scrap in _scraps(cloth.box, things) if _keeps(scrap, start, taken, least)]
    return [Remnant(cloth.on, a, b, c - a, d - b) for a, b, c, d in kept]


def _keeps(box: Rect, start: Rect, taken: Sequence[Rect], least: int) -> bool:
    """Whether a scrap is large enough, outside the lost end and without a flaw."""
    if min(box[2] - box[0], box[3] - box[1]) < least or box[1] < start[1]:
        return False
    return not any(a < box[2] and box[0] < c and b < box[3] and box[1] < d for a, b, c, d in taken)


Divided = tuple[int, list[int], list[tuple[Rect, list[_Thing]]]]


def _divide(box: Rect, things: Sequence[_Thing]) -> Divided | None:
    """Which way straight cuts divide a part, at which places, and into what; None where none does.

    Across where both ways would do. Places are the edges of what must come out whole.
    """
    for way in (ACROSS, ALONG):
        stretches: list[tuple[int, int, list[_Thing]]] = []
        end = box[way]
        for thing in sorted(things, key=lambda thing: thing.box[way]):
            first, last = thing.box[way], thing.box[way + 2]
            if stretches and first < end:
                end = max(end, last)
                stretches[-1] = (stretches[-1][0], end, [*stretches[-1][2], thing])
            else:
                end = last
                stretches.append((first, last, [thing]))
        lines = sorted({at for a, b, _ in stretches for at in (a, b)} - {box[way], box[way + 2]})
        if lines:
            held = {first: inside for first, _, inside in stretches}
            edges = [box[way], *lines, box[way + 2]]
            parts = [
                (_between(box, way, a, b), held.get(a, [])) for a, b in zip(edges, edges[1:], strict=False)
            ]
            return way, lines, parts
    return None


def _between(box: Rect, way: int, first: int, last: int) -> Rect:
    return (box[0], first, box[2], last) if way == ACROSS else (first, box[1], last, box[3])


def _whole(box: Rect, things: Sequence[_Thing]) -> bool:
    return len(things) == 1 and things[0].box == box


def _stuck(box: Rect, things: Sequence[_Thing]) -> int:
    """How many panels lie in parts that no straight cut divides."""
    count = 0
    waiting: list[tuple[Rect, Sequence[_Thing]]] = [(box, things)]
    while waiting:
        part, inside = waiting.pop()
        if not inside or _whole(part, inside):
            continue
        divided = _divide(part, inside)
        if divided is None:
            count += sum(thing.panel is not None for thing in inside)
        else:
            waiting += divided[2]
    return count


def _scraps(box: Rect, things: Sequence[_Thing]) -> Iterator[Rect]:
    """Parts with nothing in them that come off as the lay is cut apart with straight cuts."""
    waiting: list[tuple[Rect, Sequence[_Thing]]] = [(box, things)]
    while waiting:
        part, inside = waiting.pop()
        if not inside:
            yield part
        elif not _whole(part, inside) and (divided := _divide(part, inside)):
            waiting += divided[2]


def _cutting(cloth: _Cloth, things: Sequence[_Thing], request: LayRequest) -> Iterator[Cut]:
    """The cuts of one cloth; their numbers are given later."""
    x1, y1, x2, y2 = cloth.box
    if cloth.cut_off or _whole(cloth.box, things):
        frees, leaves = _come_free([(cloth.box, list(things))], cloth.on)
        far = next((length.length for length in request.lengths if length.name == cloth.on), y2)
        rest = (cloth.rest,) if cloth.rest else ()
        yield Cut(0, cloth.on, x1, y2, x2, y2, frees, True, Part(x1, y1, x2 - x1, far - y1), (*rest, *leaves))
    waiting: list[tuple[Rect, list[_Thing]]] = [(cloth.box, list(things))]
    while waiting:
        part, inside = waiting.pop()
        if not inside or _whole(part, inside):
            continue
        divided = _divide(part, inside)
        if divided is None:
            out = _first_out(part, inside)
            frees, leaves = _come_free([(out.box, [out])], cloth.on)
            yield Cut(0, cloth.on, *out.box, frees, False, _part(part), leaves)
            waiting.append((part, [thing for thing in inside if thing is not out]))
        else:
            yield from _lines(cloth.on, part, divided)
            waiting += reversed(divided[2])


def _lines(on: str, box: Rect, divided: Divided) -> Iterator[Cut]:
    """Parallel cuts in order, each of what the ones before left."""
    way, lines, parts = divided
    for i, at in enumerate(lines):
        left = _between(box, way, box[way] if i == 0 else lines[i - 1], box[way + 2])
        frees, leaves = _come_free(parts[i:] if at == lines[-1] else parts[i : i + 1], on)
        a, b, c, d = _between(left, way, at, at)
        yield Cut(0, on, a, b, c, d, frees, True, _part(left), leaves)


def _come_free(
    parts: Sequence[tuple[Rect, list[_Thing]]], on: str
) -> tuple[tuple[tuple[str, int], ...], tuple[Remnant, ...]]:
    """Panels and remnants that are parts by themselves."""
    free = [inside[0] for box, inside in parts if _whole(box, inside)]
    frees = tuple(thing.panel for thing in free if thing.panel is not None)
    return frees, tuple(
        Remnant(on, a, b, c - a, d - b) for thing in free if thing.panel is None for a, b, c, d in [thing.box]
    )


def _first_out(box: Rect, things: list[_Thing]) -> _Thing:
    """The panel to cut out: the smallest that lets straight cuts divide the rest, else the first."""
    panels = [thing for thing in things if thing.panel is not None] or things
    if len(things) <= PICKY:
        for thing in sorted(panels, key=lambda thing: _area(thing.box)):
            if _divide(box, [other for other in things if other is not thing]):
                return thing
    return min(panels, key=lambda thing: (thing.box[1], thing.box[0]))


def _area(box: Rect) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])


def _part(box: Rect) -> Part:
    return Part(box[0], box[1], box[2] - box[0], box[3] - box[1])


def _box(left: Remnant) -> Rect:
    return left.x, left.y, left.x + left.width, left.y + left.length
