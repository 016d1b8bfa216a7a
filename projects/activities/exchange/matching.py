"""Rows of a file that the studio has already: used where no plan changes by it, else added beside them.

A recipe is the same when every version of the file stands there under its number. A fabric is the same when
all it is known by is equal, every sample the project would be planned with is in the file, and what lies free
of it is what the file says; so two projects of one studio, brought one after the other, share their cloth
again. A notion is the same when it is equal and as much of it is free.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models

from projects.activities import balances
from projects.models import ClothLength, Fabric, Notion, Piece, Recipe, Sample
from projects.planning.load import samples_for
from projects.planning.uses import uses

from . import nouns
from .lay_rows import same_flaws
from .nouns import Noun
from .reading import Row

PRICES = ("price", "price_per")


def equal(noun: Noun, here: models.Model, row: Row, without: Iterable[str] = ()) -> bool:
    """Whether all plain fields of a row here are those of the file, apart from ``without``."""
    ours, theirs = noun.write(here), noun.write(noun.model(**row.values))
    return all(ours[key] == theirs[key] for key in noun.keys if key not in without)


def same_recipe(row: Row) -> Recipe | None:
    """A living recipe that has every version of the file's; their rows are noted where it is found."""
    for recipe in Recipe.objects.live().filter(name=row.values["name"]).order_by("pk"):
        here = {version.number: version for version in recipe.versions.all()}
        versions = row.parts["versions"]
        if equal(nouns.RECIPE, recipe, row) and all(_same_version(here, v) for v in versions):
            for version in versions:
                version.saved = here[version.values["number"]]
            return recipe
    return None


def _same_version(here: dict[int, Any], row: Row) -> bool:
    version = here.get(row.values["number"])
    return version is not None and version.content == row.content and equal(nouns.VERSION, version, row)


class Cloth:
    """Finds fabrics of the file among those that were here before it came, each at most once."""

    def __init__(self, rows: dict[str, list[Row]], *, prices: bool) -> None:
        self.without = () if prices else PRICES
        self.lengths = [row for row in rows["lengths"] if not row.content]
        self.samples = rows["samples"]
        self.cut = _cut_from(rows)
        versions = [p.links["version"] for p in rows["pieces"]]
        used = [Piece(version=version.saved) for version in versions if version]
        self.relevant = list(samples_for(used))
        self.taken: set[int] = set()

    def find(self, row: Row) -> Fabric | None:
        """The fabric here that can stand for the file's; its lengths are noted with it."""
        for fabric in Fabric.objects.live().filter(name=row.values["name"]).order_by("pk"):
            if fabric.pk in self.taken or not equal(nouns.FABRIC, fabric, row, self.without):
                continue
            lengths = self._lengths(fabric, row)
            if lengths is None or not self._knows_samples(fabric, row):
                continue
            for theirs, ours in lengths:
                theirs.saved = ours
            self.taken.add(fabric.pk)
            return fabric
        return None

    def _knows_samples(self, fabric: Fabric, row: Row) -> bool:
        """Whether the file holds every sample of this fabric that its project would be planned with."""
        theirs = [s for s in self.samples if s.links["fabric"] is row]
        ours = [s for s in self.relevant if s.fabric_id == fabric.pk]
        return all(any(same_sample(s, row) for row in theirs) for s in ours)

    def _lengths(self, fabric: Fabric, row: Row) -> list[tuple[Row, ClothLength]] | None:
        """Which lengths are the same ones; None where a plan would change by using this fabric."""
        rows = ClothLength.objects.live().filter(fabric=fabric).prefetch_related("flaws")
        here = list(rows.order_by("label", "pk"))
        free = {pk: balance.free for pk, balance in balances.balances(here).items()}
        pairs, left = [], []
        for theirs in (x for x in self.lengths if x.links["fabric"] is row):
            ours = next((x for x in here if _same_length(x, free[x.pk], theirs)), None)
            if ours is None:
                left.append(theirs)
            else:
                here.remove(ours)
                pairs.append((theirs, ours))
        more_here = id(row) in self.cut and any(free[x.pk] > 0 for x in here)
        more_there = any(x.stock and x.stock.free for x in left) and _used_elsewhere(fabric)
        return None if more_here or more_there else pairs


def _cut_from(rows: dict[str, list[Row]]) -> set[int]:
    """The fabrics of the file (by identity) that its project is cut from."""
    parts = [part for piece in rows["pieces"] for part in (*piece.parts["panels"], *piece.parts["edges"])]
    named = [row.links.get("fabric") for row in (*rows["pieces"], *parts, *rows["lays"])]
    named += [row.links.get(name) for row in rows["pieces"] for name in ("wadding", "backing")]
    return {id(row) for row in named if row}


def _same_length(here: ClothLength, free: int, row: Row) -> bool:
    same = row.stock is not None and free == row.stock.free and equal(nouns.LENGTH, here, row)
    return same and same_flaws(here, row)


def _used_elsewhere(fabric: Fabric) -> bool:
    return Piece.objects.live().filter(uses([fabric.pk]), project__deleted_at=None).exists()


def same_sample(here: Sample, row: Row) -> bool:
    return here.content == row.content and equal(nouns.SAMPLE, here, row)


def same_notion(row: Row, taken: set[int], *, prices: bool) -> Notion | None:
    """A living notion that is equal and of which as much is free."""
    without = () if prices else PRICES
    found = Notion.objects.live().filter(name=row.values["name"]).exclude(pk__in=taken).order_by("pk")
    for notion in found:
        free = balances.balance(notion).free
        if row.stock and free == row.stock.free and equal(nouns.NOTION, notion, row, without):
            return notion
    return None


Told = tuple[str, ...]
TOLD_BY = {"Recipe": ("name",), "Fabric": ("name", "colour"), "Notion": ("name", "colour", "size")}
"""What people tell rows apart by."""


def told(model: type[models.Model]) -> set[Told]:
    """What the studio's living rows are told apart by."""
    names = TOLD_BY[model.__name__]
    return set(model._default_manager.filter(deleted_at=None).values_list(*names))


def free_name(model: type[models.Model], values: dict[str, Any], before: set[Told]) -> str:
    """The name, with the next number behind it where another row could not be told from it."""
    name, *more = (values[key] for key in TOLD_BY[model.__name__])
    if (name, *more) not in before:
        return str(name)
    most = model._meta.get_field("name").max_length
    number = 2
    while (found := (f"{name[: most - 7]} ({number})", *more)) in before:
        number += 1
    before.add(found)
    return str(found[0])
