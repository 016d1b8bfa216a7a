"""English and honeycomb smocking: the dots, how the thread goes from one to the next, and what it makes."""

from __future__ import annotations

from django.utils.safestring import SafeString

from projects.calc.ratio import ByRatio
from projects.drawings.svg import INK, SOFT, Drawing, line, number

from .cloths import PULL, THREAD, Cloths, Look, fit, row_number

DOT = 2.6


def english(recipe: ByRatio, look: Look) -> SafeString:
    """Rows of dots, each gathered on its own thread; all rows drawn up together make tubes."""
    cloths = _cloths(recipe, look, (8, 2) if look.phone else (24, 3), even=False)
    drawing = cloths.begin()
    columns, rows = _counts(recipe, cloths)
    ys = [cloths.y(_middle(j, recipe.row)) for j in range(rows)]
    for j, y in enumerate(ys):
        _gathered(drawing, cloths, recipe, y, columns)
        row_number(drawing, y, str(j + 1))
    _dots(drawing, cloths, recipe, columns, rows)
    _tubes(drawing, cloths, recipe, columns, rows)
    return cloths.end(drawing).svg()


def honeycomb(recipe: ByRatio, look: Look) -> SafeString:
    """Two dots drawn together, then two in the row below, set on by one; numbered in the order sewn."""
    cloths = _cloths(recipe, look, (6, 2) if look.phone else (16, 4), even=True)
    drawing = cloths.begin()
    columns, rows = _counts(recipe, cloths)
    for top in range(0, rows - 1, 2):
        _pairs(drawing, cloths, recipe, columns, top)
    _dots(drawing, cloths, recipe, columns, rows)
    for j in range(rows):
        row_number(drawing, cloths.y(_middle(j, recipe.row)), str(j + 1))
    _cells(drawing, cloths, recipe, columns, rows)
    return cloths.end(drawing).svg()


def _cloths(recipe: ByRatio, look: Look, wished: tuple[int, int], even: bool) -> Cloths:
    found = fit(look, (recipe.spacing, recipe.row), wished, even)
    return Cloths(look, found.scale, found.columns * recipe.spacing, found.rows * recipe.row)


def _counts(recipe: ByRatio, cloths: Cloths) -> tuple[int, int]:
    return round(cloths.wide / recipe.spacing), round(cloths.high / recipe.row)


def _middle(place: int, pitch: int) -> float:
    """Dots stand half a space in from the shown edge (nm)."""
    return (place + 0.5) * pitch


def _dots(drawing: Drawing, cloths: Cloths, recipe: ByRatio, columns: int, rows: int) -> None:
    """One path for all of them: a line of no length with round ends is a dot."""
    steps = [
        f"M{number(cloths.x(_middle(i, recipe.spacing)))} {number(cloths.y(_middle(j, recipe.row)))}h0"
        for j in range(rows)
        for i in range(columns)
    ]
    drawing.path(steps, fill="none", stroke=INK, stroke_width=2 * DOT, stroke_linecap="round")


def _gathered(drawing: Drawing, cloths: Cloths, recipe: ByRatio, y: float, columns: int) -> None:
    """The gathering thread of one row, behind the cloth between dots, with a knot at the right."""
    xs = [cloths.x(_middle(i, recipe.spacing)) for i in range(columns)]
    bite = min(5.0, 0.2 * recipe.spacing * cloths.scale)
    between = [line(a + bite, y, b - bite, y) for a, b in zip(xs, xs[1:], strict=False)]
    ends = [line(cloths.x(0) - 5, y, xs[0] - bite, y), line(xs[-1] + bite, y, cloths.x(cloths.wide) + 4, y)]
    drawing.path([*between, *ends], fill="none", stroke=THREAD, stroke_width=1.4)
    knot = f"M{number(cloths.x(cloths.wide) + 5)} {number(y)}h0"
    drawing.path([knot], fill="none", stroke=THREAD, stroke_width=7, stroke_linecap="round")


def _tubes(drawing: Drawing, cloths: Cloths, recipe: ByRatio, columns: int, rows: int) -> None:
    """The tubes standing side by side, the threads still in, one row of stitches beginning to hold them."""
    top, foot = cloths.done_top, cloths.done_foot
    valleys = [cloths.done_x(i * recipe.spacing) for i in range(1, columns)]
    drawing.path([line(x, top, x, foot) for x in valleys], fill="none", stroke=SOFT, stroke_width=1)
    for j in range(rows):
        y = cloths.done_y(_middle(j, recipe.row))
        drawing.path(
            [line(cloths.done_left - 6, y, cloths.done_right + 6, y)],
            fill="none",
            stroke=THREAD,
            stroke_width=1.4,
            stroke_dasharray="3 3",
        )


def _pairs(drawing: Drawing, cloths: Cloths, recipe: ByRatio, columns: int, top: int) -> None:
    """Joins of two rows worked together, the thread carried between them, and the order in figures."""
    ys = [cloths.y(_middle(top + j, recipe.row)) for j in (0, 1)]
    xs = [cloths.x(_middle(i, recipe.spacing)) for i in range(columns)]
    joins = [line(xs[k], ys[k % 2], xs[k + 1], ys[k % 2]) for k in range(columns - 1)]
    carried = [line(xs[k], ys[0], xs[k], ys[1]) for k in range(1, columns - 1)]
    drawing.path(carried, fill="none", stroke=THREAD, stroke_width=1.2, stroke_dasharray="4 4")
    drawing.path(joins, fill="none", stroke=PULL, stroke_width=4)
    if xs[1] - xs[0] < 18:
        return
    for k in range(columns - 1):
        drawing.text_over(
            (xs[k] + xs[k + 1]) / 2, ys[k % 2] - 7, str(k + 1), text_anchor="middle", font_weight=600
        )


def _cells(drawing: Drawing, cloths: Cloths, recipe: ByRatio, columns: int, rows: int) -> None:
    """Each fold leans to its partner of the row: pairs in odd rows, set on by one in even ones."""
    folds = (_fold(cloths, recipe, i, columns, rows) for i in range(columns))
    drawing.path(folds, fill="none", stroke=SOFT, stroke_width=1.3, stroke_linejoin="round")
    tight = []
    for j in range(rows):
        y = cloths.done_y(_middle(j, recipe.row))
        firsts = range(j % 2, columns - 1, 2)
        tight += [_knot((cloths.done_x((i + 1) * recipe.spacing), y)) for i in firsts]
    drawing.path(tight, fill="none", stroke=PULL, stroke_width=5, stroke_linecap="round")


def _knot(at: tuple[float, float]) -> str:
    return f"M{number(at[0])} {number(at[1])}h0"


def _fold(cloths: Cloths, recipe: ByRatio, i: int, columns: int, rows: int) -> str:
    points = [(_middle(i, recipe.spacing), 0.0)]
    for j in range(rows):
        to_right = (i + j) % 2 == 0
        alone = (i == columns - 1 and to_right) or (i == 0 and not to_right)
        lean = 0.0 if alone else (0.42 if to_right else -0.42)
        points.append(((i + 0.5 + lean) * recipe.spacing, _middle(j, recipe.row)))
    points.append((_middle(i, recipe.spacing), cloths.high))
    return "M" + "L".join(f"{number(cloths.done_x(x))} {number(cloths.done_y(y))}" for x, y in points)
