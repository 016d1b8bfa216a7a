"""What lies on the cloth of a lay besides its panels: remnants, flaws, the lost end, the uncut rest, pins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from projects.calc.lay.cuts import Cut, Remnant
from projects.calc.lay.request import Flaw
from projects.calc.lengths import Rounding, System, of_lay, rounded_down

from . import dimension
from .svg import CLOTH, EDGE, INK, SOFT, Drawing, line, number, rect

Box = tuple[float, float, float, float]
"""x, y, wide and high in pixels."""
LEFT, TOP = 60, 44
LONGEST_REST = 6
"""An uncut rest is drawn up to the length used divided by this, with a torn edge where it goes on."""
PIN = "#2b3f73"
LEFT_OVER = "#e9f1ee"


@dataclass(frozen=True, slots=True)
class Scale:
    """Pixels for a nm, and which way the cloth lies: its length from left to right, or ``upright``."""

    factor: float
    upright: bool
    system: System

    def box(self, along: int, across: int, length: int, width: int) -> Box:
        """x, y, wide and high in pixels of what lies ``along`` and ``across`` the cloth."""
        level = (along, across, length, width)
        turned = (across, along, width, length)
        x, y, wide, high = (nm * self.factor for nm in (turned if self.upright else level))
        return LEFT + x, TOP + y, wide, high

    def point(self, along: int, across: int) -> tuple[float, float]:
        x, y, _, _ = self.box(along, across, 0, 0)
        return x, y


@dataclass(frozen=True, slots=True)
class Marks:
    """What else is drawn on one cloth of a lay (lengths in nm).

    ``cuts`` are numbered; those in ``done`` are made, ``current`` is the next. ``pinned`` are panels held
    where they are, by (name, copy). ``lost`` is the end that is lost, ``whole`` how long the cloth is where
    more of it is there than is used. With ``movable`` panels can be dragged by a script.
    """

    cuts: tuple[Cut, ...] = ()
    done: frozenset[int] = frozenset()
    current: int | None = None
    remnants: tuple[Remnant, ...] = ()
    flaws: tuple[Flaw, ...] = ()
    pinned: frozenset[tuple[str, int]] = frozenset()
    lost: int = 0
    whole: int = 0
    movable: bool = False


NO_MARKS = Marks()


def rest_drawn(used: int, whole: int) -> int:
    """How much of the uncut rest is drawn, nm."""
    return max(0, min(whole - used, used // LONGEST_REST))


def for_moving(scale: Scale, width: int, length: int) -> dict[str, str]:
    """What a script needs to know where a dragged panel lies: nm of a pixel, the corner, the cloth's size."""
    return {
        "nm": f"{1 / scale.factor:.6f}",
        "left": str(LEFT),
        "top": str(TOP),
        "upright": "on" if scale.upright else "",
        "width": str(width),
        "length": str(length),
    }


def cloth(drawing: Drawing, scale: Scale, used: int, rest: int, width: int, marks: Marks) -> None:
    """The cloth itself, and what of it is lost, flawed or left over."""
    _ground(drawing, scale, used, rest, width, torn=marks.whole - used > rest)
    if rest:
        left = rounded_down(marks.whole - used, of_lay(scale.system), scale.system)
        _label(drawing, scale.box(used, 0, rest, width), f"{left} left")
    if marks.lost:
        lost = scale.box(0, 0, marks.lost, width)
        drawing.path(_slants(*lost), fill="none", stroke=EDGE, stroke_width=1)
    for left_over in marks.remnants:
        if left_over.y < used:
            _remnant(drawing, scale, left_over)
    for flaw in marks.flaws:
        if flaw.y < used + rest:
            _flaw(drawing, scale.box(flaw.y, flaw.x, min(flaw.length, used + rest - flaw.y), flaw.width))


