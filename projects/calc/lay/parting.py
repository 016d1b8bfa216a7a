"""How a part of the cloth on the table is divided: by straight cuts, also where something was cut out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from projects.calc.lay.leavings import Rect

ACROSS: Final = 1  # a line across the cloth, at one y
ALONG: Final = 0  # a line along it, at one x
BLADE: Final = 5_000_000  # nm: a gap up to 5 mm is what the blade takes, a starting value of our own


@dataclass(frozen=True, slots=True)
class Thing:
    """What must come out whole: a panel by (name, copy), or a remnant where that is empty."""

    box: Rect
    panel: tuple[str, int] | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """A part on the table: its outer edges, what must come out of it, and rectangles cut out of it before."""

    box: Rect
    things: tuple[Thing, ...]
    gone: tuple[Rect, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether it is one thing and nothing else."""
        return len(self.things) == 1 and self.things[0].box == self.box


@dataclass(frozen=True, slots=True)
class Line:
    """A straight cut of `piece` from one corner to another, and what comes off for good with it."""

    ends: Rect
    piece: Piece
    free: tuple[Piece, ...]


Span = tuple[int, int, tuple[Thing, ...]]


def blade_of(gap: int) -> int:
    """What one cut takes of the cloth (nm). A wider gap is cut away by two cuts, each on an edge."""
    return gap if gap <= BLADE else 0


def divided(piece: Piece, blade: int) -> tuple[list[Line], list[Piece]] | None:
    """The straight cuts that divide a piece, and what they divide it into; None where none does.

    Across where both ways would do. Cuts lie on edges of what must come out whole; of two edges no further
    apart than the blade, on the one nearer the start, and the part beyond begins where the blade has been.
    Of a piece with something cut out of it, one cut only, as long as there is cloth to cut.
    """
    for way in (ACROSS, ALONG):
        spans = _spans(piece, way, blade)
        if len(spans) < 2:
            continue
        if not piece.gone:
            parts = [Piece(_between(piece.box, way, a, b), inside) for a, b, inside in spans]
            return _lines(piece.box, way, spans, parts), parts
        (_, at, _), (begins, _, _) = spans[:2]
        sides = [(piece.box[way], at), (begins, piece.box[way + 2])]
        left = [part for a, b in sides for part in _side(piece, way, a, b)]
        return [Line(_in_cloth(piece, way, at), piece, tuple(left))], left
    return None


def _side(piece: Piece, way: int, first: int, last: int) -> list[Piece]:
    inside = tuple(t for t in piece.things if first <= t.box[way] and t.box[way + 2] <= last)
    return settled(_between(piece.box, way, first, last), inside, piece.gone)


def _spans(piece: Piece, way: int, blade: int) -> list[Span]:
    """The stretches of a piece that clear lines part, in order: with things in them, and empty."""
    found: list[Span] = []
    end = piece.box[way]
    for thing in sorted(piece.things, key=lambda thing: thing.box[way]):
        first, last = thing.box[way], thing.box[way + 2]
        if found and first < end:
            end = max(end, last)
            found[-1] = (found[-1][0], end, (*found[-1][2], thing))
            continue
        if first > end and not (found and first - end <= blade):
            found.append((end, first, ()))
        found.append((first, last, (thing,)))
        end = last
    if end < piece.box[way + 2]:
        found.append((end, piece.box[way + 2], ()))
    return found


def _lines(box: Rect, way: int, spans: Sequence[Span], parts: Sequence[Piece]) -> list[Line]:
    """Parallel cuts in order, each of what the ones before left."""
    found = []
    for i, (first, at, _) in enumerate(spans[:-1]):
        things = tuple(thing for _, _, inside in spans[i:] for thing in inside)
        left = Piece(_between(box, way, box[way] if i == 0 else first, box[way + 2]), things)
        last = i == len(spans) - 2
        found.append(Line(_between(left.box, way, at, at), left, tuple(parts[i : i + 2 if last else i + 1])))
    return found


def _between(box: Rect, way: int, first: int, last: int) -> Rect:
    return (box[0], first, box[2], last) if way == ACROSS else (first, box[1], last, box[3])


