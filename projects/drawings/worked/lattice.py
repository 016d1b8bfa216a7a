"""Lattice smocking: which corners of the squares are drawn together, and in what order.

Columns of squares are worked in pairs: in the first a diagonal down to the left in every other square, in the
second a diagonal down to the right in the squares between. Each corner is taken once.
"""

from __future__ import annotations

from django.utils.safestring import SafeString

from projects.calc.ratio import ByRatio
from projects.calc.ratio_work import stitch_places
from projects.drawings.svg import EDGE, SOFT, Drawing, line, number

from .cloths import PULL, THREAD, Cloths, Look, fit, row_number

Corner = tuple[int, int]
STITCHES_SHOWN = 6


def lattice(recipe: ByRatio, look: Look) -> SafeString:
    """The squares with both sets of diagonals, the first pair of columns numbered as it is sewn."""
    found = fit(look, (recipe.spacing, recipe.spacing), (4, 4) if look.phone else (14, 4), even=True)
    side = recipe.spacing
    cloths = Cloths(look, found.scale, found.columns * side, found.rows * side)
    drawing = cloths.begin()
    _squares(drawing, cloths, side, found.columns, found.rows)
    _slack(drawing, cloths, side, found.columns, found.rows)
    _diagonals(drawing, cloths, side, found.columns, found.rows)
    _order(drawing, cloths, side, found.rows)
    for row in range(found.rows):
        row_number(drawing, cloths.y((row + 0.5) * side), str(row + 1))
    _finished(drawing, cloths, side, found.columns, found.rows)
    return cloths.end(drawing).svg()


def joined(columns: int, rows: int) -> list[tuple[Corner, Corner]]:
    """Corners (column, row) drawn together, pair by pair in the order they are sewn, over so many squares.

    The first corner of each is the one the thread comes to; columns are worked two at a time, from the top.
    """
    places = stitch_places("lattice", rows + 1, columns + 1)
    ordered = sorted((min(c, c + across) // 2, row, c, across) for row, c, _, across in places)
    return [((column, row), (column + across, row + 1)) for _, row, column, across in ordered]


def _squares(drawing: Drawing, cloths: Cloths, side: int, columns: int, rows: int) -> None:
    xs = [cloths.x(i * side) for i in range(columns)]
    upright = [line(x, cloths.y(0), x, cloths.flat_foot) for x in xs]
    right = cloths.x(cloths.wide)
    level = [line(cloths.x(0), cloths.y(j * side), right, cloths.y(j * side)) for j in range(rows)]
    drawing.path([*upright, *level], fill="none", stroke=EDGE, stroke_width=0.8)


def _diagonals(drawing: Drawing, cloths: Cloths, side: int, columns: int, rows: int) -> None:
    """Down to the left whole, down to the right in two thin lines, so that the two sets differ in print."""
    right, left = [], []
    for (a, b), (c, d) in joined(columns, rows):
        ends = (cloths.x(a * side), cloths.y(b * side), cloths.x(c * side), cloths.y(d * side))
        if c < a:
            left.append(line(*ends))
        else:
            right += [line(ends[0] + o, ends[1] - o, ends[2] + o, ends[3] - o) for o in (-1.6, 1.6)]
    drawing.path(left, fill="none", stroke=PULL, stroke_width=4)
    drawing.path(right, fill="none", stroke=PULL, stroke_width=1.5)


def _slack(drawing: Drawing, cloths: Cloths, side: int, columns: int, rows: int) -> None:
    """The thread left loose between one pair and the next, within each pair of columns."""
    steps = []
    pairs = joined(columns, rows)
    for (_, (c, d)), ((a, b), _) in zip(pairs, pairs[1:], strict=False):
        if d == b:
            steps.append(line(cloths.x(c * side), cloths.y(d * side), cloths.x(a * side), cloths.y(b * side)))
    drawing.path(steps, fill="none", stroke=THREAD, stroke_width=2, stroke_dasharray="4 4")


def _order(drawing: Drawing, cloths: Cloths, side: int, rows: int) -> None:
    """Figures beside the corners of the first pair of columns: 1 and 2 drawn together, 3 and 4 ..."""
    corners = [corner for pair in joined(2, rows)[:STITCHES_SHOWN] for corner in pair]
    for step, (column, row) in enumerate(corners, 1):
        below = row < rows and not (column == 1 and row % 2)
        x, y = cloths.x(column * side) + 6, cloths.y(row * side) + (16 if below else -5)
        drawing.text_over(x, y, str(step), font_weight=600)


def _finished(drawing: Drawing, cloths: Cloths, side: int, columns: int, rows: int) -> None:
    """Folds run from knot to knot; the knots, seen from the face, are where corners were drawn together."""
    knots = {(column, row) for column in range(columns) for row in range(rows) if column % 2 == row % 2}

    def at(column: int, row: int) -> tuple[float, float]:
        return cloths.done_x((column + 0.5) * side), cloths.done_y((row + 0.5) * side)

    folds = [
        line(*at(*knot), *at(knot[0] + 1, knot[1] + down))
        for knot in sorted(knots)
        for down in (1, -1)
        if (knot[0] + 1, knot[1] + down) in knots
    ]
    drawing.path(folds, fill="none", stroke=SOFT, stroke_width=1.3)
    steps = [f"M{number(x)} {number(y)}h0" for x, y in (at(*knot) for knot in sorted(knots))]
    drawing.path(steps, fill="none", stroke=PULL, stroke_width=6, stroke_linecap="round")
