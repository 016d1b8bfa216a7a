"""Marks of one direction for reading: every figure of a column with as many places as the finest of them."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from projects.calc.lengths import Rounding, System, about, rounded
from projects.calc.marks import MarkRow
from projects.calc.side import SidePlan

LENGTHS = ("stitch_before", "fold", "stitch_after", "depth", "space", "fold_from_last")
"""The columns of a table, by the fields of its lines."""
_DECIMAL = re.compile(r"(?<![\d/])(\d+)(?:\.(\d+))? (?=[a-z])")


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table; lengths as text, without the unit where the heading of its column has it."""

    row: MarkRow
    stitch_before: str
    fold: str
    stitch_after: str
    depth: str
    space: str
    fold_from_last: str


@dataclass(frozen=True, slots=True)
class MarkLines:
    """The table of one direction; ``units`` are those of whole columns, by the fields of its lines."""

    lines: list[Line]
    units: dict[str, str]


def lines_of(side: SidePlan, system: System) -> MarkLines:
    """The rows of one direction; none where it has no tucks."""
    rows = list(side.marks())

    def marked(of: Callable[[MarkRow], int]) -> list[str]:
        return alike(rounded(of(row), Rounding.MARK, system) for row in rows)

    columns = (
        marked(lambda row: row.stitch_before),
        marked(lambda row: row.fold),
        marked(lambda row: row.stitch_after),
        alike(about(row.depth, system) for row in rows),
        alike(about(row.space, system) for row in rows),
        marked(lambda row: row.fold_from_last),
    )
    units, bare = zip(*map(in_heading, columns), strict=True)
    lines = [Line(row, *texts) for row, *texts in zip(rows, *bare, strict=True)]
    return MarkLines(lines, dict(zip(LENGTHS, units, strict=True)))


def in_heading(texts: Iterable[str]) -> tuple[str, list[str]]:
    """The unit that all figures of a column end in, and the figures without it; "" where they differ.

    >>> in_heading(["18.0 mm", "about 5.5 mm"]), in_heading(["1 in", "5 mm"])
    (('mm', ['18.0', 'about 5.5']), ('', ['1 in', '5 mm']))
    """
    column = list(texts)
    units = {text.rpartition(" ")[2] for text in column}
    unit = units.pop() if len(units) == 1 else ""
    return (unit, [text[: -len(unit) - 1] for text in column]) if unit.isalpha() else ("", column)


def alike(texts: Iterable[str]) -> list[str]:
    """Decimal figures of one column with as many places as the finest, so that their points stand in line.

    >>> alike(["18 mm", "5.5 mm", "about 4.25 mm"])
    ['18.00 mm', '5.50 mm', 'about 4.25 mm']
    """
    column = list(texts)
    places = max((len(found[2] or "") for text in column if (found := _DECIMAL.search(text))), default=0)
    return [_DECIMAL.sub(lambda found: _padded(found, places), text, count=1) for text in column]


def _padded(found: re.Match[str], places: int) -> str:
    return f"{found[1]}.{(found[2] or '').ljust(places, '0')} " if places else found[0]
