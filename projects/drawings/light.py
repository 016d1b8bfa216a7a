"""The look through the light, from layers: each layer lets through the share its fabric does."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal

from django.utils.safestring import SafeString

from projects.calc.axis import Axis

from .svg import EDGE, Drawing, rect

NEUTRAL = Decimal("0.75")
"""Drawn with when the fabric's own share is not known; the page says so."""
DARK = (0x32, 0x4D, 0x79)
MOST_BANDS = 90

Band = tuple[int, int, int]
"""From, to (nm, finished), layers."""


def bands(axis: Axis | None, extent: int) -> list[Band]:
    """Stretches of equal layers over [0, extent); one plain layer where nothing is tucked."""
    if axis is None:
        return [(0, extent, 1)]
    inside = {0, *(x for x in (*axis.cover_starts, *axis.cover_ends) if 0 < x < extent)}
    edges = sorted(inside)
    found: list[Band] = []
    for start, end in zip(edges, (*edges[1:], extent), strict=True):
        layers = axis.layers_at(start)
        if found and found[-1][2] == layers:
            found[-1] = (found[-1][0], end, layers)
        else:
            found.append((start, end, layers))
    return found[:MOST_BANDS]


def colour(share: Decimal, layers: int) -> str:
    """White where all light comes through, dark where none does, even steps of light between."""
    through = float(share) ** layers
    return "#" + "".join(f"{round(dark + through * (255 - dark)):02x}" for dark in DARK)


def light(
    across: Axis | None,
    along: Axis | None,
    *,
    share: Decimal | None,
    extent: tuple[int, int],
    title: str,
    width: int = 384,
) -> SafeString:
    """A window of `extent` (across, along; nm, finished) seen against the light, to scale.

    Layers of two directions multiply. `share` None is drawn with a neutral share: say so beside it.
    """
    scale = width / extent[0]
    height = extent[1] * scale
    drawing = Drawing(width, height, title, "light")
    cells: dict[int, list[str]] = defaultdict(list)
    rows = bands(along, extent[1])
    for x0, x1, columns in bands(across, extent[0]):
        for y0, y1, lines in rows:
            cells[columns * lines].append(rect(x0 * scale, y0 * scale, x1 * scale, y1 * scale))
    given = NEUTRAL if share is None else share
    for layers in sorted(cells):
        drawing.path(cells[layers], fill=colour(given, layers), stroke="none")
    drawing.add("rect", x=0.5, y=0.5, width=width - 1, height=height - 1, fill="none", stroke=EDGE)
    return drawing.svg()
