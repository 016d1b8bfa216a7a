"""How long it takes to look through a large stash, and that it asks as often as in a small one.

20,000 fabrics, 40,000 lengths and 50,000 notions, each with its ledger. What is measured is processor time of
this process: with PostgreSQL (``DATABASE_URL``) that leaves out what the database does in its own.

Run: python -m tests.bench.stash_bench. It works in a database of its own, which it removes.
"""

import random
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from typing import Any

# First of all, for it sets Django up.
from tests.bench.common import compare, in_own_database  # isort: skip

from django.db.models import F
from django.test import Client as Browser
from django.utils import timezone

from projects.models import ClothLength, Fabric, Notion, Person, Project, StockEntry
from projects.models.fabric import FAMILIES
from tests import make

LIMIT_MS = 150.0
FEW, MANY = 100, 20_000
BATCH = 2_000
ADDRESSES = (
    "/cloth/",
    "/cloth/?words=voile",
    "/cloth/?words=ivory+silk",
    "/cloth/?words=fabric+17",
    "/cloth/?words=nothing+of+the+kind",
    "/cloth/?family=blue&only_free=on",
    "/cloth/?words=linen&grams_from=90&grams_to=300&free=2",
    "/cloth/?free=9+m&pieces=30",
    "/cloth/?place=shelf+7",
    "/cloth/?what=fabrics",
    "/cloth/?what=lengths&words=wool&page=3",
    "/cloth/?what=notions&words=buttons",
    "/search/?q=ivory",
)
STUFFS = ("linen", "cotton", "silk", "wool", "velvet", "hemp", "ramie", "viscose")
WEAVES = ("voile", "lawn", "twill", "challis", "taffeta", "poplin", "crêpe", "satin")
COLOURS = ("ivory", "slate", "madder", "indigo", "weld", "walnut", "verdigris", "black")
NOTIONS = ("buttons", "thread", "zips", "cord", "tape", "hooks")
NOTES = "Bought for the concert coat; what is left over may be used for facings and samples."


def fabrics(number: int, first: int, draw: random.Random) -> Iterator[Fabric]:
    for n in range(first, first + number):
        stuff, colour = draw.choice(STUFFS), draw.choice(COLOURS)
        yield Fabric(
            name=f"{stuff.title()} {draw.choice(WEAVES)}, fabric {n}",
            fibre=stuff,
            colour=colour,
            family=draw.choice(FAMILIES)[0],
            width=draw.randrange(900, 1_600) * make.MM,
            grams=draw.randrange(60, 500),
            place=f"shelf {n % 90}",
            notes=NOTES if n % 3 == 0 else "",
        )


def lengths(of: Iterable[Fabric], draw: random.Random) -> Iterator[ClothLength]:
    for fabric in of:
        for letter in "AB":
            lot = f"K-{draw.randrange(900)}"
            yield ClothLength(fabric=fabric, label=f"{letter}{fabric.pk}", dye_lot=lot)


def notions(number: int, first: int, draw: random.Random) -> Iterator[Notion]:
    for n in range(first, first + number):
        what = draw.choice(NOTIONS)
        yield Notion(
            name=f"{draw.choice(COLOURS).title()} {what} {n}",
            kind="button" if what == "buttons" else "other",
            colour=draw.choice(COLOURS),
            family=draw.choice(FAMILIES)[0],
            size=f"{draw.randrange(6, 40)} mm",
            place=f"drawer {n % 60}",
            notes=NOTES if n % 3 == 0 else "",
        )


def add_all(rows: Iterable[Any]) -> list[Any]:
    """Written at once, with the words they are found by."""
    listed = list(rows)
    for row in listed:
        row.words = row.words_now()
    return type(listed[0]).objects.bulk_create(listed, batch_size=BATCH)


def book(
    rows: list[Any], column: str, scale: int, world: tuple[Person, Project], draw: random.Random
) -> None:
    """A ledger of two to three lines for each row, and the balance it comes to beside it."""
    person, project = world
    entries = []
    for row in rows:
        came, went = draw.randrange(4, 100), draw.randrange(0, 3)
        held = draw.randrange(0, 3) if row.pk % 4 == 0 else 0
        kinds = (("received", came, None), ("cut", -went, project), ("reserved", -held, project))
        for kind, amount, whose in kinds:
            if amount:
                line = {"kind": kind, "amount": amount * scale, "project": whose, "person": person}
                entries.append(StockEntry(at=timezone.now(), **line, **{column: row}))
        row.shelf, row.held = (came - went) * scale, held * scale
    StockEntry.objects.bulk_create(entries, batch_size=BATCH)
    type(rows[0]).objects.bulk_update(rows, ["shelf", "held"], batch_size=BATCH)


def growing(world: tuple[Person, Project]) -> Callable[[int], None]:
    draw = random.Random(3)

    def grow(number: int) -> None:
        first = Fabric.objects.count()
        cloth = add_all(fabrics(number, first, draw))
        book(add_all(lengths(cloth, draw)), "cloth", 100 * make.MM, world, draw)
        book(add_all(notions(number * 5 // 2, first * 5 // 2, draw)), "notion", 1_000, world, draw)

    return grow


def run() -> bool:
    make.workroom()
    person = make.person("wren", role=Person.OWNER)
    page = Browser()
    page.force_login(person)
    coat = make.project("Concert coat", due=date(2026, 12, 3))
    grow = growing((person, coat))
    grow(FEW)
    good = compare(page, ADDRESSES, (FEW, MANY), lambda: grow(MANY - FEW), LIMIT_MS)
    counts = f"{Fabric.objects.count():,} fabrics, {ClothLength.objects.count():,} lengths, "
    counts += f"{Notion.objects.count():,} notions, {StockEntry.objects.count():,} lines"
    wrong = ClothLength.objects.filter(held__gt=F("shelf")).count()
    print(counts + (f"; {wrong} balances are impossible" if wrong else ""))
    return good and not wrong


if __name__ == "__main__":
    raise SystemExit(in_own_database(run))
