"""Finding cloth and notions by what the work asks for: words, colour family, weight, amount free, place.

Reading only. The words of a row are kept folded in one column, so one pass over a table finds them; the
balance stands in the row, so no ledger is summed. Counting stops at ``MOST_COUNTED``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import BigIntegerField, Exists, F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce, StrIndex
from django.db.models.lookups import GreaterThan, IsNull

from projects.models import ClothLength, Fabric, Notion
from projects.models.finding import folded

MOST_COUNTED = 1_000


@dataclass(frozen=True, slots=True)
class Asked:
    """What is looked for. ``free`` is nm of cloth, ``pieces`` thousandths of a notion's unit; None: any."""

    words: tuple[str, ...] = ()
    family: str = ""
    grams_from: Decimal | None = None
    grams_to: Decimal | None = None
    free: int | None = None
    pieces: int | None = None
    place: str = ""
    only_free: bool = False

    @property
    def weight(self) -> bool:
        return self.grams_from is not None or self.grams_to is not None

    @property
    def nothing(self) -> bool:
        """Nothing narrows the search."""
        return self == Asked()


def with_words(rows: QuerySet[Any], words: Sequence[str]) -> QuerySet[Any]:
    """Rows in whose ``words`` each of ``words`` stands."""
    for word in words:
        rows = rows.filter(GreaterThan(StrIndex(F("words"), Value(folded(word))), 0))
    return rows


def living(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Rows that are not deleted, read in the table's own order: by an index on the date a database would
    fetch nearly all of them one by one, which takes three times as long."""
    return rows.filter(IsNull(Coalesce(F("deleted_at"), F("deleted_at")), True))


def fabrics(asked: Asked) -> QuerySet[Fabric]:
    """Fabrics; what is free of one is the sum over its lengths."""
    rows = _kind_of(with_words(living(Fabric.objects.all()), asked.words), asked)
    if asked.place:
        rows = _kept_at(rows, asked.place)
    its = ClothLength.objects.filter(fabric=OuterRef("pk"), deleted_at=None).order_by()
    if asked.only_free:
        rows = rows.filter(Exists(its.filter(shelf__gt=F("held"))))
    if asked.free is not None:
        sums = its.values("fabric").annotate(free=Sum(F("shelf") - F("held"))).values("free")
        free = Coalesce(Subquery(sums), 0, output_field=BigIntegerField())
        rows = rows.alias(free=free).filter(free__gte=asked.free)
    return rows


def lengths(asked: Asked) -> QuerySet[ClothLength]:
    """Lengths, each by what is free on itself; colour and weight are its fabric's."""
    rows = with_words(living(ClothLength.objects.all()), asked.words)
    rows = rows.exclude(fabric__in=Fabric.objects.filter(deleted_at__isnull=False))
    if asked.family or asked.weight:
        its = Fabric.objects.filter(pk=OuterRef("fabric_id")).order_by()
        rows = rows.filter(Exists(_kind_of(its, asked)))
    if asked.place:
        fabrics_there = Fabric.objects.order_by().filter(_place(asked.place))
        here = _place(asked.place) | Q(place="", fabric__in=fabrics_there)
        rows = with_words(rows, [asked.place]).filter(here)
    return _free(rows, asked, asked.free)


def notions(asked: Asked) -> QuerySet[Notion]:
    rows = with_words(living(Notion.objects.all()), asked.words)
    if asked.family:
        rows = rows.filter(family=asked.family)
    if asked.place:
        rows = _kept_at(rows, asked.place)
    return _free(rows, asked, asked.pieces)


def _kind_of(rows: QuerySet[Fabric], asked: Asked) -> QuerySet[Fabric]:
    if asked.family:
        rows = rows.filter(family=asked.family)
    if asked.grams_from is not None:
        rows = rows.filter(grams__gte=asked.grams_from)
    if asked.grams_to is not None:
        rows = rows.filter(grams__lte=asked.grams_to)
    return rows


def _place(place: str) -> Q:
    """The place holds ``place``. Beyond a to z not every database folds letters; the words did already."""
    return Q(place__icontains=place) if place.isascii() else ~Q(place="")


def _kept_at(rows: QuerySet[Any], place: str) -> QuerySet[Any]:
    """The folded words are looked at first: they know small letters of every alphabet and are quick."""
    return with_words(rows, [place]).filter(_place(place))


def _free(rows: QuerySet[Any], asked: Asked, least: int | None) -> QuerySet[Any]:
    if asked.only_free:
        rows = rows.filter(shelf__gt=F("held"))
    return rows if least is None else rows.filter(shelf__gte=F("held") + least)


def left_out(noun: str, asked: Asked) -> str:
    """Why a noun is not looked at: something is asked of it that it does not have."""
    if noun == "notions" and asked.weight:
        return "Notions have no weight, so none is listed."
    if noun == "notions" and asked.free is not None and asked.pieces is None:
        return "An amount of cloth is asked for, so no notion is listed."
    if noun != "notions" and asked.pieces is not None and asked.free is None:
        return "An amount of a notion is asked for, so no cloth is listed."
    return ""


@dataclass(frozen=True, slots=True)
class Listed:
    """One page of what was found: ``rows`` in order, ``total`` counted up to ``MOST_COUNTED``, ``more`` than
    that; ``number`` is this page's, ``last`` that none follows."""

    rows: tuple[Any, ...]
    total: int
    more: bool
    number: int
    last: bool

    @property
    def before(self) -> int:
        return self.number - 1

    @property
    def after(self) -> int:
        return self.number + 1


def listed(
    rows: QuerySet[Any], order: str, *, size: int, number: int = 1, related: Sequence[str] = ()
) -> Listed:
    """A page of ``rows`` by ``order`` and primary key, in two queries whatever is found.

    Of few, keys and names are read in one pass over the table and sorted here; of many, the database walks
    its index in order and stops early. ``related`` are rows read along.
    """
    found = list(rows.order_by().values_list(order, "pk")[: MOST_COUNTED + 1])
    if len(found) > MOST_COUNTED:
        rows = rows.filter(deleted_at=None).order_by(order, "pk")
        return _of_many(rows.select_related(*related) if related else rows, size, max(1, number))
    pages = max(1, -(-len(found) // size))
    number = min(max(1, number), pages)
    keys = [pk for _, pk in sorted(found)[(number - 1) * size : number * size]]
    whole = rows.model._default_manager.filter(pk__in=keys)
    by = {row.pk: row for row in (whole.select_related(*related) if related else whole)}
    return Listed(tuple(by[pk] for pk in keys if pk in by), len(found), False, number, number == pages)


def _of_many(rows: QuerySet[Any], size: int, number: int) -> Listed:
    start = (number - 1) * size
    page = list(rows[start : start + size + 1])
    return Listed(tuple(page[:size]), MOST_COUNTED, True, number, len(page) <= size)
