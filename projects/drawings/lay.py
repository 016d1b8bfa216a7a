"""A lay to scale: panels as they lie on the cloth, with names, sizes and grain, and the length used."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from django.utils.safestring import SafeString

from projects.calc.lay import Lay, Placement
from projects.calc.lengths import Rounding, System, of_lay, rounded, rounded_up
from projects.calc.recipe import mark_letter

from . import dimension, lay_cuts, lay_marks
from .lay_marks import LEFT, NO_MARKS, TOP, Box, Marks, Scale
from .svg import EDGE, INK, SMALLEST_TEXT, Drawing, letter_width, line, tag

RIGHT, BOTTOM = 16, 34
SELVEDGE = "selvedge"
BESIDE = 230
"""Room right of the cloth (px) for a key of all panels; without it, panels that need one are told below."""
KEY_MARGIN = 30
KEY_LINE, COLUMN, SLIM, HATCH = 22, 300, 18, 9
ARROW = 14
"""How far a grain arrow stays off the edges of its panel (px)."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One panel in pixels. ``letter`` leads to the key, where the panel is in it."""

    placed: Placement
    x: float
    y: float
    wide: float
    high: float
    cut: bool
    size: str
    pinned: bool = False
    letter: str = ""

    @property
    def named(self) -> bool:
        """Whether its whole name can be written in it."""
        return self.high >= 24 and dimension.fits(self.placed.name, self.wide - 12)

    @property
    def told(self) -> bool:
        """Whether its name and its size can be written in it, and how it stands."""
        lines = 2 * len(self.size_lines) - 1 + (2 if self.cut or self.pinned else 1)  # room for an arrow too
        fit = all(dimension.fits(words, self.wide - 8) for words in self.size_lines)
        return self.named and fit and self.high >= 6 + 18 * lines

    @property
    def size_lines(self) -> list[str]:
        """Its size in one line, or in two where it is too narrow for that."""
        if dimension.fits(self.size, self.wide - 8):
            return [self.size]
        across, along = self.size.split(" × ")
        return [f"{across} ×", along]

    @property
    def said(self) -> str:
        more = ", cut already" if self.cut else ", pinned" if self.pinned else ""
        return f"{self.placed.name}, {self.size}{more}"


def _scale(length: int, cloth_width: int, room: float, tallest: float, system: System) -> Scale:
    """The way round in which the cloth is drawn larger."""
    level = min(room / length, tallest / cloth_width)
    upright = min(room / cloth_width, tallest / length)
    return Scale(max(level, upright), upright > level, system)


