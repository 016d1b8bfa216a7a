"""The cloth strip: flat cloth above, finished below, each tuck closing to its seam."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from projects.calc.axis import Axis
from projects.calc.lengths import System, about

from .marks import MarkLook, look, upright
from .svg import INK, Drawing, line, polygon, rect

LETTERS, CLOTH_HIGH, FALL = 24, 60, 78
MOST_DRAWN = 400


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the two cloths lie (pixels) and what a nanometre is worth."""

    left: float
    finished_left: float
    scale: float
    top: float = LETTERS + 8

    @property
    def flat_bottom(self) -> float:
        return self.top + CLOTH_HIGH

    @property
    def finished_top(self) -> float:
        return self.flat_bottom + FALL

    @property
    def bottom(self) -> float:
        return self.finished_top + CLOTH_HIGH

    def flat(self, nm: int) -> float:
        return self.left + nm * self.scale

    def finished(self, nm: int) -> float:
        return self.finished_left + nm * self.scale


def strip(axis: Axis, *, system: System, title: str, width: int = 976, kind: str = "strip") -> SafeString:
    """The signature drawing of one direction, to scale. `axis` is as long as what is to be shown.

    Every mark has one path per line style, its letter over the fold where there is room for it.
    """
    scale = (width - 20) / axis.flat
    frame = _Frame(10, 10 + axis.take_up * scale / 2, scale)
    drawing = Drawing(width, frame.bottom + 14, title, kind)
    drawing.box(frame.left, frame.top, axis.flat * scale, CLOTH_HIGH)
    drawing.box(frame.finished_left, frame.finished_top, axis.length * scale, CLOTH_HIGH)
    for letter in dict.fromkeys(axis.marks):
        _draw_mark(drawing, frame, axis, look(letter))
    _letters(drawing, frame, axis)
    _sizes(drawing, frame, axis, system)
    return drawing.svg()


def _draw_mark(drawing: Drawing, frame: _Frame, axis: Axis, mark: MarkLook) -> None:
    chosen = [i for i, letter in enumerate(axis.marks) if letter == mark.letter][:MOST_DRAWN]
    top, bottom = frame.top, frame.flat_bottom
    spans = [_span(frame, axis, i) for i in chosen]
    covers = [_cover(frame, axis, i) for i in chosen]
    seams = [frame.finished(axis.seams[i]) for i in chosen]
    tint = {"fill": mark.colour, "stroke": "none"}
    drawing.path([rect(a, top, b, bottom) for a, b in spans], fill_opacity=0.12, **tint)
    drawing.path(
        [
            polygon((a, bottom), (b, bottom), (x, frame.finished_top))
            for (a, b), x in zip(spans, seams, strict=True)
        ],
        fill_opacity=0.12,
        **tint,
    )
    drawing.path([rect(a, frame.finished_top, b, frame.bottom) for a, b in covers], fill_opacity=0.3, **tint)
    thin = {"fill": "none", "stroke": mark.colour, "stroke_width": 1}
    drawing.path([line(x, top - 6, x, bottom) for x in _folds(frame, axis, chosen)], **thin)
    drawing.path(
        [line(x, frame.finished_top, x, frame.bottom) for _, x in covers], stroke_opacity=0.7, **thin
    )
    upright(drawing, mark, [x for span in _stitches(frame, axis, chosen) for x in span], top, bottom)
    upright(drawing, mark, seams, frame.finished_top, frame.bottom)


def _span(frame: _Frame, axis: Axis, i: int) -> tuple[float, float]:
    start = axis.starts[i]
    return frame.flat(start), frame.flat(start + axis.take_ups[i])


def _cover(frame: _Frame, axis: Axis, i: int) -> tuple[float, float]:
    start, end = axis.cover_starts[i], axis.cover_ends[i]
    return frame.finished(max(0, start)), frame.finished(min(axis.length, end))


def _folds(frame: _Frame, axis: Axis, chosen: list[int]) -> list[float]:
    return [frame.flat(axis.starts[i] + axis.take_ups[i] // 2) for i in chosen]


def _stitches(frame: _Frame, axis: Axis, chosen: list[int]) -> list[tuple[float, float]]:
    """Stitch lines lie a depth on each side of the fold; what the cloth adds is never drawn."""
    return [
        (x - axis.depths[i] * frame.scale, x + axis.depths[i] * frame.scale)
        for i, x in zip(chosen, _folds(frame, axis, chosen), strict=True)
    ]


def _letters(drawing: Drawing, frame: _Frame, axis: Axis) -> None:
    """Letters over the folds, left out where two would run into one another."""
    free = 0.0
    for i, x in enumerate(_folds(frame, axis, list(range(min(axis.count, MOST_DRAWN))))):
        letter = axis.marks[i]
        half = 6 + 4 * (len(letter) - 1)
        if letter and x - half >= free:
            drawing.text(
                x, LETTERS - 4, letter, text_anchor="middle", font_weight=600, fill=look(letter).colour
            )
            free = x + half + 2


def _sizes(drawing: Drawing, frame: _Frame, axis: Axis, system: System) -> None:
    drawing.text_over(frame.left, frame.flat_bottom + 19, f"flat {about(axis.flat, system)}", fill=INK)
    room = frame.finished_left
    words = f"finished {about(axis.length, system)}"
    drawing.text_over(min(room, drawing.width - 150), frame.finished_top - 8, words)
