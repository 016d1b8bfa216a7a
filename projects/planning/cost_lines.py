"""The lines of a project's costs: each planned, used so far, and what it comes to in the end.

Quantities are nanometres of cloth, a notion's own units, or minutes; amounts whole minor units, half up line
by line, so that the lines sum to the total.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from projects.calc.lengths import UNITS
from projects.calc.money import half_up_minor, minor
from projects.calc.price import worked
from projects.models import Fabric, Notion

from .cost_rows import CostRows, Taken
from .cost_rows import Worked as WorkedRow
from .plan import Plan
from .under import not_chosen

COLUMNS = ("planned", "so_far", "in_the_end")
GROUPS = (
    ("cloth", "Cloth"),
    ("spoiled", "Spoiled"),
    ("notions", "Notions"),
    ("thread", "Thread"),
    ("other", "Other costs"),
    ("hours", "Hours"),
    ("overhead", "Overhead"),
)
MATERIALS = ("cloth", "spoiled", "notions", "thread", "other")
THOUSANDTHS = Decimal(1000)
Quantity = int | Decimal | None


@dataclass(frozen=True, slots=True)
class Figure:
    """How much, and what it costs; None where that is unknown."""

    quantity: Quantity = None
    amount: int | None = 0


NOTHING = Figure()


@dataclass(frozen=True, slots=True)
class Missing:
    """Why an amount is unknown, and which page settles it: ``where`` ("fabric", "notion", "rates", "piece",
    "lay", "needs") and the row it is about."""

    text: str
    where: str
    pk: int | None = None


@dataclass(frozen=True, slots=True)
class CostLine:
    """``kind`` says what quantities are: "cloth" (nm), "count" (in ``unit``), "time" (minutes), "money"."""

    group: str
    name: str
    kind: str
    planned: Figure = NOTHING
    so_far: Figure = NOTHING
    in_the_end: Figure = NOTHING
    unit: str = ""
    pk: int | None = None
    """The row it is about: of an other cost, the one to change."""
    missing: Missing | None = None


@dataclass(frozen=True, slots=True)
class Book:
    """What lines are made from."""

    plan: Plan
    rows: CostRows
    currency: str
    today: date


def _figure(quantity: Quantity, cost: Callable[[Any], Decimal] | None) -> Figure:
    """A quantity and its cost, half up. Nothing costs nothing, whatever is known."""
    if quantity == 0:
        return Figure(quantity, 0)
    if quantity is None or cost is None:
        return Figure(quantity, None)
    return Figure(quantity, half_up_minor(cost(quantity)))


def _known(line: CostLine, missing: Missing) -> CostLine:
    """The line; where one of its amounts is unknown, with why."""
    unknown = any(getattr(line, column).amount is None for column in COLUMNS)
    return replace(line, missing=missing) if unknown else line


def cloth(book: Book) -> Iterator[CostLine]:
    """Each fabric: what all panels, samples and swatches take, against what the ledger says was cut."""
    planned = {f.fabric_id: f for f in book.plan.fabrics}
    for key in dict.fromkeys([*planned, *book.rows.cloth]):
        fabric, taken, found = book.rows.fabrics[key], book.rows.cloth.get(key, Taken()), planned.get(key)
        cost = _cloth_cost(fabric, book.currency)
        whole: Quantity = found.for_all_panels + found.need - found.for_panels if found else 0
        to_come: Quantity = found.need if found else 0
        missing = Missing(f"{fabric.name} has no price.", "fabric", key)
        if found is not None and found.problem:
            whole = to_come = None
            missing = Missing(f"{fabric.name} can't be laid: {found.problem}", "lay", key)
        line = CostLine(
            "cloth", fabric.name, "cloth", pk=key,
            planned=_figure(whole, cost),
            so_far=_figure(taken.used, cost),
            in_the_end=_figure(None if to_come is None else taken.used + to_come, cost),
        )  # fmt: skip
        yield _known(line, missing)
        yield from _spoiled(fabric.name, "cloth", taken.spoiled, cost, missing)


def cloth_worth(fabric: Fabric, bought: int, currency: str) -> int | None:
    """What so much cloth as bought (nm) costs, in minor units; None where the fabric has no price."""
    return _figure(bought, _cloth_cost(fabric, currency)).amount


def _cloth_cost(fabric: Fabric, currency: str) -> Callable[[int], Decimal] | None:
    """Minor units for so many nm, exact: the price is for a metre or a yard."""
    if fabric.price is None:
        return None
    each, unit = minor(fabric.price, currency), UNITS[fabric.price_per]
    return lambda nm: each * nm / unit


def _spoiled(
    name: str,
    kind: str,
    lost: Quantity,
    cost: Callable[[Any], Decimal] | None,
    missing: Missing,
    unit: str = "",
) -> Iterator[CostLine]:
    if lost:
        figure = _figure(lost, cost)
        yield _known(CostLine("spoiled", name, kind, NOTHING, figure, figure, unit, missing.pk), missing)


def notions(book: Book) -> Iterator[CostLine]:
    """Each notion: what the project needs, against what the ledger says was used."""
    needs = {n.notion_id: n for n in book.plan.notions}
    for key in dict.fromkeys([*needs, *book.rows.counted]):
        notion, taken = book.rows.notions[key], book.rows.counted.get(key, Taken())
        need = needs[key].need if key in needs else Decimal(0)
        used, cost = taken.used / THOUSANDTHS, _notion_cost(notion, book.currency)
        missing = Missing(f"{notion.name} has no price.", "notion", key)
        group = "thread" if notion.kind == "thread" else "notions"
        line = CostLine(
            group, notion.name, "count", unit=notion.unit, pk=key,
            planned=_figure(need, cost),
            so_far=_figure(used, cost),
            in_the_end=_figure(max(used, need), cost),
        )  # fmt: skip
        yield _known(line, missing)
        yield from _spoiled(notion.name, "count", taken.spoiled / THOUSANDTHS, cost, missing, notion.unit)


def _notion_cost(notion: Notion, currency: str) -> Callable[[Decimal], Decimal] | None:
    if notion.price is None:
        return None
    each = minor(notion.price, currency)
    return lambda count: each * count


def thread(book: Book) -> Iterator[CostLine]:
    """Spools the seams take beyond the thread named among the project's needs, at that thread's price."""
    wanted = getattr(book.plan, "thread", None)
    if wanted is None or not wanted.spools:
        return
    named = [n for n in book.plan.notions if book.rows.notions[n.notion_id].kind == "thread"]
    more = max(Decimal(0), Decimal(wanted.spools) - sum((n.need for n in named), Decimal(0)))
    if not more:
        return
    notion = book.rows.notions[named[0].notion_id] if named else None
    cost = _notion_cost(notion, book.currency) if notion else None
    figure = _figure(more, cost)
    name = f"More of {notion.name}" if notion else "Thread for the seams"
    missing = Missing("No thread is named among what the project needs.", "needs")
    if notion is not None:
        missing = Missing(f"{notion.name} has no price.", "notion", notion.pk)
    line = CostLine("thread", name, "count", figure, Figure(Decimal(0), 0), figure, "spools", missing.pk)
    yield _known(line, missing)


def others(book: Book) -> Iterator[CostLine]:
    """Other costs count in every column: they are what they are."""
    for row in book.rows.others:
        figure = Figure(None, row.amount)
        yield CostLine("other", row.what, "money", figure, figure, figure, pk=row.pk)


def to_come(book: Book) -> Decimal:
    """Minutes still to work, at the pace so far: the same as every page says is left."""
    return book.rows.forecast.left if book.rows.forecast else Decimal(0)


def _at(rate: int | None) -> Callable[[Any], Decimal] | None:
    return None if rate is None else lambda minutes: worked(minutes, rate)


def hours(book: Book) -> Iterator[CostLine]:
    """Hours worked, by person, at the rates of their days; and planned ones at the studio's rate of today."""
    for (_, name), days in _by_person(book.rows.worked).items():
        figure = _figure_of_days(days, book.rows.rates.work)
        line = CostLine("hours", name, "time", NOTHING, figure, figure)
        yield _known(line, Missing(f"No rate held for {name} on some of the days worked.", "rates"))
    at = _at(book.rows.rates.work(book.today))
    planned, coming = _figure(book.plan.minutes, at), _figure(to_come(book), at)
    line = CostLine("hours", "Planned, or still to come", "time", planned, NOTHING, coming)
    yield _known(line, Missing("An hour of the studio has no rate.", "rates"))


