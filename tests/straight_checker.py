"""Independent judges of straight cuts: one cuts a lay apart by trying every line, one follows given steps.

No code is shared with the planner.
"""

from __future__ import annotations

from projects.calc.lay import Lay, LayRequest, Placement
from projects.calc.lay.cuts import Cut, Remnant

Box = tuple[int, int, int, int]
Cell = tuple[int, int]
Cells = frozenset[Cell]


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
        own = [c for c in cuts if c.on == on]
        wrong += _Table(lay, request, on, own).follow(own)
    return wrong


class _Table:
    """One cloth as cells between all edges there are: what is still on the table, in connected pieces.

    Where the gap is a blade's, what lies within it beside a cut is dust, but for panels and remnants.
    """

    def __init__(self, lay: Lay, request: LayRequest, on: str, cuts: list[Cut]) -> None:
        self.panels = {(p.name, p.copy): box_of(p) for p in lay.placements if p.on == on}
        whole = [(length.width, length.length) for length in request.lengths if length.name == on]
        width, length = whole[0] if whole else (request.width, max(b[3] for b in self.panels.values()))
        self.roll = not whole
        self.blade = request.gap if request.gap <= 5_000_000 else 0
        kept = [*self.panels.values(), *(box_of(left) for cut in cuts for left in cut.leaves)]
        boxes = [(0, 0, width, length), *kept]
        boxes += [(p.x, p.y, p.x + p.width, p.y + p.length) for c in cuts for p in (c.part, *c.gone)]
        for c in cuts:
            boxes += [(c.x1 - by, c.y1 - by, c.x2 + by, c.y2 + by) for by in {-self.blade, 0, self.blade}]
        self.xs = sorted({x for box in boxes for x in (box[0], box[2])})
        self.ys = sorted({y for box in boxes for y in (box[1], box[3])})
        self.across = {x: i for i, x in enumerate(self.xs)}
        self.along = {y: i for i, y in enumerate(self.ys)}
        self.kept = frozenset[Cell]().union(*map(self.cells, kept))
        self.dust: set[Cell] = set()
        self.pieces: list[Cells] = [self.cells((0, 0, width, length))]

    def cells(self, box: Box) -> Cells:
        a, b, c, d = (self.across[box[0]], self.along[box[1]], self.across[box[2]], self.along[box[3]])
        return frozenset((x, y) for x in range(a, c) for y in range(b, d))

    def box(self, cells: Cells) -> Box:
        xs, ys = [x for x, _ in cells], [y for _, y in cells]
        return self.xs[min(xs)], self.ys[min(ys)], self.xs[max(xs) + 1], self.ys[max(ys) + 1]

    def follow(self, cuts: list[Cut]) -> list[str]:
        wrong = []
        for cut in cuts:
            wrong += self.take(cut)
        if self.panels:
            wrong.append(f"not cut free: {sorted(self.panels)}")
        return wrong

    def take(self, cut: Cut) -> list[str]:
        part = (cut.part.x, cut.part.y, cut.part.x + cut.part.width, cut.part.y + cut.part.length)
        here = [piece for piece in self.pieces if piece <= self.cells(part)]
        cloth = frozenset[Cell]().union(*here)
        gone = [self.cells((g.x, g.y, g.x + g.width, g.y + g.length)) for g in cut.gone]
        if not cloth or cloth != self.cells(part).difference(self.dust, *gone):
            return [f"{cut.number} cuts a piece that isn't there"]
        if not self.blade and self.box(cloth) != part:
            return [f"{cut.number} cuts a piece that is smaller"]
        self.pieces = [piece for piece in self.pieces if piece not in here]
        line = (cut.x1, cut.y1, cut.x2, cut.y2)
        wrong = self.straight(cut, cloth, line) if cut.straight else self.out(cut, cloth, line)
        for name in cut.frees:
            box = self.panels.pop(name, None)
            if box is None or self.cells(box) not in self.pieces:
                wrong.append(f"{cut.number} frees {name}, which isn't cut free")
            else:
                self.pieces.remove(self.cells(box))
        for name, box in self.panels.items():
            if not self.blade and self.cells(box) in self.pieces:
                wrong.append(f"{cut.number} frees {name} and doesn't say so")
        if any(self.cells(box_of(left)) not in self.pieces for left in cut.leaves):
            wrong.append(f"{cut.number} leaves what is not there")
        return wrong

    def straight(self, cut: Cut, cloth: Cells, line: Box) -> list[str]:
        """Cut along a line, begun and ended at edges of the cloth there is, or in a blade's dust."""
        level = line[1] == line[3]
        at = self.along[line[1]] if level else self.across[line[0]]
        before = frozenset(cell for cell in cloth if cell[level] < at)
        after = cloth - before
        wrong = []
        if any(crosses(line, box) for box in self.panels.values()):
            wrong.append(f"{cut.number} cuts through a panel")
        both = sorted(x[1 - level] for x in before if x[level] == at - 1 and _beyond(x, level) in after)
        if self.blade:
            wrong += [] if before or after else [f"{cut.number} cuts where there is no cloth"]
        elif both:
            edges, ends = (self.xs, (line[0], line[2])) if level else (self.ys, (line[1], line[3]))
            if ends != (edges[both[0]], edges[both[-1] + 1]):
                wrong.append(f"{cut.number} doesn't run from edge to edge")
        elif after or self.box(cloth)[3] != line[3] or not (self.roll or len(cut.frees) == 1):
            wrong.append(f"{cut.number} cuts where there is no cloth")
        self.part(before, after, line=line)
        return wrong

    def out(self, cut: Cut, cloth: Cells, line: Box) -> list[str]:
        """Cut round a panel, or a remnant."""
        out = self.cells(line)
        self.part(out, cloth - out, line=line)
        if not out <= cloth:
            return [f"{cut.number} cuts out what isn't there"]
        return [] if cut.frees or cut.leaves else [f"{cut.number} goes round nothing"]

    def part(self, *sides: Cells, line: Box) -> None:
        """New pieces, less the dust beside the cut."""
        if self.blade:
            by = self.blade
            beside = (line[0] - by, line[1] - by, line[2] + by, line[3] + by)
            self.dust |= self.cells(beside) - self.kept
        for side in sides:
            self.pieces += connected(side - self.dust)


def _beyond(cell: Cell, level: bool) -> Cell:
    return (cell[0], cell[1] + 1) if level else (cell[0] + 1, cell[1])


def connected(cells: Cells) -> list[Cells]:
    """Cells in groups that hang together."""
    left, found = set(cells), []
    while left:
        waiting = [left.pop()]
        group = set(waiting)
        while waiting:
            x, y = waiting.pop()
            for cell in ((x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)):
                if cell in left:
                    left.remove(cell)
                    group.add(cell)
                    waiting.append(cell)
        found.append(frozenset(group))
    return found


def crosses(line: Box, box: Box) -> bool:
    """Whether a line across or along runs through the inside of a box."""
    a, b, c, d = line
    if b == d:
        return box[1] < b < box[3] and a < box[2] and box[0] < c
    return box[0] < a < box[2] and b < box[3] and box[1] < d
