"""Balances and words of rows that were there before the columns were: the second of three steps.

The columns came empty (0002), are filled here from the ledger and the rows' own texts, and are searched
through indexes made afterwards (0004). A batch at a time, so that a large studio needs little memory; run
again after an interruption it writes the same.
"""

import unicodedata
from collections.abc import Iterable, Iterator
from typing import Any

from django.db import migrations
from django.db.models import Q, Sum

BATCH = 500
ON_SHELF = Q(kind__in=("received", "cut", "wasted", "counted"))
HELD = Q(kind__in=("reserved", "released"))


def folded(texts: Iterable[str]) -> str:
    plain = "\n".join(text for text in texts if text).replace("\x00", " ")
    small = unicodedata.normalize("NFKC", plain).casefold()
    return unicodedata.normalize("NFKC", small)


def batches(rows: Any) -> Iterator[list[Any]]:
    last = 0
    while batch := list(rows.filter(pk__gt=last).order_by("pk")[:BATCH]):
        yield batch
        last = batch[-1].pk


def sums(apps: Any, column: str, batch: list[Any]) -> dict[int, tuple[int, int]]:
    entries = apps.get_model("projects", "StockEntry").objects.filter(**{f"{column}__in": batch})
    found = entries.order_by().values(column)
    found = found.annotate(shelf=Sum("amount", filter=ON_SHELF), kept=Sum("amount", filter=HELD))
    return {line[column]: (line["shelf"] or 0, -(line["kept"] or 0)) for line in found}


def kind_said(fabric: Any) -> tuple[str, ...]:
    return (fabric.name, fabric.fibre, fabric.colour, fabric.get_family_display())


def fabric_said(fabric: Any) -> tuple[str, ...]:
    return (*kind_said(fabric), fabric.place, fabric.notes)


def length_said(length: Any) -> tuple[str, ...]:
    place = length.place or length.fabric.place
    return (length.label, length.dye_lot, *kind_said(length.fabric), place, length.notes)


def notion_said(notion: Any) -> tuple[str, ...]:
    kind = (notion.name, notion.get_kind_display(), notion.colour, notion.get_family_display())
    return (*kind, notion.size, notion.place, notion.notes)


def fill(apps: Any, schema_editor: Any) -> None:
    fabrics = apps.get_model("projects", "Fabric").objects
    for batch in batches(fabrics.all()):
        for fabric in batch:
            fabric.words = folded(fabric_said(fabric))
        fabrics.bulk_update(batch, ["words"])
    fill_balanced(apps, "ClothLength", "cloth", length_said)
    fill_balanced(apps, "Notion", "notion", notion_said)


def fill_balanced(apps: Any, name: str, column: str, said: Any) -> None:
    rows = apps.get_model("projects", name).objects
    for batch in batches(rows.select_related("fabric") if column == "cloth" else rows.all()):
        found = sums(apps, column, batch)
        for row in batch:
            row.shelf, row.held = found.get(row.pk, (0, 0))
            row.words = folded(said(row))
        rows.bulk_update(batch, ["shelf", "held", "words"])


class Migration(migrations.Migration):
    dependencies = [("projects", "0002_breadth")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
