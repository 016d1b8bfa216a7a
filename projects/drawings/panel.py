"""The panel (the flat cloth) to scale, dimensioned like a pattern, its tucks numbered and lettered."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from projects.calc.axis import Axis
from projects.calc.lengths import Rounding, System, rounded
from projects.calc.panels import PanelPlan, SidePlan
from projects.calc.turning import on_the_face

from . import dimension
from .marks import level, look, upright
from .svg import INK, SMALLEST_TEXT, SOFT, Drawing, letter_width, line, rect
from .worked.on_panel import Shown, draw_work, legend

LEFT, TOP, RIGHT, BOTTOM = 92, 78, 20, 52
NARROWEST = 300
FINE = 9.0
"""Stitch lines nearer than this (pixels) are drawn as one fold line; the marks' table has them all."""


@dataclass(frozen=True, slots=True)
class _Frame:
    scale: float
    width: int
    """Shown part of the panel, nm: the whole of it, or its first corner."""
    length: int
    system: System

    def x(self, nm: float) -> float:
        return LEFT + nm * self.scale

    def y(self, nm: float) -> float:
        return TOP + nm * self.scale

    def say(self, nm: int) -> str:
        return rounded(nm, Rounding.PANEL, self.system)


def panel(
    plan: PanelPlan,
    *,
    system: System,
    title: str,
    hand: str = "",
    width: int = 760,
    most_high: int = 900,
    corner: tuple[int, int] | None = None,
    kind: str = "panel",
    trimmed: bool = False,
) -> SafeString:
    """One panel to scale. `hand` is "left", "right" or "". Made for `width` pixels, text 12 px or more.

    `corner` (across, along; nm) shows only that much from the first corner, for a phone. `trimmed` makes the
    drawing no wider than a tall panel needs.
    """
    joins, first = _places(plan), plan.across.near.name
    plan = on_the_face(plan)
    shown = (plan.cut_width, plan.cut_length)
    if corner:
        shown = (min(shown[0], corner[0]), min(shown[1], corner[1]))
    scale = min((width - LEFT - RIGHT) / shown[0], most_high / shown[1])
    frame = _Frame(scale, *shown, system)
    wide = max(NARROWEST, LEFT + shown[0] * scale + RIGHT) if trimmed else width
    drawing = Drawing(wide, TOP + shown[1] * scale + BOTTOM, title, kind)
    drawing.box(frame.x(0), frame.y(0), shown[0] * scale, shown[1] * scale, stroke="none")
    _piece(drawing, frame, plan)
    _tucks(drawing, frame, plan.across, True)
    _tucks(drawing, frame, plan.along, False)
    if plan.work is not None:
        draw_work(drawing, Shown(frame.x, frame.y, frame.scale, frame.width, frame.length), plan.work)
    _joins(drawing, frame, joins, plan.work is None)
    _edges(drawing, frame, plan)
    _sizes(drawing, frame, plan)
    _words(drawing, frame, plan, first, hand)
    return drawing.svg()


def _on_panel(side: SidePlan, finished: int) -> int:
    """Where a finished coordinate lies on the cut panel, border included."""
    if side.ratio is not None and side.length:
        return side.border + finished * side.textured // side.length
    return side.border + (side.axis.to_flat(finished) if side.axis else finished)


def _outline(side: SidePlan) -> tuple[int, int]:
    """From where to where the piece with its allowances lies on the panel."""
    near, far = side.near.cut, side.length - side.far.cut
    return _on_panel(side, near), _on_panel(side, far)


def _piece(drawing: Drawing, frame: _Frame, plan: PanelPlan) -> None:
    """The handling border, and the piece that will be cut from the finished panel."""
    if plan.across.border:
        b = plan.across.border
        x1, y1 = min(frame.width, plan.cut_width - b), min(frame.length, plan.cut_length - b)
        box = rect(frame.x(b), frame.y(b), frame.x(x1), frame.y(y1))
        drawing.path([box], fill="none", stroke=SOFT, stroke_width=1, stroke_dasharray="2 4")
    (x0, x1), (y0, y1) = _outline(plan.across), _outline(plan.along)
    right, foot = frame.x(min(x1, frame.width)), frame.y(min(y1, frame.length))
    left, top = frame.x(x0), frame.y(y0)
    drawing.path([rect(left, top, right, foot)], fill="#fff", fill_opacity=0.6, stroke="none")
    edges = [line(left, top, right, top), line(left, top, left, foot)]
    edges += [line(right, top, right, foot)] if x1 <= frame.width else []
    edges += [line(left, foot, right, foot)] if y1 <= frame.length else []
    drawing.path(edges, fill="none", stroke="#b9c0c5", stroke_width=4, stroke_linecap="square")


def _tucks(drawing: Drawing, frame: _Frame, side: SidePlan, is_across: bool) -> None:
    axis = side.axis
    if axis is None or not axis.count:
        return
    extent = frame.width if is_across else frame.length
    folds = _folds(axis, side.border)
    seen = [i for i, fold in enumerate(folds) if fold <= extent]
    for letter in dict.fromkeys(axis.marks[i] for i in seen):
        mine = [i for i in seen if axis.marks[i] == letter]
        _lines(drawing, frame, axis, folds, mine, extent, is_across)
    _numbers(drawing, frame, axis, folds, seen, is_across)


