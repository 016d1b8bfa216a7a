"""A linear model whose parts are all normal: what rows of figures tell about the parts they are sums of.

A row's value = the sum of its parts, each times its load + a part shared by the rows of its group + a part of
the row. Every part is normal about 0 with a known variance, so what is known afterwards is normal as well.
Source: normal-normal updating (Lindley and Smith, Bayes estimates for the linear model, 1972); variances are
re-estimated by expectation and maximisation (Dempster, Laird and Rubin, 1977) with a prior worth some rows.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from operator import mul
from typing import Final

Part = Hashable
Vector = list[float]

PRIOR_ROWS: Final = 4
"""How many rows, groups or parts a starting variance is worth; a starting value of its own."""
ROUNDS: Final = 6
MOST_COLUMNS: Final = 90
"""Work grows with the third power of the columns. Beyond these, those the rows say least about keep their
prior: what is known is then a little less, never more, than the rows tell."""


@dataclass(frozen=True, slots=True)
class Row:
    """A figure, its group, whose it is (parts of different owners never meet in a row), and its loads."""

    group: Hashable
    owner: Hashable
    value: float
    loads: Mapping[Part, float]


@dataclass(frozen=True, slots=True)
class Spreads:
    """Variances: of all parts, as a multiple of what they were given; shared by a group; of a row."""

    scale: float
    shared: float
    row: float


@dataclass(frozen=True, slots=True)
class Column:
    """Parts that always come together with the same loads are one: their sum, and each one's prior share."""

    loads: tuple[tuple[int, float], ...]
    variance: float
    owner: Hashable
    shared: bool
    shares: Mapping[Part, float]


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is known of the parts afterwards; parts no row has keep their prior."""

    priors: Mapping[Part, float]
    columns: tuple[Column, ...]
    place: Mapping[Part, int]
    mean: Vector
    covariance: list[Vector]
    spreads: Spreads

    def of(self, loads: Mapping[Part, float]) -> tuple[float, float]:
        """Mean and variance of the sum of parts times their loads."""
        onto: dict[int, float] = {}
        within: dict[int, float] = {}
        unknown = 0.0
        for part, load in loads.items():
            prior = self.priors[part] * self.spreads.scale
            if part not in self.place:
                unknown += load * load * prior
                continue
            at = self.place[part]
            onto[at] = onto.get(at, 0.0) + load * self.columns[at].shares[part]
            within[at] = within.get(at, 0.0) + load * load * prior
        mean = sum(load * self.mean[at] for at, load in onto.items())
        for at, load in onto.items():  # what the parts of a column can still differ by, given their sum
            unknown += within[at] - load * load * self.columns[at].variance * self.spreads.scale
            unknown += sum(load * other * self.covariance[at][to] for to, other in onto.items())
        return mean, max(unknown, 0.0)


def fit(
    rows: Sequence[Row],
    priors: Mapping[Part, float],
    spreads: Spreads,
    *,
    learn_spreads: bool = True,
) -> Posterior:
    """What `rows` tell. `priors` are variances of parts; `spreads` are known, or where learning begins."""
    columns = _columns(rows, priors)
    place = {part: at for at, column in enumerate(columns) for part in column.shares}
    model = _Model(rows, columns)
    now = spreads
    for _ in range(ROUNDS if learn_spreads and rows else 0):
        mean, covariance = model.solve(now)
        now = model.spreads(now, spreads, mean, covariance)
    mean, covariance = model.solve(now)
    return Posterior(priors, columns, place, mean, covariance, now)


def _columns(rows: Sequence[Row], priors: Mapping[Part, float]) -> tuple[Column, ...]:
    """One column for all parts with the same loads, in the order of who they belong to: what is shared by
    several owners comes last, which keeps the corner between owners empty."""
    loads: dict[Part, list[tuple[int, float]]] = {}
    for at, row in enumerate(rows):
        for part, load in row.loads.items():
            loads.setdefault(part, []).append((at, load))
    same: dict[tuple[tuple[int, float], ...], list[Part]] = {}
    for part, found in loads.items():
        same.setdefault(tuple(found), []).append(part)
    made = [_column(rows, key, parts, priors) for key, parts in same.items()]
    if len(made) > MOST_COLUMNS:
        made = sorted(made, key=_told, reverse=True)[:MOST_COLUMNS]
    order = {owner: at for at, owner in enumerate(dict.fromkeys(row.owner for row in rows))}
    return tuple(sorted(made, key=lambda one: len(order) if one.shared else order[one.owner]))


def _column(
    rows: Sequence[Row],
    loads: tuple[tuple[int, float], ...],
    parts: Sequence[Part],
    priors: Mapping[Part, float],
) -> Column:
    variance = sum(priors[part] for part in parts)
    owners = {rows[at].owner for at, _ in loads}
    shares = {part: priors[part] / variance for part in parts}
    return Column(loads, variance, rows[loads[0][0]].owner, len(owners) > 1, shares)


def _told(column: Column) -> float:
    return column.variance * sum(load * load for _, load in column.loads)


class _Model:
    """Rows and columns as sums that are needed for any spreads: by group, z of a row is its loads."""

    def __init__(self, rows: Sequence[Row], columns: Sequence[Column]) -> None:
        self.columns = columns
        self.values = [row.value for row in rows]
        self.z: list[list[tuple[int, float]]] = [[] for _ in rows]
        for to, column in enumerate(columns):
            for at, load in column.loads:
                self.z[at].append((to, load))
        groups: dict[Hashable, list[int]] = {}
        for at, row in enumerate(rows):
            groups.setdefault(row.group, []).append(at)
        self.groups = list(groups.values())
        self.sums = [self._sum(group) for group in self.groups]
        self.first = self._first()
        self.square = self._empty()
        for z in self.z:
            _add_square(self.square, z)
        self.squares: dict[int, list[Vector]] = {}
        """By how many rows a group has: the squares of the sums of its rows' loads."""
        for group, total in zip(self.groups, self.sums, strict=True):
            _add_square(self.squares.setdefault(len(group), self._empty()), total)

    def _empty(self) -> list[Vector]:
        return [[0.0] * (at + 1) for at in range(len(self.columns))]

    def _sum(self, group: Sequence[int]) -> list[tuple[int, float]]:
        total: dict[int, float] = {}
        for row in group:
            for at, load in self.z[row]:
                total[at] = total.get(at, 0.0) + load
        return sorted(total.items())

    def _first(self) -> list[int]:
        """By column, the first column it ever meets in a group: left of it the matrix is empty."""
        first = list(range(len(self.columns)))
        for total in self.sums:
            for at, _ in total:
                first[at] = min(first[at], total[0][0])
        return first

    def solve(self, spreads: Spreads) -> tuple[Vector, list[Vector]]:
        """Mean and covariance of the columns; the shared parts are taken out group by group."""
        per_row = 1 / spreads.row
        matrix = [[figure * per_row for figure in line] for line in self.square]
        right = [0.0] * len(self.columns)
        for at, column in enumerate(self.columns):
            matrix[at][at] += 1 / (column.variance * spreads.scale)
            right[at] = sum(load * self.values[row] for row, load in column.loads) * per_row
        for count, square in self.squares.items():
            out = _kept(spreads, count) * per_row * per_row
            matrix = [
                [figure - out * taken for figure, taken in zip(line, other, strict=True)]
                for line, other in zip(matrix, square, strict=True)
            ]
        for group, total in zip(self.groups, self.sums, strict=True):
            value = _kept(spreads, len(group)) * per_row * per_row * sum(self.values[row] for row in group)
            for at, load in total:
                right[at] -= value * load
        covariance = inverse(matrix, self.first)
        return [sum(map(mul, line, right)) for line in covariance], covariance

    def spreads(self, now: Spreads, start: Spreads, mean: Vector, covariance: list[Vector]) -> Spreads:
        """The spreads that fit best what is expected of every part, with the starting ones as prior rows."""
        shared, row = 0.0, _trace(covariance, self.square)
        for group in self.groups:
            left = [self.values[at] - sum(load * mean[to] for to, load in self.z[at]) for at in group]
            kept = _kept(now, len(group))
            common = kept / now.row * sum(left)
            shared += common * common + kept
            row += sum((figure - common) ** 2 for figure in left) + len(group) * kept
        for count, square in self.squares.items():
            pull, spread = _kept(now, count) / now.row, _trace(covariance, square)
            shared += pull * pull * spread
            row += (count * pull * pull - 2 * pull) * spread
        parts = sum(
            (mean[at] ** 2 + covariance[at][at]) / column.variance for at, column in enumerate(self.columns)
        )
        return Spreads(
            _mixed(start.scale, parts, len(self.columns)),
            _mixed(start.shared, shared, len(self.groups)) if start.shared else 0.0,
            _mixed(start.row, row, len(self.values)),
        )