def _by_person(worked: tuple[WorkedRow, ...]) -> dict[tuple[int | None, str], list[WorkedRow]]:
    found: dict[tuple[int | None, str], list[WorkedRow]] = {}
    for row in worked:
        found.setdefault((row.person, row.name), []).append(row)
    return found


def _figure_of_days(days: list[WorkedRow], rate: Callable[..., int | None]) -> Figure:
    minutes = sum(day.minutes for day in days)
    parts = [(day.minutes, rate(day.day, day.person)) for day in days]
    if any(each is None for _, each in parts):
        return Figure(minutes, None)
    return Figure(minutes, half_up_minor(sum((worked(m, each) for m, each in parts if each), Decimal(0))))


def overhead(book: Book) -> Iterator[CostLine]:
    """On every hour, whoever works it."""
    at = _at(book.rows.rates.overhead(book.today))
    spent = _figure_of_days(list(book.rows.worked), lambda day, _person: book.rows.rates.overhead(day))
    left = _figure(to_come(book), at)
    both = None if None in (spent.amount, left.amount) else (spent.amount or 0) + (left.amount or 0)
    end = Figure((spent.quantity or 0) + (left.quantity or 0), both)
    line = CostLine("overhead", "On every hour", "time", _figure(book.plan.minutes, at), spent, end)
    yield _known(line, Missing("Overhead an hour is not set; 0 says there is none.", "rates"))


def left_out(book: Book) -> Iterator[Missing]:
    """Pieces whose cloth or hours nobody can reckon yet."""
    for piece in book.plan.pieces:
        if piece.problem:
            yield Missing(
                f"{piece.name} can't be planned, so its cloth and hours are left out.",
                "piece",
                piece.piece_id,
            )
        elif piece.fabric_id is None:
            yield Missing(f"{piece.name} has no fabric, so its cloth is left out.", "piece", piece.piece_id)
        if missing := not_chosen(piece):
            text = f"{piece.name} has no {' or '.join(missing)} chosen, so none is counted."
            yield Missing(text, "piece", piece.piece_id)