def lay(
    laid: Lay,
    *,
    cloth_width: int,
    system: System,
    title: str,
    cut: Collection[int] = (),
    on: str | None = None,
    marks: Marks = NO_MARKS,
    width: int = 760,
    tallest: int = 460,
    kind: str = "lay",
) -> SafeString:
    """The cloth with its length from left to right, or downwards where a short lay is drawn larger so.

    Panels lie as they are cut; the arrow in each is its grain, along the cloth unless the panel was turned.
    ``cut`` are the places in ``laid.placements`` that are cut already: they are hatched. A panel with no room
    for its name and size has a letter, told in a key beside or below: numbers are those of the cuts. The
    cloth is at most ``tallest`` px high.
    ``on`` draws one cloth of several: a length by its name in the lay, the roll by ""; ``marks`` say what
    else is drawn on it.
    """
    length = max(used_on(laid, on), 1)
    rest = lay_marks.rest_drawn(length, marks.whole)
    scale = _scale(length + rest, cloth_width, width - LEFT - RIGHT, tallest, system)
    x, y, wide, high = scale.box(0, 0, length + rest, cloth_width)
    panels = [
        _shown(p, i in cut, (p.name, p.copy) in marks.pinned, scale)
        for i, p in enumerate(laid.placements)
        if on is None or p.on == on
    ]
    beside = _has_room_beside(panels, width - (x + wide) - RIGHT)
    panels = list(_lettered(panels, everyone=beside))
    keyed = [p for p in panels if p.letter]
    columns = 1 if beside else _columns(keyed, width - LEFT)
    rows = -(-len(keyed) // columns) * KEY_LINE
    foot = y + high + BOTTOM
    drawing = Drawing(width, max(foot, TOP + rows + 8) if beside else foot + rows, title, kind)
    if marks.movable:
        drawing.data = lay_marks.for_moving(scale, cloth_width, length)
    lay_marks.cloth(drawing, scale, length, rest, cloth_width, marks)
    _measures(drawing, (x, y, wide, high), scale.box(0, 0, length, cloth_width), length, cloth_width, scale)
    taken = [box for panel in panels for box in _panel(drawing, panel, scale.upright, marks.movable)]
    lay_cuts.cuts(drawing, scale, marks, taken, (x, y, wide, high))
    at = (x + wide + 24, TOP + 16.0) if beside else (x, foot + 12)
    _key(drawing, keyed, *at, (width - at[0] - 6) / columns - 12, columns)
    return drawing.svg()


def _has_room_beside(panels: list[Shown], room: float) -> bool:
    """Whether a key of all panels stands right of the cloth with nothing shortened."""
    return room >= max(BESIDE, _longest(panels) + KEY_MARGIN)


def _longest(panels: list[Shown]) -> float:
    """How wide the longest line of a key of these panels is."""
    return max((letter_width(f"AA  {panel.said}") for panel in panels), default=0)


def _columns(keyed: list[Shown], room: float) -> int:
    """As many columns below as shorten nothing, at most those that ``COLUMN`` allows."""
    return max(1, min(int(room // COLUMN), int(room // (_longest(keyed) + KEY_MARGIN))))


def used_on(laid: Lay, on: str | None) -> int:
    """What a lay takes along one of its cloths (nm): a length by its name, the roll by "" or None."""
    return next((used.length for used in laid.used if used.name == on), laid.length) if on else laid.length


def _measures(drawing: Drawing, whole: Box, used: Box, length: int, width: int, scale: Scale) -> None:
    """The dimensions of the cloth: what is used along it, and its width."""
    x, y, wide, high = used
    said = f"used {rounded_up(length, of_lay(scale.system), scale.system)}", _size(width, scale.system)
    level, high_up = reversed(said) if scale.upright else said
    dimension.across(drawing, x, x + wide, 26, level)
    dimension.along(drawing, 30, y, y + high, high_up)
    edges = "selvedges left and right" if scale.upright else SELVEDGE
    drawing.text(x, whole[1] + whole[3] + 20, edges, font_size=SMALLEST_TEXT)


def _size(nm: int, system: System) -> str:
    return rounded(nm, Rounding.PANEL, system)


def _shown(placed: Placement, cut: bool, pinned: bool, scale: Scale) -> Shown:
    size = f"{_size(placed.width, scale.system)} × {_size(placed.length, scale.system)}"
    return Shown(placed, *scale.box(placed.y, placed.x, placed.length, placed.width), cut, size, pinned)


def _lettered(panels: list[Shown], *, everyone: bool) -> Iterator[Shown]:
    """Letters for those the key tells of: all of them, or those that can't hold their names and sizes."""
    number = 0
    for p in panels:
        if not everyone and p.told:
            yield p
            continue
        yield replace(p, letter=mark_letter(number))
        number += 1


def _panel(drawing: Drawing, panel: Shown, upright: bool, movable: bool) -> list[Box]:
    """Draw a panel; returns where words were written, so that nothing is put over them.

    One that may be moved is a group by itself, with its place in nm.
    """
    inside = Drawing(drawing.width, drawing.height, "")
    words = _panel_drawn(inside, panel, upright)
    if movable and not panel.cut:
        drawing.parts.append(tag("g", "".join(inside.parts), class_="movable", **_place(panel.placed)))
    else:
        drawing.parts += inside.parts
    return words


def _place(placed: Placement) -> dict[str, str]:
    numbers = {"x": placed.x, "y": placed.y, "width": placed.width, "length": placed.length}
    turned = "on" if placed.turned else ""
    said = {"name": placed.name, "copy": placed.copy, "turned": turned, "on": placed.on}
    return {f"data_{key}": str(value) for key, value in {**said, **numbers}.items()}


def _panel_drawn(drawing: Drawing, panel: Shown, upright: bool) -> list[Box]:
    x, y, wide, high = panel.x, panel.y, panel.wide, panel.high
    drawing.box(x, y, wide, high, fill="#fff", stroke=INK, stroke_width=1.4)
    if panel.cut:
        hatching = [line(*ends) for ends in _hatch(x, y, wide, high)]
        drawing.path(hatching, fill="none", stroke=EDGE, stroke_width=0.8)
    if panel.pinned:
        lay_marks.pin(drawing, x, y, wide, high)
    arrow = list(_grain(drawing, panel, panel.placed.turned != upright))
    written = list(_lines(panel))[: max(0, int((high - 6) // 18))]
    if panel.letter and (wide < SLIM or not written):
        return [_slim(drawing, panel), *arrow]
    write = drawing.text_over if panel.cut else drawing.text
    for number, words in enumerate(written):
        bold = 600 if number == 0 else None
        write(x + 6, y + 18 + 18 * number, words, font_weight=bold)
    boxes = [(x + 4, y + 4 + 18 * i, letter_width(words) + 4, 18.0) for i, words in enumerate(written)]
    return [*boxes, *arrow]


def _lines(panel: Shown) -> Iterator[str]:
    """What is written in a panel, as far as it fits across it."""
    name = panel.placed.name if panel.named else ""
    first = f"{panel.letter} {name}".strip()
    if name and not dimension.fits(first, panel.wide - 8):
        first = panel.letter
    size = [] if panel.letter else panel.size_lines
    for words in (first, "cut" if panel.cut else "pinned" if panel.pinned else "", *size):
        if words and dimension.fits(words, panel.wide - 8):
            yield words


def _slim(drawing: Drawing, panel: Shown) -> Box:
    """The letter of a strip; those of strips that lie together stand one after another."""
    level, place = panel.wide >= panel.high, sum(map(ord, panel.letter))
    x = panel.x + (14 + place % 8 * 24 if level and panel.wide > 220 else panel.wide / 2)
    y = panel.y + (panel.high / 2 + 4 if level else 16 + place % 4 * 16)
    drawing.text_over(x, y, panel.letter, font_size=SMALLEST_TEXT, text_anchor="middle")
    return x - 9, y - 12, 18, 16


def _hatch(x: float, y: float, wide: float, high: float) -> Iterator[tuple[float, float, float, float]]:
    """Slanting lines inside a rectangle, each as its two ends."""
    reach = HATCH
    while reach < wide + high:
        over, down = max(0.0, reach - high), max(0.0, reach - wide)
        yield x + over, y + reach - over, x + reach - down, y + down
        reach += HATCH


def _key(drawing: Drawing, keyed: list[Shown], x: float, y: float, room: float, columns: int) -> None:
    """A line a lettered panel: its letter, name and size, side by side in columns."""
    rows = -(-len(keyed) // columns)
    for place, panel in enumerate(keyed):
        column, row = divmod(place, rows)
        at = (x + column * (room + 12), y + row * KEY_LINE)
        drawing.text(*at, _shortened(f"{panel.letter}  {panel.said}", room))


def _shortened(words: str, room: float) -> str:
    """Words cut to their room, with dots."""
    if letter_width(words) <= room:
        return words
    return f"{words[: max(1, int(room / letter_width('x')) - 1)]}…"


def _grain(drawing: Drawing, panel: Shown, on_end: bool) -> Iterator[Box]:
    """A small arrow in the panel's lower right corner, along its own grain and clear of the cuts at its
    edges; yields where it is."""
    reach = min(36.0, (panel.high if on_end else panel.wide) * 0.4)
    if reach < 10 or min(panel.wide, panel.high) < 2 * SLIM:
        return
    x, y = panel.x + panel.wide - ARROW, panel.y + panel.high - ARROW
    if on_end:
        steps = f"M{x:.1f} {y:.1f}v{-reach:.1f}m-4 6l4 -6l4 6"
        yield x - 5, y - reach, 10, reach
    else:
        steps = f"M{x:.1f} {y:.1f}h{-reach:.1f}m6 -4l-6 4l6 4"
        yield x - reach, y - 5, reach, 10
    drawing.path([steps], fill="none", stroke=EDGE, stroke_width=1.5)