def _ground(drawing: Drawing, scale: Scale, used: int, rest: int, width: int, *, torn: bool) -> None:
    x, y, wide, high = scale.box(0, 0, used + rest, width)
    if not torn:
        drawing.box(x, y, wide, high)
        return
    teeth, x1, y1 = [], x + wide, y + high
    steps = max(2, round((wide if scale.upright else high) / 14) // 2 * 2)
    for i in range(steps + 1):
        share, depth = i / steps, 6 * (i % 2)
        teeth.append((x1 - share * wide, y1 - depth) if scale.upright else (x1 - depth, y + share * high))
    corners = [(x, y), (x1, y), *teeth[1:-1], (x1, y1), (x, y1)] if not scale.upright else [
        (x, y), (x1, y), *teeth, (x, y1)
    ]
    way = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in corners) + "z"
    drawing.path([way], fill=CLOTH, stroke=EDGE, stroke_width=1)


def _remnant(drawing: Drawing, scale: Scale, left: Remnant) -> None:
    """Cloth that is over: a pale ground within dots, and its size where there is room."""
    box = x, y, wide, high = scale.box(left.y, left.x, left.length, left.width)
    dots = {"stroke_dasharray": "1.5 4", "stroke_linecap": "round"}
    drawing.box(x, y, wide, high, fill=LEFT_OVER, stroke=SOFT, **dots)
    _label(drawing, box, f"{_size(left.width, scale)} × {_size(left.length, scale)}", "left over")


def _label(drawing: Drawing, box: Box, *lines: str) -> None:
    """Words in the middle of a box: level, else upright, else only as many lines as there is room for."""
    x, y, wide, high = box
    level, across = all(dimension.fits(words, wide - 8) for words in lines), wide
    if not level and not all(dimension.fits(words, high - 8) for words in lines):
        if len(lines) > 1:
            _label(drawing, box, lines[0])
        return
    room = (high if level else across) - 6
    lines = lines[: max(0, int(room // 18))]
    for i, words in enumerate(lines):
        off = 18 * (i - (len(lines) - 1) / 2)
        if level:
            drawing.text(x + wide / 2, y + high / 2 + off + 5, words, text_anchor="middle", fill=SOFT)
        else:
            at = (x + wide / 2 + off + 5, y + high / 2)
            turned = f"rotate(-90 {number(at[0])} {number(at[1])})"
            drawing.text(*at, words, text_anchor="middle", fill=SOFT, transform=turned)


def _flaw(drawing: Drawing, box: Box) -> None:
    """A flaw: crossed out, never so small that it isn't seen."""
    x, y, wide, high = box
    x, wide = (x, wide) if wide >= 6 else (x - 3, 6)
    y, high = (y, high) if high >= 6 else (y - 3, 6)
    crossed = [line(x, y, x + wide, y + high), line(x, y + high, x + wide, y)]
    drawing.path([rect(x, y, x + wide, y + high)], fill="#fff", stroke=INK, stroke_width=1)
    drawing.path(crossed, fill="none", stroke=INK, stroke_width=1)


def pin(drawing: Drawing, x: float, y: float, wide: float, high: float) -> None:
    """A panel that is pinned: a thick frame, and a pin's head and needle in its upper right corner."""
    if min(wide, high) > 12:
        frame = rect(x + 2, y + 2, x + wide - 2, y + high - 2)
        drawing.path([frame], fill="none", stroke=PIN, stroke_width=2.5)
    if min(wide, high) > 30:
        a, b = x + wide - 12, y + 12
        drawing.path([line(a, b, a - 8, b + 10)], fill="none", stroke=PIN, stroke_width=2)
        drawing.add("circle", cx=a, cy=b, r=4.5, fill=PIN)


def _slants(x: float, y: float, wide: float, high: float) -> Iterator[str]:
    """Hatching of the lost end, closer than that of a cut panel."""
    reach = 5.0
    while reach < wide + high:
        over, down = max(0.0, reach - high), max(0.0, reach - wide)
        yield line(x + over, y + reach - over, x + reach - down, y + down)
        reach += 5


def _size(nm: int, scale: Scale) -> str:
    """A side of what is left over: never more than it is."""
    return rounded_down(nm, Rounding.PANEL, scale.system)
