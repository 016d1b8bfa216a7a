"""Dimension lines as on a pattern: a line between two ticks, the length beside it."""

from __future__ import annotations

from .svg import INK, SOFT, TEXT, Drawing, letter_width, line, rect

TICK = 5
GRAIN = "grain"


def across(drawing: Drawing, x0: float, x1: float, y: float, words: str) -> None:
    """A level dimension from x0 to x1, its words in the middle, above the line."""
    steps = [line(x0, y, x1, y), line(x0, y - TICK, x0, y + TICK), line(x1, y - TICK, x1, y + TICK)]
    drawing.path(steps, fill="none", stroke=SOFT, stroke_width=1)
    drawing.text((x0 + x1) / 2, y - 6, words, text_anchor="middle", fill=INK)


def along(drawing: Drawing, x: float, y0: float, y1: float, words: str) -> None:
    """An upright dimension from y0 to y1, its words turned to read from the foot up."""
    steps = [line(x, y0, x, y1), line(x - TICK, y0, x + TICK, y0), line(x - TICK, y1, x + TICK, y1)]
    drawing.path(steps, fill="none", stroke=SOFT, stroke_width=1)
    middle = (y0 + y1) / 2
    turned = f"rotate(-90 {x - 6:.1f} {middle:.1f})"
    drawing.text(x - 6, middle, words, text_anchor="middle", fill=INK, transform=turned)


def grain(drawing: Drawing, x: float, y0: float, y1: float) -> None:
    """The grain arrow, upright, with its word beside it, on a pale ground: it lies over other lines."""
    heads = [
        f"M{x - 5:.1f} {y0 + 9:.1f}L{x:.1f} {y0:.1f}L{x + 5:.1f} {y0 + 9:.1f}",
        f"M{x - 5:.1f} {y1 - 9:.1f}L{x:.1f} {y1:.1f}L{x + 5:.1f} {y1 - 9:.1f}",
    ]
    arrow, middle = [line(x, y0, x, y1), *heads], (y0 + y1) / 2
    ground = rect(x + 4, middle - 10, x + 12 + letter_width(GRAIN), middle + 11)
    drawing.path([*arrow, ground], fill="none", stroke="#fff", stroke_width=7, stroke_linejoin="round")
    drawing.path([ground], fill="#fff", stroke="none")
    drawing.path(arrow, fill="none", stroke=INK, stroke_width=1.8)
    drawing.text_over(x + 8, middle + 5, GRAIN)


def fits(words: str, room: float, size: float = TEXT) -> bool:
    return letter_width(words, size) <= room