def without(piece: Piece, out: Thing, blade: int) -> list[Piece]:
    """What is on the table of a piece once something is cut out of it, that thing left out.

    The blade's way round it is gone too, where nothing that must come out whole lies in it.
    """
    others = tuple(thing for thing in piece.things if thing is not out)
    return settled(piece.box, others, (*piece.gone, _cut_round(out.box, others, blade)))


def _cut_round(box: Rect, others: Sequence[Thing], blade: int) -> Rect:
    if not blade:
        return box
    for a, b, c, d in ((-blade, 0, 0, 0), (0, -blade, 0, 0), (0, 0, blade, 0), (0, 0, 0, blade)):
        wider = (box[0] + a, box[1] + b, box[2] + c, box[3] + d)
        if not any(_common(wider, thing.box) for thing in others):
            box = wider
    return box


def settled(box: Rect, things: tuple[Thing, ...], gone: Sequence[Rect]) -> list[Piece]:
    """A part with some of its cloth gone, as it lies: without edges where nothing is left, and in pieces
    where what is gone parts it already."""
    found: list[Piece] = []
    waiting = [(box, things)]
    while waiting:
        part, inside = waiting.pop()
        here = tuple(hole for hole in (_common(part, hole) for hole in gone) if hole is not None)
        parted = _parted(part, here)
        if parted is None:
            found.append(Piece(part, inside, here))
            continue
        for one in parted:
            if not any(_holds(hole, one) for hole in here):
                waiting.append((one, tuple(thing for thing in inside if _holds(one, thing.box))))
    return sorted(found, key=lambda piece: (piece.box[1], piece.box[0]))


def _parted(box: Rect, gone: Sequence[Rect]) -> tuple[Rect, Rect] | None:
    """The two sides of a line along which there is no cloth; None where there is none."""
    for way in (ACROSS, ALONG):
        for at in sorted({hole[side] for hole in gone for side in (way, way + 2)}):
            if box[way] < at < box[way + 2] and not list(_cloth_along(box, gone, way, at)):
                return _between(box, way, box[way], at), _between(box, way, at, box[way + 2])
    return None


def _in_cloth(piece: Piece, way: int, at: int) -> Rect:
    """A line at `at`, from the first cloth it meets to the last."""
    stretches = list(_cloth_along(piece.box, piece.gone, way, at))
    first, last = stretches[0][0], stretches[-1][1]
    return (first, at, last, at) if way == ACROSS else (at, first, at, last)


def _cloth_along(box: Rect, gone: Sequence[Rect], way: int, at: int) -> Iterator[tuple[int, int]]:
    """Stretches of a line through a part that run in cloth; along an edge of what is gone there is none."""
    other = 1 - way
    reach = box[other]
    for hole in sorted(gone, key=lambda hole: hole[other]):
        if hole[way] <= at <= hole[way + 2]:
            if hole[other] > reach:
                yield reach, hole[other]
            reach = max(reach, hole[other + 2])
    if reach < box[other + 2]:
        yield reach, box[other + 2]


def _common(a: Rect, b: Rect) -> Rect | None:
    both = (max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3]))
    return both if both[0] < both[2] and both[1] < both[3] else None


def _holds(outer: Rect, inner: Rect) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def stuck(piece: Piece) -> int:
    """How many panels lie in parts that no straight cut divides."""
    return sum(
        thing.panel is not None for part in _ends(piece, 0) if not part.whole for thing in part.things
    )


def scraps(piece: Piece, blade: int) -> Iterator[Rect]:
    """Parts with nothing in them that come off as a piece is cut apart with straight cuts."""
    return (part.box for part in _ends(piece, blade) if not part.things)


def _ends(piece: Piece, blade: int) -> Iterator[Piece]:
    """What straight cuts alone make of a piece."""
    waiting = [piece]
    while waiting:
        part = waiting.pop()
        further = divided(part, blade) if part.things and not part.whole else None
        if further is None:
            yield part
        else:
            waiting += further[1]
