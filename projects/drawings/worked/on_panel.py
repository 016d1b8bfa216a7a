"""The marks of a texture by ratio on the drawing of its panel: dots, squares with their diagonals, lines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from projects.calc.ratio_work import Marks, RatioWork, Segment
from projects.drawings.svg import INK, SOFT, Drawing, line, number

from .cloths import PULL, THREAD

FINEST = 5.0
"""Pixels between dots; where they would stand closer only every second, third ... is drawn."""
MOST_DIAGONALS = 2_000
Place = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Shown:
    """Where nm lie on the drawing, and how much of the panel is shown (nm)."""

    x: Place
    y: Place
    scale: float
    width: int
    length: int


def draw_work(drawing: Drawing, shown: Shown, work: RatioWork) -> None:
    """Every mark of the part that is shown."""
    if work.squares_across:
        _squares(drawing, shown, work)
    elif work.has_dots:
        _dots(drawing, shown, work)
    else:
        _lines(drawing, shown, work)


def legend(work: RatioWork, scale: float) -> str:
    """What the marks are, in a line."""
    if work.squares_across:
        return "Diagonals: corners drawn together"
    if work.has_dots:
        skipped = max(_every(marks, scale) for marks in (work.grid_across, work.grid_along) if marks)
        return "Dots to pick up" if skipped < 2 else f"Dots to pick up (1 in {skipped} drawn)"
    if work.technique in ("quilting", "trapunto"):
        return "Whole: first set of lines; broken: second" if work.grid_along else "Lines to sew"
    return "Broken: rows to sew"


def _every(marks: Marks, scale: float) -> int:
    every = 1
    while marks.step * every * scale < FINEST:
        every += 1
    return every


def _drawn(marks: Marks | None, scale: float, most: int) -> list[int]:
    if marks is None:
        return []
    return [p for p in marks.positions[:: _every(marks, scale)] if p <= most]


def _dots(drawing: Drawing, shown: Shown, work: RatioWork) -> None:
    """A row of dots is one broken line whose dashes have no length and round ends."""
    xs = _drawn(work.grid_across, shown.scale, shown.width)
    ys = _drawn(work.grid_along, shown.scale, shown.length)
    if not xs or not ys:
        return
    apart = shown.x(xs[1]) - shown.x(xs[0]) if len(xs) > 1 else 1.0
    ends = shown.x(xs[0]), shown.x(xs[-1]) + 0.1
    rows = [line(ends[0], shown.y(y), ends[1], shown.y(y)) for y in ys]
    drawing.path(
        rows,
        fill="none",
        stroke=INK,
        stroke_width=min(3.0, apart / 2),
        stroke_linecap="round",
        stroke_dasharray=f"0 {number(apart)}",
    )


def _squares(drawing: Drawing, shown: Shown, work: RatioWork) -> None:
    xs = _drawn(work.grid_across, shown.scale, shown.width)
    ys = _drawn(work.grid_along, shown.scale, shown.length)
    if not xs or not ys:
        return
    right = shown.x(min(shown.width, work.grid_across.last if work.grid_across else 0))
    foot = shown.y(min(shown.length, work.grid_along.last if work.grid_along else 0))
    grid = [line(shown.x(x), shown.y(ys[0]), shown.x(x), foot) for x in xs]
    grid += [line(shown.x(xs[0]), shown.y(y), right, shown.y(y)) for y in ys]
    drawing.path(grid, fill="none", stroke=SOFT, stroke_width=0.6)
    inside = [s for s in work.stitch_segments() if _inside(s, shown)][:MOST_DIAGONALS]
    drawing.path([_line(shown, s) for s in inside], fill="none", stroke=PULL, stroke_width=2)


def _inside(segment: Segment, shown: Shown) -> bool:
    return all(point.x <= shown.width and point.y <= shown.length for point in segment)


def _line(shown: Shown, segment: Segment) -> str:
    (a, b), (c, d) = segment
    return line(shown.x(a), shown.y(b), shown.x(c), shown.y(d))


def _lines(drawing: Drawing, shown: Shown, work: RatioWork) -> None:
    """First set whole, second broken; rows of gathering or elastic broken; only what is shown."""
    first = work.grid_across.count if work.grid_across else 0
    rows = work.technique in ("gathers", "shirring")
    cut = [(i < first and not rows, _clipped(s, shown)) for i, s in enumerate(work.line_segments())]
    whole = [_line(shown, s) for is_whole, s in cut if s and is_whole]
    broken = [_line(shown, s) for is_whole, s in cut if s and not is_whole]
    drawing.path(whole, fill="none", stroke=THREAD, stroke_width=1.4)
    drawing.path(
        broken, fill="none", stroke=THREAD if rows else PULL, stroke_width=1.4, stroke_dasharray="8 4"
    )


def _clipped(segment: Segment, shown: Shown) -> Segment | None:
    """The part of a line within what is shown; None where there is none. Lines are level, upright or at 45
    degrees, so that one step in x is none or one in y."""
    (a, b), (c, d) = segment
    if a > c:
        (a, b), (c, d) = (c, d), (a, b)
    if a > shown.width or min(b, d) > shown.length:
        return None
    over = max(0, c - shown.width) if c > a else 0
    c, d = c - over, d - over * (d > b) + over * (d < b)
    low = max(0, max(b, d) - shown.length)
    if d > b:
        c, d = (c - low if c > a else c), d - low
    elif b > d:
        a, b = (a + low if c > a else a), b - low
    kept = a <= c and min(b, d) >= 0
    return Segment(segment.start._replace(x=a, y=b), segment.end._replace(x=c, y=d)) if kept else None
