"""Gathers and shirring: rows of stitches across the cloth, drawn up on their threads or by their elastic."""

from __future__ import annotations

from django.utils.safestring import SafeString

from projects.calc.lengths import System
from projects.calc.ratio import ByRatio
from projects.drawings.svg import INK, SOFT, Drawing, line, number

from .cloths import MARGIN_LEFT, MARGIN_RIGHT, THREAD, Cloths, Look, row_number

ROW_APART = 13.0
"""Pixels between rows of gathering stitches, which lie in the seam allowance; only across is to scale."""


def gathers(recipe: ByRatio, look: Look) -> SafeString:
    """Rows of long stitches at the top edge, pulled up from their loose ends; the seam lies between them."""
    wide = 400_000_000 if look.system is System.METRIC else 406_400_000
    wide = wide // 4 if look.phone else wide
    scale = (look.width - MARGIN_LEFT - MARGIN_RIGHT) / wide
    high = (96 + ROW_APART * recipe.rows) / scale * look.along
    cloths = Cloths(look, scale, wide, high)
    drawing = cloths.begin()
    _long_stitches(drawing, cloths, recipe.rows)
    _folds(drawing, cloths, recipe.rows)
    return cloths.end(drawing).svg()


def _row_ys(rows: int, top: float) -> list[float]:
    return [top + 14 + ROW_APART * j for j in range(rows)]


def _long_stitches(drawing: Drawing, cloths: Cloths, rows: int) -> None:
    left, right = cloths.x(0), cloths.x(cloths.wide)
    ys = _row_ys(rows, cloths.y(0))
    stitches = [line(left + 3, y, right + 6, y) for y in ys]
    drawing.path(stitches, fill="none", stroke=THREAD, stroke_width=2, stroke_dasharray="9 6")
    arrows = [f"M{number(left - 4)} {number(y)}h-14m5-4l-5 4 5 4" for y in ys]
    drawing.path(arrows, fill="none", stroke=THREAD, stroke_width=1.4)
    seam = ys[0] - 6 if rows < 2 else (ys[0] + ys[1]) / 2
    drawing.path([line(left, seam, right, seam)], fill="none", stroke=INK, stroke_width=1)


def _folds(drawing: Drawing, cloths: Cloths, rows: int) -> None:
    """Folds fall from the rows, close together where the ratio is high, and open out below."""
    left, right, top, foot = cloths.done_left, cloths.done_right, cloths.done_top, cloths.done_foot
    pitch = max(3.0, 16.0 / cloths.look.across)
    count = max(2, int((right - left) / pitch))
    start = _row_ys(rows, top)[-1]
    falls = []
    for i in range(1, count):
        x, lean = left + i * (right - left) / count, (i - count / 2) / count * 6
        reach = (0.95, 0.55, 0.8, 0.4)[i % 4] * (foot - start)
        falls.append(
            f"M{number(x)} {number(top + 4)}V{number(start)}"
            f"q{number(lean)} {number(reach / 2)} {number(lean * 1.6)} {number(reach)}"
        )
    drawing.path(falls, fill="none", stroke=SOFT, stroke_width=1)
    ys = _row_ys(rows, top)
    drawing.path(
        [line(left - 8, y, right + 4, y) for y in ys],
        fill="none",
        stroke=THREAD,
        stroke_width=1.6,
        stroke_dasharray="3 3",
    )


def shirring(recipe: ByRatio, look: Look) -> SafeString:
    """Rows of elastic the whole width, as far apart as the recipe says, and the cloth they draw up."""
    rows = 3 if look.phone else 5
    wide_room, high_room = look.room
    scale = high_room * 0.8 / (rows * recipe.row)
    wide = _whole(wide_room / scale, look.system)
    cloths = Cloths(look, scale, wide, rows * recipe.row)
    drawing = cloths.begin()
    for j in range(rows):
        y = cloths.y((j + 0.5) * recipe.row)
        drawing.path([_zigzag(cloths.x(0), cloths.x(wide), y)], fill="none", stroke=THREAD, stroke_width=1.6)
        row_number(drawing, y, str(j + 1))
        done = cloths.done_y((j + 0.5) * recipe.row)
        drawing.path(
            [_zigzag(cloths.done_left, cloths.done_right, done, 4)],
            fill="none",
            stroke=THREAD,
            stroke_width=1.6,
        )
    _puffs(drawing, cloths, recipe, rows)
    return cloths.end(drawing).svg()


def _whole(nm: float, system: System) -> float:
    """In whole centimetres or inches where there are some, so that it reads well."""
    step = 10_000_000 if system is System.METRIC else 25_400_000
    return nm // step * step if nm > 3 * step else nm


def _zigzag(left: float, right: float, y: float, step: float = 8) -> str:
    """Elastic as it is drawn on patterns: a fine zigzag."""
    count = max(1, int((right - left) / step))
    teeth = "".join(f"l{number(step / 2)} -4l{number(step / 2)} 4" for _ in range(count))
    return f"M{number(left)} {number(y + 2)}{teeth}"


def _puffs(drawing: Drawing, cloths: Cloths, recipe: ByRatio, rows: int) -> None:
    """Short folds between the rows of elastic."""
    left, right = cloths.done_left, cloths.done_right
    pitch = max(5.0, 18.0 / cloths.look.across)
    count = int((right - left) / pitch)
    folds = []
    for j in range(rows + 1):
        top = cloths.done_y(max(0.0, (j - 0.5) * recipe.row)) + 4
        foot = cloths.done_y(min(rows * recipe.row, (j + 0.5) * recipe.row)) - 6
        if foot - top < 6:
            continue
        folds += [
            line(left + (i + 0.5 * (j % 2)) * pitch, top, left + (i + 0.5 * (j % 2)) * pitch, foot)
            for i in range(1, count)
        ]
    drawing.path(folds, fill="none", stroke=SOFT, stroke_width=0.8)
