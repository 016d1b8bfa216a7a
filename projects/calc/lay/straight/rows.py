"""A lay of straight cuts as rows across the cloth, each of panels by kind, so that rows can be built anew."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from projects.calc.lay.request import Item, Lay, LayRequest
from projects.calc.lay.skyline import Spot
from projects.calc.lay.straight.building import Kind, Laid


@dataclass(frozen=True, slots=True)
class Row:
    """Panels between two cuts across the whole cloth; `laid` counts y from the row's own start."""

    length: int
    laid: tuple[Laid, ...]


@dataclass(frozen=True, slots=True)
class Kinds:
    """Items of the same ways as one kind, every size divided by `unit`, what all have in common."""

    kinds: tuple[Kind, ...]
    members: tuple[tuple[Item, ...], ...]
    room: int
    unit: int

    @classmethod
    def of(cls, items: Sequence[Item], room: int) -> Kinds:
        """Kinds in the order in which they first come."""
        groups: dict[tuple[tuple[int, int], ...], list[Item]] = {}
        for item in items:
            groups.setdefault(tuple(sorted(item.ways)), []).append(item)
        unit = math.gcd(*(size for ways in groups for way in ways for size in way))
        kinds = tuple(
            Kind(tuple((w // unit, length // unit) for w, length in ways), len(group))
            for ways, group in groups.items()
        )
        return cls(kinds, tuple(tuple(group) for group in groups.values()), room // unit, unit)

    def rows_of(self, lay: Lay, request: LayRequest) -> list[Row]:
        """The rows of a lay of this request."""
        at = {(item.panel.name, item.copy): kind for kind, group in enumerate(self.members) for item in group}
        gap, lost, unit = request.gap, request.end_loss, self.unit
        # Places of a lay made elsewhere may be no multiple of the unit: rounding down keeps panels apart,
        # since all sizes are multiples.
        return rows_from(
            (
                at[(p.name, p.copy)],
                p.x // unit,
                (p.y - lost) // unit,
                (p.width + gap) // unit,
                (p.length + gap) // unit,
            )
            for p in lay.placements
        )

    def spots(self, rows: Iterable[Row]) -> list[Spot]:
        """Where each panel lies, row after row; of equal panels the first copy comes first."""
        waiting = [list(reversed(group)) for group in self.members]
        spots: list[Spot] = []
        top = 0
        for row in rows:
            for kind, x, y, w, length in sorted(row.laid, key=lambda laid: (laid[2], laid[1])):
                u = self.unit
                spots.append(Spot(waiting[kind].pop(), x * u, (top + y) * u, w * u, length * u))
            top += row.length
        return spots


def rows_from(laid: Iterable[Laid]) -> list[Row]:
    """Panels parted by every line across the cloth that is clear of them; empty cloth between is left out."""
    rows: list[Row] = []
    inside: list[Laid] = []
    start = end = 0
    for panel in sorted(laid, key=lambda laid: (laid[2], laid[1])):
        if inside and panel[2] >= end:
            rows.append(Row(end - start, tuple(inside)))
            inside = []
        if not inside:
            start = end = panel[2]
        end = max(end, panel[2] + panel[4])
        inside.append((panel[0], panel[1], panel[2] - start, panel[3], panel[4]))
    return [*rows, Row(end - start, tuple(inside))] if inside else rows


def length_of_rows(rows: Iterable[Row]) -> int:
    return sum(row.length for row in rows)


def held(rows: Iterable[Row]) -> Counter[int]:
    """How many of each kind the rows hold."""
    return Counter(panel[0] for row in rows for panel in row.laid)
