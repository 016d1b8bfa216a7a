"""How much there is to mark and to sew on cloth worked by ratio, counted from its flat size.

Dots = (floor(width / spacing) + 1) x (floor(depth / row) + 1) over the flat cloth, quilting metres = area /
spacing for each set of lines. Marks are centred, so that what is left over is the same at both ends. Lengths
whole nm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isqrt
from typing import Any, Final

from projects.calc.ratio import ByRatio
from projects.calc.ratio_work import Marks, RatioWork
from projects.calc.units import half_up

GATHERING_APART: Final = 6_000_000
"""Rows of gathering stitches apart, half of them on either side of the seam line; a starting value, nm."""


@dataclass(frozen=True, slots=True)
class FlatCloth:
    """Cloth to be worked: flat and finished extents (border excluded), the border at each end, and where the
    seam line lies from the first edges on the flat cloth (border excluded). All nm."""

    width: int
    length: int
    finished_across: int
    finished_along: int
    border: int = 0
    seam_across: int = 0
    seam_along: int = 0


def work_of(recipe: ByRatio, cloth: FlatCloth) -> RatioWork:
    """Everything counted, and where the marks lie."""
    return RatioWork(
        technique=recipe.technique,
        width=cloth.width + 2 * cloth.border,
        length=cloth.length + 2 * cloth.border,
        border=cloth.border,
        finished_across=cloth.finished_across,
        finished_along=cloth.finished_along,
        by_hand=recipe.by_hand,
        **_COUNTED[recipe.technique](recipe, cloth),
    )


def _centred(extent: int, step: int, count: int, border: int) -> Marks:
    return Marks(border + (extent - step * (count - 1)) // 2, step, count)


def _dots(recipe: ByRatio, cloth: FlatCloth) -> dict[str, Any]:
    """Dots to pick up, and the stitches that join them along their rows."""
    columns, rows = cloth.width // recipe.spacing + 1, cloth.length // recipe.row + 1
    if recipe.technique == "english":
        stitches = rows * (columns - 1)
    else:  # honeycomb: pairs, in every second row between those of the row before
        stitches = (rows + 1) // 2 * (columns // 2) + rows // 2 * ((columns - 1) // 2)
    across = _centred(cloth.width, recipe.spacing, columns, cloth.border)
    along = _centred(cloth.length, recipe.row, rows, cloth.border)
    return {"stitches": stitches, **_grid(across, along)}


def _grid(across: Marks, along: Marks) -> dict[str, Any]:
    return {
        "dots": across.count * along.count,
        "columns": across.count,
        "rows": along.count,
        "grid_across": across,
        "grid_along": along,
    }


def _lattice(recipe: ByRatio, cloth: FlatCloth) -> dict[str, Any]:
    """A grid of whole squares; of each row of squares every second is drawn up on its diagonal."""
    wide, high = max(1, cloth.width // recipe.spacing), max(1, cloth.length // recipe.spacing)
    across = _centred(cloth.width, recipe.spacing, wide + 1, cloth.border)
    along = _centred(cloth.length, recipe.spacing, high + 1, cloth.border)
    return {
        "squares_across": wide,
        "squares_down": high,
        "stitches": (wide // 2) * high,
        **_grid(across, along),
    }


def _gathers(recipe: ByRatio, cloth: FlatCloth) -> dict[str, Any]:
    """Rows along the first edge of what they draw up, on either side of the seam line."""
    along, across = recipe.ratio_of("along") > 1, recipe.ratio_of("across") > 1
    top = _at_seam(recipe.rows, cloth.seam_along, cloth.border) if across or not along else None
    side = _at_seam(recipe.rows, cloth.seam_across, cloth.border) if along else None
    return _lines(cloth, side, top)


def _at_seam(rows: int, seam: int, border: int) -> Marks:
    first = max(0, seam - GATHERING_APART * (rows - 1) // 2)
    return Marks(border + first, GATHERING_APART, rows)


def _shirring(recipe: ByRatio, cloth: FlatCloth) -> dict[str, Any]:
    """Rows of elastic over the whole length; down the cloth too where it is drawn up along."""
    top = _centred(cloth.length, recipe.row, cloth.length // recipe.row + 1, cloth.border)
    count = cloth.width // recipe.row + 1
    side = _centred(cloth.width, recipe.row, count, cloth.border) if recipe.ratio_of("along") > 1 else None
    return _lines(cloth, side, top)


def _lines(cloth: FlatCloth, down: Marks | None, across: Marks | None) -> dict[str, Any]:
    """Lines running down the cloth, at marks along its top, and across it, at marks along its side."""
    downs, acrosses = (marks.count if marks else 0 for marks in (down, across))
    return {
        "lines": downs + acrosses,
        "columns": downs,
        "rows": acrosses,
        "metres": downs * cloth.length + acrosses * cloth.width,
        "grid_across": down,
        "grid_along": across,
    }


def _quilting(recipe: ByRatio, cloth: FlatCloth) -> dict[str, Any]:
    """One or two sets of lines, straight or at 45 degrees; as many as make the spacing hold on average."""
    wide = _set_of(cloth.width, cloth.width + cloth.length, recipe.spacing, recipe.slant, cloth.border)
    high = (
        _set_of(cloth.length, cloth.width + cloth.length, recipe.row, recipe.slant, cloth.border)
        if recipe.row
        else None
    )
    area = cloth.width * cloth.length
    metres = sum(half_up(area, apart) for apart in (recipe.spacing, recipe.row) if apart)
    found = _lines(cloth, wide, high)
    return {**found, "metres": metres, "slant": recipe.slant}


def _set_of(extent: int, both: int, apart: int, slant: bool, border: int) -> Marks:
    """Lines `apart`; slanted ones cross both edges, root 2 x as far apart there, counted in the border."""
    if slant:
        step = isqrt(2 * apart * apart)
        return _centred(both, step, max(1, half_up(both, step)), 0)
    return _centred(extent, apart, max(1, half_up(extent, apart)), border)


_COUNTED: dict[str, Callable[[ByRatio, FlatCloth], dict[str, Any]]] = {
    "gathers": _gathers,
    "shirring": _shirring,
    "english": _dots,
    "honeycomb": _dots,
    "lattice": _lattice,
    "quilting": _quilting,
    "trapunto": _quilting,
}
