"""Strips folded cell by cell, by a dumb folder that knows nothing of the axis, agree with it everywhere.

A strip is a row of cells. The folder walks along it, lays each cell on a finished position, and at a seam
lays the tuck's cells out and back as a hand would fold them. What the cloth adds by itself is used up in the
fold and lies nowhere. Layers are counted by counting cells.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from random import Random

import pytest

from projects.calc.axis import Axis, Pressing, Tuck, place

CELL = 1_000_000
RECIPES = 500


@dataclass
class Row:
    """A random recipe in whole cells."""

    tucks: list[tuple[int, int]]
    length: int
    phase: int
    extra: int
    pressing: str
    centre: int | None


@dataclass
class Folded:
    """Where each flat cell lies (None: used up in a fold), and each tuck's first, middle and end cell."""

    lies: list[int | None] = field(default_factory=list)
    tucks: list[tuple[int, int, int, int]] = field(default_factory=list)
    flat_at: list[int] = field(default_factory=list)


def random_row(random: Random) -> Row:
    tucks = [(random.randint(1, 6), 2 * random.randint(1, 3)) for _ in range(random.randint(1, 4))]
    length = random.randint(1, 22)
    turns = random.random() < 0.3
    return Row(
        tucks,
        length,
        random.randrange(sum(space for space, _ in tucks)),
        random.choice((0, 0, 2, 4)),
        random.choice(("on", "back", "opened")),
        random.randint(1, length) if turns else None,
    )


def is_seam(row: Row, position: int) -> int | None:
    """The depth of the tuck sewn at a finished position, looked for by walking the recipe cell by cell."""
    repeat = sum(space for space, _ in row.tucks)
    coordinate, at = (row.phase + position) % repeat, 0
    for space, depth in row.tucks:
        at += space
        if at % repeat == coordinate:
            return depth
    return None


def laid(row: Row, position: int) -> str:
    if row.centre is None or row.pressing == "opened" or position < row.centre:
        return row.pressing
    if position == row.centre:
        return "opened"
    return "back" if row.pressing == "on" else "on"


def tuck_cells(x: int, depth: int, extra: int, pressing: str) -> list[int | None]:
    """Finished positions of the cells of one tuck, in the order they come along the strip."""
    swallowed: list[int | None] = [None] * extra
    if pressing == "on":
        out: list[int | None] = [x + i for i in range(depth)]
        return out + swallowed + out[::-1]
    if pressing == "back":
        out = [x - 1 - i for i in range(depth)]
        return out + swallowed + out[::-1]
    half = depth // 2
    left: list[int | None] = [x - 1 - i for i in range(half)]
    right: list[int | None] = [x + i for i in range(half)]
    middle = len(swallowed) // 2
    return left + left[::-1] + swallowed[:middle] + swallowed[middle:] + right + right[::-1]


def fold(row: Row) -> Folded:
    folded = Folded()
    for position in range(row.length + 1):
        depth = is_seam(row, position) if position else None
        if depth is not None:
            start = len(folded.lies)
            folded.lies += tuck_cells(position, depth, row.extra, laid(row, position))
            end = len(folded.lies)
            folded.tucks.append((position, start, (start + end) // 2, end))
        folded.flat_at.append(len(folded.lies))
        if position < row.length:
            folded.lies.append(position)
    return folded


def axis_of(row: Row) -> Axis:
    return place(
        [Tuck(space * CELL, depth * CELL) for space, depth in row.tucks],
        length=row.length * CELL,
        extra=row.extra * CELL,
        phase=row.phase * CELL,
        pressing=Pressing(row.pressing),
        turns_at_centre=row.centre is not None,
        centre=None if row.centre is None else row.centre * CELL,
    )


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    random = Random(2_026_11)
    return [random_row(random) for _ in range(RECIPES)]


def test_the_folder_folds_what_a_hand_would() -> None:
    """One tuck of depth 2 at 3 of 6 cells, pressed on: cells 3 and 4 lie threefold."""
    folded = fold(Row([(3, 2)], 5, 0, 0, "on", None))
    assert folded.lies == [0, 1, 2, 3, 4, 4, 3, 3, 4]
    assert folded.tucks == [(3, 3, 5, 7)]


def test_flat_extent_and_every_seam(rows: list[Row]) -> None:
    for row in rows:
        folded, axis = fold(row), axis_of(row)
        assert axis.flat == len(folded.lies) * CELL, row
        expected = [(x * CELL, a * CELL, m * CELL, b * CELL) for x, a, m, b in folded.tucks]
        assert [(f.seam, f.start, f.fold, f.end) for f in axis.folds()] == expected, row


def test_the_map_both_ways(rows: list[Row]) -> None:
    for row in rows:
        folded, axis = fold(row), axis_of(row)
        for position, flat in enumerate(folded.flat_at):
            assert axis.to_flat(position * CELL) == flat * CELL, row
            assert axis.to_finished(flat * CELL) == position * CELL, row


def test_layers_at_every_cell(rows: list[Row]) -> None:
    for row in rows:
        folded, axis = fold(row), axis_of(row)
        counted = Counter(folded.lies)
        layers = [counted[position] for position in range(row.length)]
        assert [axis.layers_at(p * CELL) for p in range(row.length)] == layers, row
        assert [axis.layers_at(p * CELL + CELL - 1) for p in range(row.length)] == layers, row
        assert axis.layers_max == max(layers), row


def test_layers_multiply_where_directions_cross(rows: list[Row]) -> None:
    for across, along in zip(rows, reversed(rows), strict=True):
        wide, long = fold(across), fold(along)
        counted = Counter((x, y) for x in wide.lies for y in long.lies)
        first, second = axis_of(across), axis_of(along)
        for x in range(across.length):
            for y in range(along.length):
                layers = first.layers_at(x * CELL) * second.layers_at(y * CELL)
                assert layers == counted[x, y], (across, along, x, y)


def test_the_recipes_reach_every_case(rows: list[Row]) -> None:
    """The agreement above is worth as much as the recipes are varied."""
    gaps = [min(axis_of(row).gaps(), default=1) for row in rows]
    assert sum(gap < 0 for gap in gaps) > 50
    assert sum(gap == 0 for gap in gaps) > 20
    assert {p for row in rows for p in axis_of(row).pressings} == {
        Pressing.ON,
        Pressing.BACK,
        Pressing.OPENED,
    }
    assert sum(row.centre is not None for row in rows) > 50
    assert sum(row.extra > 0 for row in rows) > 100
