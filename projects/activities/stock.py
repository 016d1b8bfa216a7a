"""The ledger of stock: what people book on a length of cloth or on a notion.

Amounts are whole nanometres of a length, or thousandths of a notion's unit, always positive here; the sign
in the ledger follows from the kind. Each booking locks its length or notion, sums its lines and adds one,
in one transaction: stock never goes below nothing, and no more is reserved than lies on the shelf.
"""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from projects.models import Person, Project, StockEntry

from .balances import Balance, Row, balance, side

MOST = 10**13
"""The most one line may hold: 10 km of cloth, or ten thousand million of a notion."""


class StockError(ValueError):
    """A booking that can't be: ``text`` says why, with amounts as its ``write`` puts them.

    ``field`` is the form field it belongs to; ``asked`` and ``there`` are the amounts it is about.
    """

    def __init__(self, pattern: str, *, asked: int = 0, there: int = 0, field: str = "amount") -> None:
        super().__init__(pattern)
        self.pattern, self.asked, self.there, self.field = pattern, asked, there, field

    def text(self, write: Callable[[int], str], short: Callable[[int], str] | None = None) -> str:
        """Why, in words. ``short`` may write what is there more coarsely, where the two still differ."""
        asked, there = write(self.asked), (short or write)(self.there)
        return self.pattern.format(asked=asked, there=write(self.there) if there == asked else there)

    def __str__(self) -> str:
        return self.text(str)


@transaction.atomic
def receive(
    *, row: Row, amount: int, person: Person | None, note: str = "", at: datetime | None = None
) -> StockEntry:
    """Cloth or notions came in."""
    _lock(row)
    return _add(row, "received", _positive(amount), None, person, note, at)


@transaction.atomic
def reserve(
    *,
    row: Row,
    project: Project,
    amount: int,
    person: Person | None,
    note: str = "",
    at: datetime | None = None,
) -> StockEntry:
    """Hold ``amount`` for a project; no more than is free."""
    there = _lock(row).free
    if _positive(amount) > there:
        raise StockError(
            "Only {there} is free; {asked} can't be reserved. Reserve less, or release some first.",
            asked=amount,
            there=there,
        )
    return _add(row, "reserved", -amount, project, person, note, at)


@transaction.atomic
def release(
    *,
    row: Row,
    project: Project,
    amount: int,
    person: Person | None,
    note: str = "",
    at: datetime | None = None,
) -> StockEntry:
    """Give back what was held for a project; no more than is held for it."""
    there = _lock(row).reserved_for(project)
    if _positive(amount) > there:
        raise StockError(
            "Only {there} is reserved for this project; {asked} can't be released.", asked=amount, there=there
        )
    return _add(row, "released", amount, project, person, note, at)


@transaction.atomic
def cut(
    *,
    row: Row,
    amount: int,
    person: Person | None,
    project: Project | None = None,
    note: str = "",
    at: datetime | None = None,
) -> StockEntry:
    """Take ``amount`` off the shelf for the work; what was held for the project is used first."""
    return _take(row, "cut", amount, project, person, note, at)


@transaction.atomic
def waste(
    *,
    row: Row,
    amount: int,
    person: Person | None,
    project: Project | None = None,
    note: str = "",
    at: datetime | None = None,
) -> StockEntry:
    """``amount`` is lost: a fault, a stain, a wrong cut. What was held for the project goes first."""
    return _take(row, "wasted", amount, project, person, note, at)


@transaction.atomic
def count(
    *, row: Row, total: int, person: Person | None, note: str = "", at: datetime | None = None
) -> StockEntry:
    """Somebody counted: ``total`` lies there now. The line holds the difference, which may be 0."""
    now = _lock(row)
    if not 0 <= total <= MOST:
        raise StockError(
            "{asked} is not something one can count here; it is between nothing and {there}.",
            asked=total,
            there=MOST,
        )
    if total < now.reserved:
        raise StockError(
            "{there} is reserved, more than the {asked} counted. Release some of it first.",
            asked=total,
            there=now.reserved,
        )
    return _add(row, "counted", total - now.on_shelf, None, person, note, at)


@transaction.atomic
def uncut(*, entry: StockEntry, person: Person | None, note: str, at: datetime | None = None) -> int:
    """What a ``cut`` line took was not cut after all: it is counted in again, and what the project held of it
    is held again. Returns the amount. Raises ``StockError`` where the length was deleted meanwhile."""
    row = entry.cloth or entry.notion
    _lock(row)
    before = row.entries.filter(pk__lt=entry.pk).order_by("pk").last()
    _add(row, "counted", -entry.amount, entry.project, person, note, at)
    if before is not None and before.project_id == entry.project_id and _gave_back(before, entry):
        _add(row, "reserved", -before.amount, entry.project, person, note, at)
    return -entry.amount


def _gave_back(before: StockEntry, entry: StockEntry) -> bool:
    """Whether a line is the release that ``_take`` wrote with the line after it."""
    return before.kind == "released" and before.note == f"{entry.kind} now"


_TOO_MUCH = {
    (False, False): "Only {there} is there; {asked} can't be taken. Take less, or count the shelf again.",
    (False, True): "Only {there} is free, the rest is reserved; {asked} can't be taken. "
    "Choose the project it is reserved for, or take less.",
    (True, False): "Only {there} is there; {asked} can't be taken. Take less, or count the shelf again.",
    (True, True): "Only {there} is free or reserved for this project; {asked} can't be taken. "
    "Take less, or count the shelf again.",
}
"""By whether a project was named, and whether anything is reserved."""


def _take(
    row: Row,
    kind: str,
    amount: int,
    project: Project | None,
    person: Person | None,
    note: str,
    at: datetime | None,
) -> StockEntry:
    now = _lock(row)
    there = now.free + now.reserved_for(project)
    if _positive(amount) > there:
        raise StockError(_TOO_MUCH[bool(project), bool(now.reserved)], asked=amount, there=there)
    given_back = min(amount, now.reserved_for(project))
    if given_back:
        _add(row, "released", given_back, project, person, f"{kind} now", at)
    return _add(row, kind, -amount, project, person, note, at)


def _lock(row: Row) -> Balance:
    """Hold the row until the transaction ends, and read its balance as it then is."""
    held = type(row)._default_manager.select_for_update().get(pk=row.pk)
    if not held.is_live:
        raise StockError(
            "It was deleted meanwhile, so nothing can be booked on it. Bring it back under Deleted first.",
            field="",
        )
    return balance(held)


def _positive(amount: int) -> int:
    if isinstance(amount, bool) or not isinstance(amount, int) or not 0 < amount <= MOST:
        raise StockError(
            "{asked} can't be booked; an amount is more than nothing and at most {there}.",
            asked=amount,
            there=MOST,
        )
    return amount


def _add(
    row: Row,
    kind: str,
    amount: int,
    project: Project | None,
    person: Person | None,
    note: str,
    at: datetime | None,
) -> StockEntry:
    when = at or timezone.now()
    entry = StockEntry(
        kind=kind, amount=amount, project=project, person=person, note=note, at=when, **{side(row): row}
    )
    entry.full_clean()
    entry.save(force_insert=True)
    return entry
