"""A run as a strip of cloth: each unit where it lies, sewn ones drawn full, those to come short and thin, and
a pointer where one is. In black and white sewn and to do differ by height, marks by their dashes."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from django.utils.safestring import SafeString, mark_safe

from .marks import look
from .svg import INK, Drawing, line, number, polygon, tag

WIDE, TOP, HIGH, POINTER = 520, 16, 60, 10
SHORT = 16
"""How much shorter the line of a unit to come is at each end."""

Place = tuple[int, str, float]
"""A unit's number, its mark, and where it lies, 0 to 1 from the left of the strip."""


def run_strip(units: Sequence[Place], sewn: Collection[int], now: int | None, title: str) -> SafeString:
    """`title` says what a reader of the picture would see: which unit one is at and how many are sewn."""
    drawing = Drawing(WIDE, TOP + HIGH + 14, title, "run-strip")
    drawing.box(0.5, TOP, WIDE - 1, HIGH)
    thick = max(0.8, min(3.0, WIDE / (2 * max(1, len(units)))))
    for unit, letter, place in units:
        drawing.parts.append(_unit(unit, letter, _at(place), thick, unit in sewn, unit == now))
    at = next((_at(place) for unit, _, place in units if unit == now), None)
    drawing.parts.append(_pointer(at))
    return drawing.svg()


def _at(place: float) -> float:
    return 8 + place * (WIDE - 16)


def _unit(unit: int, letter: str, x: float, thick: float, sewn: bool, now: bool) -> str:
    """Both ways of drawing it; the style sheet shows the one that holds, so that a script need change only
    the class."""
    mark = look(letter)
    common = {"fill": "none", "stroke": mark.colour, "stroke_dasharray": mark.dash}
    full = tag("path", d=line(x, TOP, x, TOP + HIGH), stroke_width=thick, class_="full", **common)
    low, high = TOP + SHORT, TOP + HIGH - SHORT
    faint = tag("path", d=line(x, low, x, high), stroke_width=thick * 0.6, class_="faint", **common)
    classes = " ".join(name for name, holds in (("is-sewn", sewn), ("is-now", now)) if holds)
    return f'<g data-unit="{unit}" data-x="{number(x)}" class="{classes}">{full}{faint}</g>'


def _pointer(at: float | None) -> str:
    head = polygon((-POINTER, 0), (POINTER, 0), (0, TOP - 2))
    stem = tag("path", d=line(0, TOP, 0, TOP + HIGH + 14), stroke=INK, stroke_width=3.4)
    inside = tag("path", d=head, fill=INK) + stem
    where = f' transform="translate({number(at)} 0)"' if at is not None else ' visibility="hidden"'
    return mark_safe(f'<g data-bench="pointer"{where}>{inside}</g>')
