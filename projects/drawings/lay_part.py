"""The part that is cut next, as it lies on the table: its panels, the line to cut, its measure."""

from __future__ import annotations

from django.utils.safestring import SafeString

from projects.calc.lay import Lay, Placement
from projects.calc.lay.cuts import Cut
from projects.calc.lengths import Rounding, System, rounded

from . import dimension
from .lay_cuts import CUT
from .svg import CLOTH, EDGE, INK, SMALLEST_TEXT, SOFT, Drawing, letter_width, line, rect

LEFT, TOP, RIGHT, FOOT = 34, 40, 8, 26
SLIM = 16


def part(
    laid: Lay, cut: Cut, *, system: System, title: str, width: int = 320, tallest: int = 440
) -> SafeString:
    """The part with its end nearest the cut end at the top, the left selvedge on the left (px)."""
    of = cut.part
    factor = min((width - LEFT - RIGHT) / of.width, (tallest - TOP - FOOT) / of.length)
    wide, high = of.width * factor, of.length * factor
    drawing = Drawing(width, TOP + high + FOOT, title, "lay-part")
    drawing.box(LEFT, TOP, wide, high, fill=CLOTH, stroke=EDGE)
    for gone in cut.gone:  # a hole in it, so that what is cut out already isn't looked for
        x, y, over, down = _box(gone.x, gone.y, gone.width, gone.length, cut, factor)
        drawing.box(x, y, over, down, fill="#fff", stroke=EDGE, stroke_dasharray="2 4")
    for placed in laid.placements:
        if placed.on == cut.on and _inside(placed, cut) and not _is_gone(placed, cut):
            _panel(drawing, placed, cut, factor)
    _cut(drawing, cut, factor, wide, system)
    end = "cut end at the top" if of.y == 0 else "near end at the top"
    side = ", selvedge on the left" if of.x == 0 else ""
    drawing.text(LEFT, TOP + high + 18, end + side, font_size=SMALLEST_TEXT, fill=SOFT)
    return drawing.svg()


def _inside(placed: Placement, cut: Cut) -> bool:
    of = cut.part
    across = of.x <= placed.x and placed.x + placed.width <= of.x + of.width
    return across and of.y <= placed.y and placed.y + placed.length <= of.y + of.length


def _is_gone(placed: Placement, cut: Cut) -> bool:
    return any(
        gone.x <= placed.x < gone.x + gone.width and gone.y <= placed.y < gone.y + gone.length
        for gone in cut.gone
    )


def _box(
    x: int, y: int, width: int, length: int, cut: Cut, factor: float
) -> tuple[float, float, float, float]:
    of = cut.part
    return LEFT + (x - of.x) * factor, TOP + (y - of.y) * factor, width * factor, length * factor


def _panel(drawing: Drawing, placed: Placement, cut: Cut, factor: float) -> None:
    x, y, wide, high = _box(placed.x, placed.y, placed.width, placed.length, cut, factor)
    free = (placed.name, placed.copy) in cut.frees
    drawing.box(x, y, wide, high, fill="#fff", stroke=INK, stroke_width=1.6 if free else 0.8)
    look = {"font_size": SMALLEST_TEXT, "font_weight": 600 if free else None, "text_anchor": "middle"}
    if letter_width(placed.name, SMALLEST_TEXT) <= wide - 6 and high >= SLIM:
        drawing.text(x + wide / 2, y + high / 2 + 4, placed.name, **look)
    elif letter_width(placed.name, SMALLEST_TEXT) <= high - 6 and wide >= SLIM:
        at = (x + wide / 2 + 4, y + high / 2)
        drawing.text(*at, placed.name, **look, transform=f"rotate(-90 {at[0]:.1f} {at[1]:.1f})")


def _cut(drawing: Drawing, cut: Cut, factor: float, wide: float, system: System) -> None:
    """The line to cut, past the edges of the part so that it shows where it lies on one, and its measure."""
    x0, y0, over, down = _box(cut.x1, cut.y1, cut.x2 - cut.x1, cut.y2 - cut.y1, cut, factor)
    x1, y1 = x0 + over, y0 + down
    look = {"fill": "none", "stroke": CUT, "stroke_width": 4}
    if not cut.straight:
        drawing.path([rect(x0, y0, x1, y1)], **look, stroke_dasharray="8 4")
        _along(drawing, cut, y0, system)
        _across(drawing, cut, x0, system)
    elif cut.y1 == cut.y2:
        drawing.path([line(x0 - 6, y0, x1 + 6, y0)], **look)
        _along(drawing, cut, y0, system)
    else:
        drawing.path([line(x0, y0 - 6, x0, y1 + 6)], **look)
        _across(drawing, cut, x0, system)


def _along(drawing: Drawing, cut: Cut, y: float, system: System) -> None:
    if cut.y1 > cut.part.y:
        said = rounded(cut.y1 - cut.part.y, Rounding.PANEL, system)
        dimension.along(drawing, LEFT - 10, TOP, y, said)


def _across(drawing: Drawing, cut: Cut, x: float, system: System) -> None:
    if cut.x1 > cut.part.x:
        said = rounded(cut.x1 - cut.part.x, Rounding.PANEL, system)
        dimension.across(drawing, LEFT, x, TOP - 14, said)
