"""What the stash shows of what it found: balances, whom it is held for, a picture."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, Sum
from django.urls import reverse

from projects.activities.finding_cloth import Asked, Listed, fabrics, left_out, lengths, listed, notions
from projects.calc.units import grouped
from projects.models import ClothLength, Fabric, Notion, Photo, StockEntry

SHOWN, PAGE = 5, 50


@dataclass(slots=True)
class Line:
    """One row found. ``held_for`` are (project's key, title, amount); amounts are those of the ledger."""

    row: Any
    address: str
    place: str
    shelf: int = 0
    held: int = 0
    lengths: int = 0
    held_for: list[tuple[int, str, int]] = field(default_factory=list)
    photo: Photo | None = None

    @property
    def free(self) -> int:
        return self.shelf - self.held


@dataclass(frozen=True, slots=True)
class Group:
    """One noun: its lines on this page, how many there are in all, or why none is looked for."""

    key: str
    title: str
    listed: Listed
    lines: list[Line]
    left_out: str = ""

    @property
    def one(self) -> str:
        return self.title.lower().removesuffix("s")

    @property
    def said(self) -> str:
        """How many there are."""
        total = grouped(self.listed.total)
        return f"more than {total}" if self.listed.more else total


NOTHING = Listed((), 0, False, 1, True)
NOUNS: tuple[tuple[str, str, Callable[[Asked], Any], str], ...] = (
    ("fabrics", "Fabrics", fabrics, "name"),
    ("lengths", "Lengths", lengths, "label"),
    ("notions", "Notions", notions, "name"),
)


def groups(asked: Asked, what: str, number: int) -> list[Group]:
    """Short lists of all nouns, or one page of the noun ``what``."""
    found = []
    for key, title, look, order in NOUNS:
        if what and key != what:
            continue
        why = left_out(key, asked)
        size = PAGE if what else SHOWN
        related = ("fabric",) if key == "lengths" else ()
        page = NOTHING if why else listed(look(asked), order, size=size, number=number, related=related)
        found.append(Group(key, title, page, _LINES[key](page.rows), why))
    _add_photos([line for group in found for line in group.lines])
    return found


def _fabric_lines(rows: Iterable[Fabric]) -> list[Line]:
    lines = {row.pk: Line(row, reverse("fabric", args=[row.pk]), row.place) for row in rows}
    living = ClothLength.objects.live().filter(fabric__in=list(lines)).order_by().values("fabric_id")
    for sums in living.annotate(there=Sum("shelf"), kept=Sum("held"), count=Count("pk")):
        line = lines[sums["fabric_id"]]
        line.shelf, line.held, line.lengths = sums["there"], sums["kept"], sums["count"]
    _add_held(lines, "cloth__fabric_id", cloth__deleted_at=None)
    return list(lines.values())


def _balanced_lines(rows: Iterable[Any], name: str, column: str) -> list[Line]:
    lines = {}
    for row in rows:
        place = row.kept_at if isinstance(row, ClothLength) else row.place
        lines[row.pk] = Line(row, reverse(name, args=[row.pk]), place, row.shelf, row.held)
    _add_held(lines, column)
    return list(lines.values())


_LINES: dict[str, Callable[[Iterable[Any]], list[Line]]] = {
    "fabrics": _fabric_lines,
    "lengths": lambda rows: _balanced_lines(rows, "length", "cloth_id"),
    "notions": lambda rows: _balanced_lines(rows, "notion", "notion_id"),
}


def _add_held(lines: dict[int, Line], column: str, **more: Any) -> None:
    """Whom what is reserved is held for, one query."""
    entries = StockEntry.objects.filter(kind__in=StockEntry.HELD, **{f"{column}__in": list(lines)}, **more)
    sums = entries.filter(project__deleted_at=None).order_by("project__number")
    for line in sums.values(column, "project_id", "project__title").annotate(kept=Sum("amount")):
        if line["project_id"] and line["kept"]:
            held = (line["project_id"], line["project__title"], -line["kept"])
            lines[line[column]].held_for.append(held)


def _add_photos(lines: list[Line]) -> None:
    """The first photograph of each fabric and notion; a length shows its fabric's. One query for all."""
    cloth = {key for line in lines if (key := _fabric_of(line.row))}
    others = {line.row.pk for line in lines if isinstance(line.row, Notion)}
    photos = Photo.objects.live().filter(fabric__in=cloth) | Photo.objects.live().filter(notion__in=others)
    first: dict[tuple[str, int], Photo] = {}
    for photo in photos.order_by("-pk"):
        if photo.fabric_id:
            first["fabric", photo.fabric_id] = photo
        if photo.notion_id:
            first["notion", photo.notion_id] = photo
    for line in lines:
        key = _fabric_of(line.row)
        line.photo = first.get(("fabric", key) if key else ("notion", line.row.pk))


def _fabric_of(row: Any) -> int | None:
    if isinstance(row, ClothLength):
        return row.fabric_id
    return row.pk if isinstance(row, Fabric) else None
