"""What is marked and sewn on one panel worked by ratio: counts, metres, and where every mark lies.

Lengths are whole nm on the flat cloth, counted from the panel's first edges (left and top), border included.
Drawings and mark tables compute nothing: they ask for dots, lines and stitches here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple


class Point(NamedTuple):
    """A place on the flat cloth, nm from the left and from the top edge."""

    x: int
    y: int


class Segment(NamedTuple):
    """A straight line on the flat cloth."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Marks:
    """`count` marks `step` apart, the first `first` from the edge."""

    first: int
    step: int
    count: int

    @property
    def positions(self) -> tuple[int, ...]:
        """Every mark from the first edge."""
        return tuple(self.first + self.step * number for number in range(self.count))

    @property
    def last(self) -> int:
        """The last mark from the first edge."""
        return self.first + self.step * (self.count - 1)

    def from_far(self, extent: int) -> Marks:
        """The same marks counted from the far edge of `extent`."""
        return replace(self, first=extent - self.last)


@dataclass(frozen=True, slots=True)
class RatioWork:
    """The counts of one panel, and where its marks lie.

    `rows` and `columns` count dots (rows also gathering or elastic), `dots` all of them, `lines` all lines
    sewn, `stitches` the smocking or lattice stitches, `metres` the nm of line sewn. `finished_across` and
    `finished_along` are what the panel becomes, border excluded.

    `grid_across` are marks along the top edge, `grid_along` along the left edge: columns and rows of dots;
    of lines those of `grid_across` run down the cloth, those of `grid_along` across it. With `slant` lines
    lie at 45 degrees: those of `grid_across` are x + y = mark, those of `grid_along` x - y + length = mark,
    both counted inside the border. `width` and `length` are of the flat cloth, border included.
    """

    technique: str
    width: int
    length: int
    border: int
    finished_across: int
    finished_along: int
    dots: int = 0
    rows: int = 0
    columns: int = 0
    lines: int = 0
    squares_across: int = 0
    squares_down: int = 0
    stitches: int = 0
    metres: int = 0
    slant: bool = False
    by_hand: bool = False
    grid_across: Marks | None = None
    grid_along: Marks | None = None

    @property
    def has_dots(self) -> bool:
        """Whether dots are marked, rather than lines."""
        return self.dots > 0

    def dot_points(self) -> Iterator[Point]:
        """Every dot, row by row from the top left."""
        if self.has_dots and self.grid_across and self.grid_along:
            columns = self.grid_across.positions
            for y in self.grid_along.positions:
                yield from (Point(x, y) for x in columns)

    def line_segments(self) -> Iterator[Segment]:
        """Every line marked and sewn, first set first, clipped to the cloth inside its border."""
        if self.has_dots:
            return
        first, last, top, bottom = self._inside()
        for c in self.grid_across.positions if self.grid_across else ():
            yield self._falling(c) if self.slant else Segment(Point(c, top), Point(c, bottom))
        for c in self.grid_along.positions if self.grid_along else ():
            yield self._rising(c) if self.slant else Segment(Point(first, c), Point(last, c))

    def stitch_segments(self) -> Iterator[Segment]:
        """Each lattice or honeycomb stitch as the two dots it draws together; English smocking joins each
        pleat to the next along its rows."""
        if not (self.has_dots and self.grid_across and self.grid_along):
            return
        xs, ys = self.grid_across.positions, self.grid_along.positions
        for row, column, down, across in stitch_places(self.technique, len(ys), len(xs)):
            yield Segment(Point(xs[column], ys[row]), Point(xs[column + across], ys[row + down]))

    def _inside(self) -> tuple[int, int, int, int]:
        return self.border, self.width - self.border, self.border, self.length - self.border

    def _falling(self, c: int) -> Segment:
        """x + y = c, from the top or right edge down to the left or bottom one."""
        wide, high = self.width - 2 * self.border, self.length - 2 * self.border
        top = Point(min(c, wide), c - min(c, wide))
        foot = Point(c - min(c, high), min(c, high))
        return self._shifted(top, foot)

    def _rising(self, c: int) -> Segment:
        """x - y + length = c, from the left or top edge down to the bottom or right one."""
        wide, high = self.width - 2 * self.border, self.length - 2 * self.border
        start, end = max(0, c - high), min(c, wide)
        return self._shifted(Point(start, start - c + high), Point(end, end - c + high))

    def _shifted(self, start: Point, end: Point) -> Segment:
        b = self.border
        return Segment(Point(start.x + b, start.y + b), Point(end.x + b, end.y + b))

    def recounted(self) -> RatioWork:
        """The same cloth counted from its right edge."""
        if self.slant or self.grid_across is None:
            return self
        return replace(self, grid_across=self.grid_across.from_far(self.width))


def stitch_places(technique: str, rows: int, columns: int) -> Iterator[tuple[int, int, int, int]]:
    """(row, column, dots down, dots across) of each stitch over a grid of dots, from 0.

    English: each dot (a pleat) to the next of its row. Honeycomb: every second pair of a row, the next row's
    between them. Lattice: of each row of squares every second is drawn up along a diagonal, which leans the
    other way from row to row and sits one square further on.
    """
    if technique == "lattice":
        for row in range(rows - 1):
            for column in range(row % 2, 2 * ((columns - 1) // 2), 2):
                yield (row, column, 1, 1) if row % 2 else (row, column + 1, 1, -1)
        return
    step = 2 if technique == "honeycomb" else 1
    for row in range(rows):
        offset = row % 2 if step == 2 else 0
        yield from ((row, column, 0, 1) for column in range(offset, columns - 1, step))
