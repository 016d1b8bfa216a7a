"""A lay in the coarsest whole units that lose nothing: sizes by their divisor, the width by its sums."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import gcd
from typing import Final

from projects.calc.lay.request import Item
from projects.calc.lay.skyline import Spot
from projects.calc.lay.sums import reachable
from projects.calc.units import ceil_div

MOST_ACROSS: Final = 200_000  # units across and along a solver can be trusted to multiply
MOST_ALONG: Final = 4_000_000

Ways = tuple[tuple[int, int], ...]
Laid = tuple[int, int, int, int, int]  # which item, x, y, width, length in units


@dataclass(frozen=True, slots=True)
class Grid:
    """The problem in units: `ways` of each loose item, `held` (x, y, width, length) of the pinned ones.

    `across` and `along` are the units in nm. `exact` says that units lose nothing; else sizes are rounded
    up and the width down, so that every lay in units is one of the panels, but a bound is none.
    """

    items: tuple[Item, ...]
    ways: tuple[Ways, ...]
    pinned: tuple[Spot, ...]
    held: tuple[tuple[int, int, int, int], ...]
    width: int
    across: int
    along: int
    exact: bool

    def spots(self, laid: Sequence[Laid]) -> list[Spot]:
        """A lay in units as spots in nm, the pinned among them; true sizes, moved back where units lose."""
        spots = [*self.pinned]
        for at, x, y, w, length in laid:
            item = self.items[at]
            way = item.ways[self.ways[at].index((w, length))]
            spots.append(Spot(item, x * self.across, y * self.along, *way))
        return spots if self.exact else settled(spots, len(self.pinned))


def grid_of(items: Sequence[Item], pinned: Sequence[Spot], room: int) -> Grid:
    """The grid that loses nothing of these items (sizes, `room` and pins include the gap, nm)."""
    across = gcd(*(w for item in items for w, _ in item.ways), *(n for s in pinned for n in (s.x, s.width)))
    along = gcd(*(n for item in items for _, n in item.ways), *(n for s in pinned for n in (s.y, s.length)))
    grid = _grid(items, pinned, room, across, along, exact=True)
    if pinned:
        return grid
    sums = reachable([tuple({w for w, _ in way}) for way in grid.ways], grid.width)
    return replace(grid, width=sums[-1]) if sums else grid


def for_solver(grid: Grid, room: int) -> Grid:
    """The same grid, or a coarser one where it has too many units to be multiplied safely."""
    deepest = sum(max(length for _, length in ways) for ways in grid.ways)
    if grid.width <= MOST_ACROSS and deepest <= MOST_ALONG:
        return grid
    across = max(grid.across, ceil_div(room, MOST_ACROSS // 4))
    along = max(grid.along, ceil_div(deepest * grid.along, MOST_ALONG // 4))
    return _grid(grid.items, grid.pinned, room, across, along, exact=False)


def _grid(
    items: Sequence[Item], pinned: Sequence[Spot], room: int, across: int, along: int, *, exact: bool
) -> Grid:
    width = room // across
    ways = tuple(
        # what is rounded up beyond the cloth has the whole width of it
        tuple((min(ceil_div(w, across), width), ceil_div(length, along)) for w, length in item.ways)
        for item in items
    )
    held = tuple(
        (
            s.x // across,
            s.y // along,
            ceil_div(s.x + s.width, across) - s.x // across,
            ceil_div(s.y + s.length, along) - s.y // along,
        )
        for s in pinned
    )
    return Grid(tuple(items), ways, tuple(pinned), held, width, across, along, exact)


def settled(spots: Sequence[Spot], fixed: int = 0) -> list[Spot]:
    """The same lay with every spot but the first `fixed` pushed to the start, then to the left."""
    down: list[Spot] = list(spots[:fixed])
    for spot in sorted(spots[fixed:], key=lambda spot: spot.y):
        far = spot.x + spot.width
        below = (s.y + s.length for s in down if s.x < far and spot.x < s.x + s.width and s.y <= spot.y)
        down.append(Spot(spot.item, spot.x, max(below, default=0), spot.width, spot.length))
    return down
