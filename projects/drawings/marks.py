"""How each mark looks: a letter, a line style and a colour, so that no two depend on colour alone."""

from __future__ import annotations

from dataclasses import dataclass

from projects.calc.recipe import mark_style

from .svg import INK, Drawing, line

COLOURS = (
    ("indigo", "#2b3f73"),
    ("madder", "#a8362c"),
    ("verdigris", "#1f6f5c"),
    ("weld", "#7a5a00"),
    ("ink", "#1d2329"),
)
DASHES = {
    "solid": None,
    "dashed": "8 4",
    "dotted": "2 2.6",
    "dash-dot": "9 3 2 3",
    "double": None,
    "long-dash": "16 4",
}


@dataclass(frozen=True, slots=True)
class MarkLook:
    """One mark: its letter, the name of its line style, its colour by name and as written in SVG."""

    letter: str
    style: str
    colour_name: str
    colour: str

    @property
    def dash(self) -> str | None:
        return DASHES[self.style]

    @property
    def doubled(self) -> bool:
        return self.style == "double"

    @property
    def words(self) -> str:
        """For instance "dashed, madder"."""
        return f"{self.style}, {self.colour_name}"


def look(letter: str) -> MarkLook:
    """The look of a letter; a tuck without one is drawn plain, in ink."""
    if not letter:
        return MarkLook("", "solid", "ink", INK)
    place = 0
    for character in letter:
        place = place * 26 + ord(character) - ord("A") + 1
    name, colour = COLOURS[(place - 1) % len(COLOURS)]
    return MarkLook(letter, mark_style(letter), name, colour)


def upright(
    drawing: Drawing, mark: MarkLook, xs: list[float], top: float, bottom: float, width: float = 2
) -> None:
    """Lines from top to bottom at every x, in the mark's style, as one path."""
    _lines(drawing, mark, [(x, top, x, bottom) for x in xs], width, (1.7, 0))


def level(
    drawing: Drawing, mark: MarkLook, ys: list[float], left: float, right: float, width: float = 2
) -> None:
    """Lines from left to right at every y, in the mark's style, as one path."""
    _lines(drawing, mark, [(left, y, right, y) for y in ys], width, (0, 1.7))


def _lines(
    drawing: Drawing,
    mark: MarkLook,
    ends: list[tuple[float, float, float, float]],
    width: float,
    apart: tuple[float, float],
) -> None:
    sides = (-1, 1) if mark.doubled else (0,)
    dx, dy = apart
    steps = [line(a + s * dx, b + s * dy, c + s * dx, d + s * dy) for a, b, c, d in ends for s in sides]
    drawing.path(
        steps,
        fill="none",
        stroke=mark.colour,
        stroke_width=1.2 if mark.doubled else width,
        stroke_dasharray=mark.dash,
    )
