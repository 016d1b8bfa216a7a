"""The numbered cuts of a lay as lines on it: thick for what is to cut, each with its number in a circle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import hypot, inf

from projects.calc.lay.cuts import Cut

from .lay_marks import Box, Marks, Scale
from .svg import INK, SMALLEST_TEXT, SOFT, Drawing, line, rect

CUT = "#a8362c"
RADIUS, LARGE = 10, 14
SHARES = (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.06, 0.94)
"""Where on its line a number may stand, in the order tried."""
Point = tuple[float, float]


def cuts(drawing: Drawing, scale: Scale, marks: Marks, taken: Sequence[Box], cloth: Box) -> None:
    """Draw the cuts of one cloth over its panels; numbers keep off the words in ``taken`` where they can.

    A cut that is made is a thin broken line without a number; one round a panel is a broken frame.
    """
    gone: list[Cut] = []
    for cut in marks.cuts:
        done, current = cut.number in marks.done, cut.number == marks.current
        look = {"stroke": SOFT if done else CUT, "stroke_width": 1 if done else 4 if current else 1.6}
        dash = "2 4" if done else None if cut.straight else "8 4"
        drawing.path(_way(cut, gone, scale), fill="none", stroke_dasharray=dash, **look)
        if not cut.straight:
            gone.append(cut)
    placed: list[Point] = []
    gone = []
    for cut in marks.cuts:
        if cut.number not in marks.done:
            at = _free(_places(cut, gone, scale, cloth), placed, taken)
            placed.append(at)
            _number(drawing, at, cut.number, current=cut.number == marks.current)
        if not cut.straight:
            gone.append(cut)


def _way(cut: Cut, gone: Sequence[Cut], scale: Scale) -> Iterator[str]:
    """The line of a cut. A straight one is left out where panels were cut out of its way before."""
    if not cut.straight:
        (x0, y0), (x1, y1) = _ends(cut, scale)
        yield rect(x0, y0, x1, y1)
        return
    for start, end in _stretches(cut, gone):
        if cut.y1 == cut.y2:
            yield line(*scale.point(cut.y1, start), *scale.point(cut.y1, end))
        else:
            yield line(*scale.point(start, cut.x1), *scale.point(end, cut.x1))


def _stretches(cut: Cut, gone: Sequence[Cut]) -> list[tuple[int, int]]:
    """What of a straight cut, from and to along it (nm), still lies in cloth."""
    level = cut.y1 == cut.y2
    open_ = [(cut.x1, cut.x2) if level else (cut.y1, cut.y2)]
    for out in gone:
        first, last, here, there = (
            (out.x1, out.x2, out.y1, out.y2) if level else (out.y1, out.y2, out.x1, out.x2)
        )
        if out.on == cut.on and here < (cut.y1 if level else cut.x1) < there:
            pieces = [(a, min(b, first)) for a, b in open_] + [(max(a, last), b) for a, b in open_]
            open_ = sorted((a, b) for a, b in pieces if a < b)
    return open_


def _ends(cut: Cut, scale: Scale) -> tuple[Point, Point]:
    return scale.point(cut.y1, cut.x1), scale.point(cut.y2, cut.x2)


def _places(cut: Cut, gone: Sequence[Cut], scale: Scale, cloth: Box) -> Iterator[Point]:
    """Where a cut's number may stand: across the whole cloth at its far edge, else along its line."""
    (x0, y0), (x1, y1) = _ends(cut, scale)
    x, y, wide, high = cloth
    if cut.straight and scale.upright and abs(x1 - x0 - wide) < 1:
        yield x + wide, y0
    elif cut.straight and not scale.upright and abs(y1 - y0 - high) < 1:
        yield x0, y + high
    if cut.straight:
        start, end = max(_stretches(cut, gone), key=lambda ends: ends[1] - ends[0], default=(0, 0))
        level = cut.y1 == cut.y2
        x0, y0 = scale.point(cut.y1, start) if level else scale.point(start, cut.x1)
        x1, y1 = scale.point(cut.y1, end) if level else scale.point(end, cut.x1)
    else:
        y1, x0 = y0, x0 + (x1 - x0) / 3
    for share in SHARES:
        yield x0 + share * (x1 - x0), y0 + share * (y1 - y0)


def _free(places: Iterable[Point], placed: Sequence[Point], taken: Sequence[Box]) -> Point:
    """The first place that covers no number and no words, else the one that covers least."""
    best, least = (0.0, 0.0), inf
    for at in places:
        covered = _covered(at, placed, taken)
        if covered < least:
            best, least = at, covered
        if not covered:
            break
    return best


def _covered(at: Point, placed: Sequence[Point], taken: Sequence[Box]) -> float:
    x, y = at
    numbers = sum(max(0.0, 2 * RADIUS + 1 - hypot(x - a, y - b)) for a, b in placed)
    x0, x1, y0, y1 = x - RADIUS, x + RADIUS, y - RADIUS, y + RADIUS
    near = (box for box in taken if box[0] < x1 and x0 < box[0] + box[2])
    words = sum(_overlap(x0, x1, a, a + w) * _overlap(y0, y1, b, b + h) for a, b, w, h in near)
    return 40 * numbers + words


def _overlap(a0: float, a1: float, b0: float, b1: float) -> float:
    return max(0.0, min(a1, b1) - max(a0, b0))


def _number(drawing: Drawing, at: Point, number: int, *, current: bool) -> None:
    x, y = at
    radius, ground, ink = (LARGE, CUT, "#fff") if current else (RADIUS, "#fff", INK)
    drawing.add("circle", cx=x, cy=y, r=radius, fill=ground, stroke=CUT, stroke_width=1.5)
    size = 16 if current else SMALLEST_TEXT
    look = {"font_size": size, "font_weight": 600, "text_anchor": "middle", "fill": ink}
    drawing.text(x, y + size / 3, str(number), **look)
