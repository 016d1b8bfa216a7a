"""The ledger of a length or a notion as far as it is one project's: what the project may use, and its lines.

A file says what is there for the project (on the shelf, less what others hold) and every line of the project
itself. Where it comes to, one line receives what those lines were booked against, and they follow.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from projects.activities import balances
from projects.models import ClothLength, Notion, Person, Project, StockEntry

from . import values
from .errors import refuse

Row = ClothLength | Notion
MOST = 10**13
MOST_LINES = 5_000
KEYS = ("available", "lines")
LINE_KEYS = ("kind", "amount", "at", "note")
KINDS = tuple(kind for kind, _ in StockEntry.KINDS)
CAME = "came with the file of a project"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the ledger; ``amount`` is signed, nm or thousandths."""

    kind: str
    amount: int
    at: datetime
    note: str


@dataclass(frozen=True, slots=True)
class Stock:
    """What of a length or notion a project may use, and its own lines, oldest first."""

    available: int
    lines: tuple[Line, ...]

    @property
    def on_shelf(self) -> int:
        """What its lines took off the shelf (negative) or counted in again."""
        return sum(line.amount for line in self.lines if line.kind in StockEntry.ON_SHELF)

    @property
    def held(self) -> int:
        return -sum(line.amount for line in self.lines if line.kind in StockEntry.HELD)

    @property
    def free(self) -> int:
        """What nobody holds."""
        return self.available - self.held


def cloth_to_write(project: Project, fabrics: set[int], also: Iterable[int | None]) -> list[ClothLength]:
    """Lengths of these fabrics that the project may use or has used, and those its lays are kept on."""
    used = StockEntry.objects.filter(project=project, cloth__isnull=False).values("cloth_id")
    named = Q(pk__in=[pk for pk in also if pk]) | Q(pk__in=used, fabric__in=fabrics)
    rows = ClothLength.objects.filter(named | Q(fabric__in=fabrics, deleted_at=None))
    lengths = list(rows.prefetch_related("flaws"))
    kept = balances.balances(lengths)
    ours = {pk for (pk,) in used.values_list("cloth_id")} | {pk for pk in also if pk}
    wanted = [x for x in lengths if x.pk in ours or kept[x.pk].free + kept[x.pk].reserved_for(project) > 0]
    return sorted(wanted, key=lambda length: (length.fabric_id, length.label, length.pk))


def written_stock(row: Row, project: Project) -> dict[str, Any]:
    """``available`` and ``lines`` of a length (nm) or a notion (thousandths of its unit)."""
    now = balances.balance(row)
    available = max(0, now.free + now.reserved_for(project))
    lines = StockEntry.objects.filter(**{balances.side(row): row}, project=project).order_by("pk")
    return {"available": available, "lines": [_written(line) for line in lines]}


def _written(line: StockEntry) -> dict[str, Any]:
    at = values.say_moment(line.at)
    return {"kind": line.kind, "amount": line.amount, "at": at, "note": line.note}


def read_stock(place: str, given: dict[str, Any]) -> Stock:
    """Raises Unreadable for lines that no ledger could hold."""
    available = values.whole(f"{place}.available", given["available"], 0, MOST)
    rows = values.a_list(f"{place}.lines", given["lines"], MOST_LINES)
    stock = Stock(available, tuple(_line(f"{place}.lines[{n}]", row) for n, row in enumerate(rows)))
    if stock.free < 0 or stock.held < 0:
        refuse(
            f"{place}.lines", f"Lines that reserve {stock.held} of {available}",
            "lines that reserve no more than is available",
        )  # fmt: skip
    if available - stock.on_shelf < 0:
        refuse(f"{place}.lines", "Lines that count in more than is there", "no more than is available")
    return stock


def _line(place: str, given: Any) -> Line:
    values.an_object(place, given, LINE_KEYS)
    kind = values.choice(f"{place}.kind", given["kind"], KINDS)
    amount = values.whole(f"{place}.amount", given["amount"], -MOST, MOST)
    if (
        kind in ("reserved", "cut", "wasted")
        and amount > 0
        or kind in ("received", "released")
        and amount < 0
    ):
        refuse(f"{place}.amount", f"{amount} {kind}", "a minus for what is taken or held, none for the rest")
    at = values.moment(f"{place}.at", given["at"])
    return Line(kind, amount, at, values.text(f"{place}.note", given["note"], 300))


def book(row: Row, project: Project, stock: Stock, *, person: Person | None, now: datetime) -> None:
    """Write the lines on a new length or notion: afterwards the project may use what the file says."""
    _add(row, "received", stock.available - stock.on_shelf, None, person, now, CAME)
    _follow(row, project, stock, person)


def book_more(row: Row, project: Project, stock: Stock, *, person: Person | None, now: datetime) -> None:
    """Write the lines on a length or notion that is here already with as much free as in the file: what the
    project holds and used comes on top, and what is free for everybody else stays as it was."""
    missing = stock.held - stock.on_shelf
    _add(row, "received" if missing > 0 else "counted", missing, None, person, now, CAME)
    _follow(row, project, stock, person)


def _follow(row: Row, project: Project, stock: Stock, person: Person | None) -> None:
    for line in stock.lines:
        _add(row, line.kind, line.amount, project, person, line.at, line.note)


def _add(
    row: Row, kind: str, amount: int, project: Project | None, person: Person | None, at: datetime, note: str
) -> None:
    if not amount and project is None:
        return
    entry = StockEntry(
        kind=kind,
        amount=amount,
        project=project,
        person=person,
        at=at,
        note=note,
        **{balances.side(row): row},
    )
    entry.save(force_insert=True)