def _kept(spreads: Spreads, count: int) -> float:
    """The variance of the part shared by a group of `count` rows when all else is known."""
    return 1 / (1 / spreads.shared + count / spreads.row) if spreads.shared else 0.0


def _mixed(start: float, total: float, count: int) -> float:
    return (PRIOR_ROWS * start + total) / (PRIOR_ROWS + count)


def _trace(covariance: list[Vector], square: list[Vector]) -> float:
    """The trace of the product of a symmetric matrix and one given as its lower triangle."""
    total = 0.0
    for at, (line, full) in enumerate(zip(square, covariance, strict=True)):
        total += 2 * sum(map(mul, line, full)) - line[at] * full[at]
    return total


def _add_square(matrix: list[Vector], loads: Sequence[tuple[int, float]]) -> None:
    """Add z z' to a lower triangle; `loads` in order of place."""
    for index, (at, load) in enumerate(loads):
        line = matrix[at]
        for to, other in loads[: index + 1]:
            line[to] += load * other


def inverse(matrix: list[Vector], first: Sequence[int]) -> list[Vector]:
    """The inverse of a symmetric positive matrix given as its lower triangle, empty left of `first`.

    Source: Cholesky's factors, whose rows begin where those of the matrix do (the envelope of George and Liu,
    Computer Solution of Large Sparse Positive Definite Systems, 1981).
    """
    size = len(matrix)
    lower: list[Vector] = []  # each row from its first column on, without the diagonal
    diagonal: Vector = []
    for at in range(size):
        begin, line = first[at], matrix[at]
        made: Vector = []
        for to in range(begin, at):
            start = max(begin, first[to])
            dot = sum(map(mul, made[start - begin :], lower[to][start - first[to] :]))
            made.append((line[to] - dot) / diagonal[to])
        lower.append(made)
        diagonal.append(sqrt(line[at] - sum(map(mul, made, made))))
    turned = [_solved(at, lower, diagonal, first) for at in range(size)]
    full = [[0.0] * size for _ in range(size)]
    for at in range(size):
        for to in range(at, size):
            full[at][to] = full[to][at] = sum(map(mul, turned[at][to - at :], turned[to]))
    return full


def _solved(at: int, lower: list[Vector], diagonal: Vector, first: Sequence[int]) -> Vector:
    """Column `at` of the inverse factor, from its diagonal down."""
    made = [1 / diagonal[at]]
    for row in range(at + 1, len(lower)):
        begin = max(at, first[row])
        dot = sum(map(mul, made[begin - at :], lower[row][begin - first[row] :])) if begin < row else 0.0
        made.append(-dot / diagonal[row])
    return made
