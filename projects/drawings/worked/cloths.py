"""Flat cloth above, finished cloth below, both to one scale: what every drawing of a texture by ratio has."""

from __future__ import annotations

from dataclasses import dataclass

from projects.calc.lengths import System, about
from projects.drawings.svg import EDGE, SOFT, Drawing, polygon

MARGIN_LEFT, MARGIN_RIGHT, MARGIN_TOP, BETWEEN, FOOT = 30, 12, 22, 62, 12
MOST_UNITS = 60
THREAD, PULL = "#2b3f73", "#a8362c"
"""Thread is indigo and always broken or beaded, what is drawn together madder and always whole and heavy."""


@dataclass(frozen=True, slots=True)
class Look:
    """What a drawing is made for. `across` and `along` are flat / finished, for the cloth below."""

    across: float
    along: float
    system: System
    title: str
    width: int = 976
    phone: bool = False

    @property
    def room(self) -> tuple[float, float]:
        """Pixels for the flat cloth, across and along."""
        return self.width - MARGIN_LEFT - MARGIN_RIGHT, 170.0 if self.phone else 230.0

    @property
    def kind(self) -> str:
        return "strip only-phone" if self.phone else "strip only-wide"


@dataclass(frozen=True, slots=True)
class Fit:
    """How many units are shown each way and how large a nanometre is drawn (pixels)."""

    columns: int
    rows: int
    scale: float


def fit(look: Look, pitch: tuple[int, int], wished: tuple[int, int], even: bool = False) -> Fit:
    """As many units as asked for, and more columns where there is room beside them. `pitch` in nm."""
    (wide, high), (columns, rows) = look.room, wished
    scale = min(wide / (columns * pitch[0]), high / (rows * pitch[1]))
    columns = min(MOST_UNITS, max(1, int(wide / (pitch[0] * scale) + 1e-6)))
    return Fit(columns - columns % 2 if even and columns > 2 else columns, rows, scale)


@dataclass(frozen=True, slots=True)
class Cloths:
    """Where the two cloths lie. Lengths given to it are nm on the flat cloth; it answers in pixels."""

    look: Look
    scale: float
    wide: float
    high: float

    @property
    def done_left(self) -> float:
        return MARGIN_LEFT + max(0.0, (self.wide - self.wide / self.look.across) * self.scale / 2)

    @property
    def flat_foot(self) -> float:
        return MARGIN_TOP + self.high * self.scale

    @property
    def done_top(self) -> float:
        return self.flat_foot + BETWEEN

    @property
    def done_right(self) -> float:
        return self.done_x(self.wide)

    @property
    def done_foot(self) -> float:
        return self.done_y(self.high)

    def x(self, nm: float) -> float:
        return MARGIN_LEFT + nm * self.scale

    def y(self, nm: float) -> float:
        return MARGIN_TOP + nm * self.scale

    def done_x(self, nm: float) -> float:
        return self.done_left + nm / self.look.across * self.scale

    def done_y(self, nm: float) -> float:
        return self.done_top + nm / self.look.along * self.scale

    def begin(self) -> Drawing:
        """The drawing with both cloths, one closing into the other, and how wide each is."""
        drawing = Drawing(self.look.width, self.done_foot + FOOT, self.look.title, self.look.kind)
        left, right = self.x(0), self.x(self.wide)
        closing = polygon(
            (left, self.flat_foot),
            (right, self.flat_foot),
            (self.done_right, self.done_top),
            (self.done_left, self.done_top),
        )
        drawing.path([closing], fill=EDGE, fill_opacity=0.1, stroke="none")
        drawing.box(left, self.y(0), right - left, self.flat_foot - self.y(0))
        drawing.box(
            self.done_left, self.done_top, self.done_right - self.done_left, self.done_foot - self.done_top
        )
        return drawing

    def end(self, drawing: Drawing) -> Drawing:
        """The sizes in words, last, so that nothing lies over them."""
        system, wide = self.look.system, round(self.wide)
        done = round(self.wide / self.look.across)
        drawing.text_over(self.x(0), self.flat_foot + 19, f"flat {about(wide, system)}")
        words = f"finished {about(done, system)}"
        drawing.text_over(min(self.done_left, self.look.width - 150), self.done_top - 8, words)
        return drawing


def row_number(drawing: Drawing, y: float, words: str) -> None:
    """A row's number at the left of the flat cloth."""
    drawing.text(MARGIN_LEFT - 8, y + 5, words, text_anchor="end", fill=SOFT)