def _folds(axis: Axis, border: int) -> list[int]:
    return [border + a + q // 2 for a, q in zip(axis.starts, axis.take_ups, strict=True)]


def _lines(
    drawing: Drawing,
    frame: _Frame,
    axis: Axis,
    folds: list[int],
    mine: list[int],
    extent: int,
    is_across: bool,
) -> None:
    """Fold and stitch lines of one letter; where they would run together, the fold alone, in its style."""
    at = frame.x if is_across else frame.y
    ends = (frame.y(0), frame.y(frame.length)) if is_across else (frame.x(0), frame.x(frame.width))
    draw = upright if is_across else level
    mark = look(axis.marks[mine[0]])
    depth = max(axis.depths[i] for i in mine)
    if 2 * depth * frame.scale < FINE:
        draw(drawing, mark, [at(folds[i]) for i in mine], *ends, 1.5)
        return
    stitches = [
        f for i in mine for f in (folds[i] - axis.depths[i], folds[i] + axis.depths[i]) if f <= extent
    ]
    draw(drawing, mark, [at(x) for x in stitches], *ends, 1.3)
    thin = [
        line(at(folds[i]), ends[0], at(folds[i]), ends[1])
        if is_across
        else line(ends[0], at(folds[i]), ends[1], at(folds[i]))
        for i in mine
    ]
    drawing.path(thin, fill="none", stroke=mark.colour, stroke_width=0.6)


def _numbers(
    drawing: Drawing, frame: _Frame, axis: Axis, folds: list[int], seen: list[int], is_across: bool
) -> None:
    """Number and letter at the first edge, as many as there is room for; the first and the last always."""
    at = frame.x if is_across else frame.y
    size = SMALLEST_TEXT
    words = {i: f"{axis.numbers[i]}{axis.marks[i]}" for i in seen}
    room = [letter_width(words[i], size) + 6 if is_across else size + 4 for i in seen]
    chosen = spread([at(folds[i]) for i in seen], room)
    for place in chosen:
        i = seen[place]
        fill = look(axis.marks[i]).colour
        x, y, anchor = (at(folds[i]), TOP - 7, "middle") if is_across else (LEFT - 7, at(folds[i]) + 4, "end")
        drawing.text(x, y, words[i], font_size=size, font_weight=600, text_anchor=anchor, fill=fill)


def spread(places: list[float], room: list[float]) -> list[int]:
    """Which of `places` get words that need `room` each: the last one, and before it every one that fits."""
    if not places:
        return []
    last = len(places) - 1
    limit = places[last] - room[last] / 2
    chosen, free = [], float("-inf")
    for i in range(last):
        half = room[i] / 2
        if places[i] - half >= free and places[i] + half <= limit:
            chosen.append(i)
            free = places[i] + half
    return [*chosen, last]


def _places(plan: PanelPlan) -> dict[int, int]:
    """Where widths are joined, nm from the left as the panel lies face up, by the tuck that hides it."""
    joins = plan.joins.joins if plan.joins else ()
    return {j.number: plan.cut_width - j.position if plan.mirrored else j.position for j in joins}


def _joins(drawing: Drawing, frame: _Frame, joins: dict[int, int], in_folds: bool) -> None:
    for number, position in joins.items():
        if position <= frame.width:
            x = frame.x(position)
            drawing.path(
                [line(x, frame.y(0) - 3, x, frame.y(frame.length))], fill="none", stroke=INK, stroke_width=3
            )
            drawing.text_over(x + 6, frame.y(frame.length) - 10, f"join in {number}" if in_folds else "join")


def _sizes(drawing: Drawing, frame: _Frame, plan: PanelPlan) -> None:
    right, foot = frame.x(frame.width), frame.y(frame.length)
    whole = frame.width == plan.cut_width and frame.length == plan.cut_length
    if whole:
        dimension.across(drawing, frame.x(0), right, 26, f"cut {frame.say(plan.cut_width)}")
        dimension.along(drawing, 26, frame.y(0), foot, f"cut {frame.say(plan.cut_length)}")
        return
    drawing.text(4, 15, f"cut {frame.say(plan.cut_width)} across, {frame.say(plan.cut_length)} along")
    drawing.text(4, 34, "Its top left corner:", fill=SOFT)


def _edges(drawing: Drawing, frame: _Frame, plan: PanelPlan) -> None:
    """The cut edges; where only a corner is shown the cloth goes on, and no edge is drawn."""
    x0, x1, y0, y1 = frame.x(0), frame.x(frame.width), frame.y(0), frame.y(frame.length)
    steps = [line(x0, y0, x1, y0), line(x0, y0, x0, y1)]
    steps += [line(x1, y0, x1, y1)] if frame.width == plan.cut_width else []
    steps += [line(x0, y1, x1, y1)] if frame.length == plan.cut_length else []
    drawing.path(steps, fill="none", stroke=INK, stroke_width=1.8)


def _words(drawing: Drawing, frame: _Frame, plan: PanelPlan, first: str, hand: str) -> None:
    """First edges, the hand of a pair, the grain."""
    foot = frame.y(frame.length)
    drawing.text(frame.x(0), 54, f"first edge: {first}, top", font_size=SMALLEST_TEXT, fill=SOFT)
    for number, words in enumerate(_legend(plan, frame)):
        drawing.text(frame.x(0), foot + 20 + 18 * number, words, font_size=SMALLEST_TEXT, fill=SOFT)
    if hand:
        drawing.text(
            frame.x(frame.width) - 4, 50, hand.upper(), text_anchor="end", font_size=18, font_weight=600
        )
    x = frame.x(frame.width) - 68
    high = min(120.0, (foot - TOP) * 0.5)
    if high >= 40:
        dimension.grain(drawing, x, foot - 16 - high, foot - 16)


def _legend(plan: PanelPlan, frame: _Frame) -> list[str]:
    """Two lines at the most."""
    band = "Pale band: the piece’s cut edge"
    border = "Dotted: handling border"
    if plan.work is not None:
        ends = f"{band}; {border[0].lower()}{border[1:]}" if plan.across.border else band
        return [legend(plan.work, frame.scale), ends]
    return [band, border] if plan.across.border else [band]
