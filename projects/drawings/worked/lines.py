"""Quilting and trapunto: lines of stitching, one set or two, straight or at 45 degrees to the grain."""

from __future__ import annotations

from django.utils.safestring import SafeString

from projects.calc.ratio import ByRatio
from projects.drawings.svg import Drawing, line, number

from .cloths import PULL, THREAD, Cloths, Look, fit

SETS = ((THREAD, None), (PULL, "8 4"))
"""The first set whole, the second broken."""
FINER = 8
"""How many times finer the second set may be before the drawing is made for it."""
Segment = tuple[float, float, float, float]


def quilting(recipe: ByRatio, look: Look) -> SafeString:
    """Both sets of lines on the flat cloth, and the smaller cloth they leave."""
    cloths = _cloths(recipe, look)
    drawing = cloths.begin()
    second = [recipe.row] if recipe.row else []
    for place, apart in enumerate([recipe.spacing, *second]):
        _set(drawing, cloths, segments(cloths.wide, cloths.high, apart, place == 1, recipe.slant), place)
    return cloths.end(drawing).svg()


def trapunto(recipe: ByRatio, look: Look) -> SafeString:
    """Lines in pairs, the channel between them filled from behind; shaded where it stands up."""
    cloths = _cloths(recipe, look)
    drawing = cloths.begin()
    lines = segments(cloths.wide, cloths.high, recipe.spacing, False, False)
    channels = zip(lines[::2], lines[1::2], strict=False)
    filled = [
        f"M{number(cloths.done_x(a[0]))} {number(cloths.done_top)}H{number(cloths.done_x(b[0]))}"
        f"V{number(cloths.done_foot)}H{number(cloths.done_x(a[0]))}z"
        for a, b in channels
    ]
    drawing.path(filled, fill=THREAD, fill_opacity=0.16, stroke="none")
    _set(drawing, cloths, lines, 0)
    return cloths.end(drawing).svg()


def _cloths(recipe: ByRatio, look: Look) -> Cloths:
    """A cloth some eight lines wide, or three on a phone, and as high as there is room for."""
    columns = 4 if look.phone else 10
    apart = min(recipe.spacing, FINER * recipe.row) if recipe.row else recipe.spacing
    found = fit(look, (apart, apart), (columns, 2))
    wide = look.room[0] / found.scale
    return Cloths(look, found.scale, wide, look.room[1] * 0.75 / found.scale)


def segments(wide: float, high: float, apart: int, crosses: bool, slant: bool) -> list[Segment]:
    """The lines of one set within a cloth of this size (nm), centred, from the first to the last.

    The first set runs along, the second `crosses` it; slanted, the first goes down to the left.
    """
    if slant:
        return _slanted(wide, high, apart, crosses)
    extent = high if crosses else wide
    count = int(extent / apart)
    start = (extent - (count - 1) * apart) / 2 if count else extent / 2
    places = [start + i * apart for i in range(max(1, count))]
    return [(0, p, wide, p) if crosses else (p, 0, p, high) for p in places]


def _slanted(wide: float, high: float, apart: int, crosses: bool) -> list[Segment]:
    """Lines at 45 degrees; measured square to themselves they are `apart`, so the edges meet them wider."""
    step = apart * 2**0.5
    found: list[Segment] = []
    start = -high + ((wide + high) % step) / 2
    while start < wide:
        x0, x1 = max(0.0, start), min(wide, start + high)
        y0, y1 = x0 - start, x1 - start
        found.append((x0, y0, x1, y1) if crosses else (x0, high - y0, x1, high - y1))
        start += step
    return [s for s in found if s[2] > s[0]]


def _set(drawing: Drawing, cloths: Cloths, lines: list[Segment], place: int) -> None:
    colour, dash = SETS[place]
    flat = [line(cloths.x(a), cloths.y(b), cloths.x(c), cloths.y(d)) for a, b, c, d in lines]
    x, y = cloths.done_x, cloths.done_y
    done = [line(x(a), y(b), x(c), y(d)) for a, b, c, d in lines]
    drawing.path([*flat, *done], fill="none", stroke=colour, stroke_width=1.6, stroke_dasharray=dash)
