"""A lay to scale: panels as they lie on the cloth, with names, sizes and grain, and the length used."""

from __future__ import annotations

from django.utils.safestring import SafeString

from projects.calc.lay import Lay, Placement
from projects.calc.lengths import Rounding, System, rounded

from . import dimension
from .svg import EDGE, INK, SMALLEST_TEXT, Drawing, letter_width

LEFT, TOP, RIGHT, BOTTOM = 60, 44, 12, 34
SELVEDGE = "selvedge"


def lay(
    laid: Lay, *, cloth_width: int, system: System, title: str, width: int = 760, kind: str = "lay"
) -> SafeString:
    """The cloth lies with its length from left to right, so that a long lay stays readable.

    Panels lie as they are cut; the arrow in each is its grain, level unless the panel was turned.
    """
    length = max(laid.length, 1)
    scale = min((width - LEFT - RIGHT) / length, 460 / cloth_width)
    drawing = Drawing(width, TOP + cloth_width * scale + BOTTOM, title, kind)
    right, foot = LEFT + length * scale, TOP + cloth_width * scale
    drawing.box(LEFT, TOP, length * scale, cloth_width * scale)
    for placement in laid.placements:
        _panel(drawing, placement, scale, system)
    dimension.across(drawing, LEFT, right, 26, f"used {rounded(laid.length, Rounding.CLOTH, system)}")
    dimension.along(drawing, 30, TOP, foot, rounded(cloth_width, Rounding.PANEL, system))
    drawing.text(LEFT, foot + 20, SELVEDGE, font_size=SMALLEST_TEXT)
    return drawing.svg()


def _panel(drawing: Drawing, placed: Placement, scale: float, system: System) -> None:
    x, y = LEFT + placed.y * scale, TOP + placed.x * scale
    wide, high = placed.length * scale, placed.width * scale
    drawing.box(x, y, wide, high, fill="#fff", stroke=INK, stroke_width=1.4)
    size = f"{_say(placed.width, system)} × {_say(placed.length, system)}"
    lines = [_shortened(placed.name, wide - 12), size]
    room = int((high - 8) // 18)
    for number, words in enumerate(lines[: max(0, room)]):
        if words and dimension.fits(words, wide - 8):
            drawing.text(x + 6, y + 18 + 18 * number, words, font_weight=600 if number == 0 else None)
    _grain(drawing, x, y, wide, high, placed.turned)


def _say(nm: int, system: System) -> str:
    return rounded(nm, Rounding.PANEL, system)


def _shortened(name: str, room: float) -> str:
    """A name cut to its room, with dots; empty where not even a few letters fit."""
    if letter_width(name) <= room:
        return name
    letters = int(room / letter_width("x")) - 1
    return f"{name[:letters]}…" if letters >= 3 else ""


def _grain(drawing: Drawing, x: float, y: float, wide: float, high: float, turned: bool) -> None:
    """A small arrow in the panel's lower right corner, along its own grain."""
    reach = min(36.0, (high if turned else wide) * 0.4)
    if reach < 10:
        return
    x1, y1 = x + wide - 8, y + high - 8
    if turned:
        steps = f"M{x1:.1f} {y1:.1f}v{-reach:.1f}m-4 6l4 -6l4 6"
    else:
        steps = f"M{x1:.1f} {y1:.1f}h{-reach:.1f}m6 -4l-6 4l6 4"
    drawing.path([steps], fill="none", stroke=EDGE, stroke_width=1.5)
