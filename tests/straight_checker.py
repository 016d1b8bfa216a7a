"""Independent judges of straight cuts: one cuts a lay apart by trying every line, one follows given steps.

No code is shared with the planner.
"""

from __future__ import annotations

from projects.calc.lay import Lay, LayRequest, Placement
from projects.calc.lay.cuts import Cut, Remnant

Box = tuple[int, int, int, int]


def can_be_cut(panels: list[Placement]) -> bool:
    """Whether edge-to-edge cuts alone part the panels from one another.

    Some line with panels on both sides and none across it must exist, and both sides be cut again. Which one
    is cut first is no matter: a line that parts a lay also parts every side of another line.
    """
    if len(panels) < 2:
        return True
    for at in {p.y + p.length for p in panels}:
        before = [p for p in panels if p.y + p.length <= at]
        after = [p for p in panels if p.y >= at]
        if after and len(before) + len(after) == len(panels):
            return can_be_cut(before) and can_be_cut(after)
    for at in {p.x + p.width for p in panels}:
        before = [p for p in panels if p.x + p.width <= at]
        after = [p for p in panels if p.x >= at]
        if after and len(before) + len(after) == len(panels):
            return can_be_cut(before) and can_be_cut(after)
    return False


def box_of(found: Placement | Remnant) -> Box:
    return found.x, found.y, found.x + found.width, found.y + found.length


def wrong_steps(lay: Lay, request: LayRequest, cuts: tuple[Cut, ...]) -> list[str]:
    """Everything wrong with the steps, by cutting as they say; an empty list for good ones."""
    wrong = (
        [] if [c.number for c in cuts] == list(range(1, len(cuts) + 1)) else ["the numbers don't run from 1"]
    )
    for on in {p.on for p in lay.placements}:
        wrong += _Table(lay, request, on).follow([c for c in cuts if c.on == on])
    return wrong


class _Table:
    """Pieces of one cloth as they lie on the table, and the panels not free yet."""

    def __init__(self, lay: Lay, request: LayRequest, on: str) -> None:
        self.panels = {(p.name, p.copy): box_of(p) for p in lay.placements if p.on == on}
        whole = [(length.width, length.length) for length in request.lengths if length.name == on]
        width, length = whole[0] if whole else (request.width, max(b[3] for b in self.panels.values()))
        self.roll = not whole
        self.pieces: list[Box] = [(0, 0, width, length)]

    def follow(self, cuts: list[Cut]) -> list[str]:
        wrong = []
        for cut in cuts:
            wrong += self.take(cut)
        if self.panels and not (len(self.panels) == 1 and list(self.panels.values()) == self.pieces):
            wrong.append(f"not cut free: {sorted(self.panels)}")
        return wrong

    def take(self, cut: Cut) -> list[str]:
        part = (cut.part.x, cut.part.y, cut.part.x + cut.part.width, cut.part.y + cut.part.length)
        if part not in self.pieces:
            return [f"{cut.number} cuts a piece that isn't there"]
        line = (cut.x1, cut.y1, cut.x2, cut.y2)
        new = self.cut_straight(part, line) if cut.straight else [line]
        if new is None:
            return [f"{cut.number} doesn't run from edge to edge"]
        wrong = []
        if cut.straight:
            if any(crosses(line, box) for box in self.panels.values()):
                wrong.append(f"{cut.number} cuts through a panel")
            self.pieces.remove(part)
            self.pieces += new
        free = {name for name, box in self.panels.items() if box in new}
        if free != set(cut.frees) or len(cut.frees) != len(free):
            wrong.append(f"{cut.number} frees {sorted(free)}, not {sorted(cut.frees)}")
        for name in free:
            del self.panels[name]
        if not cut.straight and not free and not cut.leaves:
            wrong.append(f"{cut.number} goes round nothing")
        wrong += [f"{cut.number} leaves what is not there" for left in cut.leaves if box_of(left) not in new]
        return wrong

    def cut_straight(self, part: Box, line: Box) -> list[Box] | None:
        x1, y1, x2, y2 = part
        a, b, c, d = line
        whole = self.roll or part in self.panels.values()  # a step that cuts nothing: all of it is taken
        if b == d and (a, c) == (x1, x2) and (y1 < b < y2 or (whole and b == y2)):
            return [(x1, y1, x2, b), *([(x1, b, x2, y2)] if b < y2 else [])]
        if a == c and (b, d) == (y1, y2) and x1 < a < x2:
            return [(x1, y1, a, y2), (a, y1, x2, y2)]
        return None


def crosses(line: Box, box: Box) -> bool:
    """Whether a line across or along runs through the inside of a box."""
    a, b, c, d = line
    if b == d:
        return box[1] < b < box[3] and a < box[2] and box[0] < c
    return box[0] < a < box[2] and b < box[3] and box[1] < d
