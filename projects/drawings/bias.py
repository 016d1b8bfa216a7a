"""The blank that strips are cut from, to scale: its cuts in order, each strip with its number."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from math import sqrt

from django.utils.safestring import SafeString

from projects.calc.blanks import Blank
from projects.calc.lengths import Rounding, System, rounded
from projects.planning.plan import Binding, Plan

from . import dimension
from .svg import CLOTH, EDGE, INK, SMALLEST_TEXT, Drawing, line

LEFT, TOP, RIGHT, BOTTOM = 44, 34, 10, 10
ROOM = 15
"""Pixels a number needs between two cuts."""


def blank(
    cut_from: Blank,
    *,
    bias: bool,
    system: System,
    title: str,
    before: int = 0,
    width: int = 312,
    tallest: int = 420,
) -> SafeString:
    """The grain runs up and down; ``before`` strips were numbered first. On the bias the first cut goes
    through the top left corner; what lies beyond the last cut of each side is too short to use. Where cuts
    lie close, some strips have no number."""
    wide, high = cut_from.width, cut_from.length
    scale = min((width - LEFT - RIGHT) / wide, (tallest - TOP - BOTTOM) / high)
    drawing = Drawing(width, TOP + high * scale + BOTTOM, title, "bias")
    x, y = wide * scale, high * scale
    drawing.box(LEFT, TOP, x, y, fill=CLOTH, stroke=INK, stroke_width=1.4)
    sizes = (rounded(nm, Rounding.PANEL, system) for nm in (wide, high))
    dimension.across(drawing, LEFT, LEFT + x, 22, next(sizes))
    dimension.along(drawing, 28, TOP, TOP + y, next(sizes))
    step = cut_from.strips.width * scale
    cuts = _bias(cut_from, x, y, step * sqrt(2)) if bias else _straight(cut_from, x, step)
    drawn = list(cuts)
    drawing.path([line(*ends) for number, ends, _ in drawn], fill="none", stroke=EDGE, stroke_width=1.2)
    every = max(1, -int(-ROOM // step))
    for number, _, (at_x, at_y) in drawn:
        if number and (number - 1) % every == 0 and step > 4:
            text = str(before + number)
            drawing.text_over(at_x, at_y + 4, text, font_size=SMALLEST_TEXT, text_anchor="middle")
    return drawing.svg()


Cut = tuple[int, tuple[float, float, float, float], tuple[float, float]]
"""Number of the strip it ends (0: the first cut), the cut's two ends, the middle of the strip."""


def _bias(cut_from: Blank, wide: float, high: float, apart: float) -> Iterator[Cut]:
    """Cuts from the first towards the corner of the longer side, then towards the other."""
    yield 0, _slant(0, wide, high), (0, 0)
    strips = cut_from.strips
    counts = (strips.first_side, len(strips.lengths) - strips.first_side)
    along_top = (True, False) if wide >= high else (False, True)
    number = 0
    for count, top in zip(counts, along_top, strict=True):
        sign = 1 if top else -1
        for k in range(1, count + 1):
            number += 1
            ends = _slant(sign * k * apart, wide, high)
            x0, y0, x1, y1 = _slant(sign * (k - 0.5) * apart, wide, high)
            yield number, ends, ((x0 + x1) / 2, (y0 + y1) / 2)


def _slant(shift: float, wide: float, high: float) -> tuple[float, float, float, float]:
    """The line x - y = shift inside the blank, downwards to the right, in the drawing's pixels."""
    x, y = max(shift, 0.0), max(-shift, 0.0)
    reach = max(0.0, min(wide - x, high - y))
    return LEFT + x, TOP + y, LEFT + x + reach, TOP + y + reach


def _straight(cut_from: Blank, wide: float, step: float) -> Iterator[Cut]:
    for number in range(1, len(cut_from.strips.lengths) + 1):
        y = TOP + number * step
        yield number, (LEFT, y, LEFT + wide, y), (LEFT + wide / 2, y - step / 2)


def told(cut_from: Blank, system: System, before: int = 0) -> Iterator[tuple[str, str]]:
    """Numbers and the length of each strip, those alike together: ("1 to 4", "70.7 cm"). ``before`` are the
    strips of other pieces, numbered first."""
    number = before
    for text, group in groupby(rounded(nm, Rounding.PANEL, system) for nm in cut_from.strips.lengths):
        count = len(list(group))
        first, last = number + 1, number + count
        number = last
        join = " and " if count == 2 else " to "
        yield (f"{first}{join}{last}" if count > 1 else str(first)), text


@dataclass(frozen=True, slots=True)
class DrawnBlank:
    """A blank or piece with its drawing, and the lengths of its strips by their numbers. ``title`` is empty
    where there is only one."""

    title: str
    blank: Blank
    drawing: SafeString
    lengths: list[tuple[str, str]]


def blanks_of(plan: Plan, system: System) -> list[tuple[Binding, list[DrawnBlank]]]:
    """Strips of a plan with each blank they are cut from; with none where they can't be cut. Strips are
    numbered through."""
    return [(strips, list(_drawn(strips, system))) for strips in plan.bindings]


def _drawn(strips: Binding, system: System) -> Iterator[DrawnBlank]:
    before = 0
    for number, cut_from in enumerate(strips.blanks, 1):
        name = f"Piece {number}" if strips.left_over else "Blank"
        count = len(cut_from.strips.lengths)
        title = f"{name} of {strips.fabric}, to scale, with its {count} strips numbered"
        drawing = blank(cut_from, bias=strips.on_the_bias, system=system, title=title, before=before)
        lengths = list(told(cut_from, system, before))
        yield DrawnBlank(name if strips.left_over else "", cut_from, drawing, lengths)
        before += count
