"""What the ledger of stock adds up to: on the shelf, held for projects, free.

The sums over all projects are kept beside each row with every line; ``recount`` makes them from the ledger.
Amounts are whole nanometres of a length of cloth, or thousandths of a notion's unit.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeVar

from django.db import transaction
from django.db.models import F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from projects.models import ClothLength, Notion, Project, StockEntry

Row = ClothLength | Notion
Rows = TypeVar("Rows", bound="QuerySet[ClothLength] | QuerySet[Notion]")

ON_SHELF = Q(kind__in=StockEntry.ON_SHELF)
HELD = Q(kind__in=StockEntry.HELD)


def side(row: Row) -> str:
    """Which column of the ledger a row stands in."""
    return "cloth" if isinstance(row, ClothLength) else "notion"


@dataclass(frozen=True, slots=True)
class Balance:
    """What lies on the shelf, and what of it is held for which project (by project id)."""

    on_shelf: int = 0
    held: Mapping[int | None, int] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def reserved(self) -> int:
        return sum(self.held.values())

    @property
    def free(self) -> int:
        return self.on_shelf - self.reserved

    def reserved_for(self, project: Project | None) -> int:
        return self.held.get(project.pk, 0) if project else 0


def balances(rows: Iterable[Row]) -> dict[int, Balance]:
    """The balances of many lengths, or of many notions, by primary key, in one query."""
    listed = list(rows)
    if not listed:
        return {}
    column = side(listed[0])
    sums = (
        StockEntry.objects.filter(**{f"{column}__in": listed})
        .order_by()
        .values(column, "project_id")
        .annotate(
            shelf=Coalesce(Sum("amount", filter=ON_SHELF), 0), held=Coalesce(Sum("amount", filter=HELD), 0)
        )
    )
    shelf, held = dict.fromkeys((r.pk for r in listed), 0), {r.pk: {} for r in listed}
    for line in sums:
        shelf[line[column]] += line["shelf"]
        if line["held"]:
            held[line[column]][line["project_id"]] = -line["held"]
    return {pk: Balance(shelf[pk], MappingProxyType(held[pk])) for pk in shelf}


def balance(row: Row) -> Balance:
    return balances([row])[row.pk]


def on_shelf(row: Row) -> int:
    return balance(row).on_shelf


def free(row: Row) -> int:
    return balance(row).free


def reserved_for(row: Row, project: Project) -> int:
    return balance(row).reserved_for(project)


def with_balances(rows: Rows) -> Rows:
    """The same rows, each with ``on_shelf``, ``reserved`` and ``free``, in the one query that reads them."""
    return rows.annotate(on_shelf=F("shelf"), reserved=F("held"), free=F("shelf") - F("held"))


@dataclass(frozen=True, slots=True)
class Difference:
    """A row whose kept balance was not what its ledger comes to."""

    row: Row
    shelf: int
    held: int
    """What the ledger says; the row itself still shows what was kept."""


BATCH = 500


def recount(*, mend: bool = True) -> list[Difference]:
    """Compare every kept balance with its ledger, a batch at a time; without ``mend`` nothing is written."""
    found: list[Difference] = []
    for model in (ClothLength, Notion):
        last = 0
        later = model.objects.order_by("pk").values_list("pk", flat=True)
        while keys := list(later.filter(pk__gt=last)[:BATCH]):
            found += _recount(model, keys, mend)
            last = keys[-1]
    return found


@transaction.atomic
def _recount(model: type[Row], keys: list[int], mend: bool) -> list[Difference]:
    """One batch, held until it is written, so that no booking falls between."""
    rows = list(model.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    true = balances(rows)
    found = [
        Difference(row, now.on_shelf, now.reserved)
        for row in rows
        if ((now := true[row.pk]).on_shelf, now.reserved) != (row.shelf, row.held)
    ]
    for difference in found if mend else ():
        kept = {"shelf": difference.shelf, "held": difference.held}
        model.objects.filter(pk=difference.row.pk).update(**kept)
    return found
