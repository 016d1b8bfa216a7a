"""Packing on shelves: rows across the cloth, each as long as its first panel."""

from __future__ import annotations

from collections.abc import Sequence

from projects.calc.lay.request import Item
from projects.calc.lay.skyline import Spot


def shelves(items: Sequence[Item], width: int) -> list[Spot]:
    """Each item on the first shelf that holds it, else on a new one; longest first gives the least waste."""
    rows: list[tuple[int, int, int]] = []  # y, length, x so far
    spots = []
    for item in items:
        at, (wide, long) = _row_for(item, rows, width)
        if at == len(rows):
            rows.append((rows[-1][0] + rows[-1][1] if rows else 0, long, 0))
        y, deep, x = rows[at]
        spots.append(Spot(item, x, y, wide, long))
        rows[at] = (y, deep, x + wide)
    return spots


def _row_for(item: Item, rows: Sequence[tuple[int, int, int]], width: int) -> tuple[int, tuple[int, int]]:
    """The first row with room, the item lying as it fills the row best; a new row takes the least length."""
    for at, (_, deep, x) in enumerate(rows):
        fitting = [way for way in item.ways if way[1] <= deep and x + way[0] <= width]
        if fitting:
            return at, max(fitting, key=lambda way: way[1])
    return len(rows), min(item.ways, key=lambda way: way[1])
