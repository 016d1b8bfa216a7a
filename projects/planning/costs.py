"""What a project costs: planned beside so far, and what it will have cost in the end. Money in minor units.

What has no price or rate is unknown: it is listed as missing, and the sums then say "at least".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.utils import timezone

from projects.calc.price import Price, price
from projects.models import Project, Workroom

from . import cost_lines as lines
from .cost_lines import COLUMNS, GROUPS, MATERIALS, CostLine, Missing
from .cost_rows import CostRows, load_cost_rows
from .plan import Plan


@dataclass(frozen=True, slots=True)
class Sum:
    """One column added up. Where an amount in it is unknown it is not ``complete``: at least this."""

    materials: int
    work: int
    overhead: int
    complete: bool
    materials_complete: bool

    @property
    def cost(self) -> int:
        return self.materials + self.work + self.overhead


@dataclass(frozen=True, slots=True)
class Hours:
    """Minutes the work will have taken in the end: under ``low`` in one of ten cases, ``high`` in nine."""

    low: Decimal
    middle: Decimal
    high: Decimal
    so_far: int
    to_come: Decimal


@dataclass(frozen=True, slots=True)
class Costs:
    """All of a project's money: lines by group, their sums by column, what to ask, and what is not known."""

    lines: tuple[CostLine, ...]
    planned: Sum
    so_far: Sum
    in_the_end: Sum
    price_planned: Price
    price_in_the_end: Price
    missing: tuple[Missing, ...]
    hours: Hours
    overhead_rate: int | None
    """What holds today, an hour."""

    @property
    def sums(self) -> tuple[Sum, Sum, Sum]:
        return self.planned, self.so_far, self.in_the_end

    @property
    def groups(self) -> list[tuple[str, list[CostLine]]]:
        """Title and lines of each group that has any, in the order costs are added up."""
        found = [(title, [line for line in self.lines if line.group == key]) for key, title in GROUPS]
        return [(title, part) for title, part in found if part]


def plan_costs(
    project: Project, plan: Plan, *, workroom: Workroom | None = None, today: date | None = None
) -> Costs:
    """The costs of a project whose Plan is known; a fixed number of queries whatever its logs and lines."""
    workroom, today = workroom or Workroom.load(), today or timezone.localdate()
    return cost_up(plan, load_cost_rows(project, plan, workroom, today), workroom, today)


def cost_up(plan: Plan, rows: CostRows, workroom: Workroom, today: date) -> Costs:
    """Costs of rows already loaded. No queries, no clock."""
    book = lines.Book(plan, rows, workroom.currency, today)
    found = (
        *lines.cloth(book),
        *lines.notions(book),
        *lines.thread(book),
        *lines.others(book),
        *lines.hours(book),
        *lines.overhead(book),
    )
    left_out = tuple(lines.left_out(book))
    planned, so_far, in_the_end = (_sum(found, column) for column in COLUMNS)
    if left_out:
        planned, in_the_end = (_at_least(planned), _at_least(in_the_end))
    return Costs(
        lines=found,
        planned=planned,
        so_far=so_far,
        in_the_end=in_the_end,
        price_planned=price(planned.cost, workroom.margin, workroom.tax),
        price_in_the_end=price(in_the_end.cost, workroom.margin, workroom.tax),
        missing=(*left_out, *_missing(found)),
        hours=_hours(book),
        overhead_rate=rows.rates.overhead(today),
    )


def _sum(found: Iterable[CostLine], column: str) -> Sum:
    amounts = [(line.group, getattr(line, column).amount) for line in found]

    def add(*groups: str) -> int:
        return sum(amount or 0 for group, amount in amounts if group in groups)

    unknown = {group for group, amount in amounts if amount is None}
    return Sum(
        add(*MATERIALS), add("hours"), add("overhead"), not unknown, not unknown.intersection(MATERIALS)
    )


def _at_least(found: Sum) -> Sum:
    return replace(found, complete=False, materials_complete=False)


def _missing(found: Iterable[CostLine]) -> Iterable[Missing]:
    """Each thing once, though two lines miss it."""
    return dict.fromkeys(line.missing for line in found if line.missing is not None)


def _hours(book: lines.Book) -> Hours:
    """Hours spent are facts; only what is still to come has a range, that of the forecast."""
    spent, found = Decimal(sum(w.minutes for w in book.rows.worked)), book.rows.forecast
    low, high = (found.low, found.high) if found else (Decimal(0), Decimal(0))
    left = lines.to_come(book)
    return Hours(spent + low, spent + left, spent + high, int(spent), left)
