"""Hours, fabrics and notions as rows for a spreadsheet, read a stretch at a time.

Lengths are decimals in the studio's units, named in the heading. A text that a spreadsheet would take for a
formula gets an apostrophe before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from projects.calc.lengths import UNITS, System
from projects.models import ClothLength, Fabric, LabourLog, Notion, Person, Workroom
from projects.planning.stages import stage_titles

AT_ONCE = 500
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
SMALL = {System.METRIC: "mm", System.INCH: "in"}
WIDE = {System.METRIC: "cm", System.INCH: "in"}
LONG = {System.METRIC: "m", System.INCH: "yd"}
Cells = list[str]


def text(value: object) -> str:
    """A text as a spreadsheet should show it."""
    found = str(value)
    return f"'{found}" if found.startswith(_FORMULA) else found


def length(nm: int | None, unit: str) -> str:
    """A length in one unit: exact in metres and their parts, to a ten-thousandth in the others."""
    if nm is None:
        return ""
    found = Decimal(nm) / UNITS[unit]
    return plain(found if unit in ("mm", "cm", "m") else found.quantize(Decimal("0.0001")))


def plain(value: Decimal | None) -> str:
    """A decimal without needless noughts; empty where it is not known."""
    if value is None:
        return ""
    found = format(value, "f")
    return found.rstrip("0").rstrip(".") if "." in found else found


def yes(value: bool) -> str:
    return "yes" if value else "no"


def hours(*, person: Person | None, first: date | None, last: date | None, zone: ZoneInfo) -> Iterator[Cells]:
    """Finished logs by date; of one person, or of everybody where ``person`` is None. Times as the clock of
    ``zone`` showed them, which is named."""
    titles = stage_titles()
    yield [
        "Date", "Who", "Number", "Project", "Stage", "Step", "Minutes", "Done again", "Start",
        "End", "Clock", "Note",
    ]  # fmt: skip
    logs = LabourLog.objects.filter(removed_at=None, minutes__isnull=False)
    if person is not None:
        logs = logs.filter(person=person)
    logs = logs.filter(date__gte=first) if first else logs
    logs = logs.filter(date__lte=last) if last else logs
    rows = logs.select_related("project", "person", "step").order_by("date", "pk")
    for log in rows.iterator(chunk_size=AT_ONCE):
        yield [
            log.date.isoformat(), text(log.who), str(log.project.number) if log.project else "",
            text(log.project.title) if log.project else "", text(titles.get(log.stage, log.stage)),
            text(log.step.title) if log.step else "", str(log.minutes), yes(log.rework),
            _moment(log.started_at, zone), _moment(log.ended_at, zone), str(zone), text(log.note),
        ]  # fmt: skip


def _moment(at: datetime | None, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}" if at else ""


def fabrics(*, workroom: Workroom, prices: bool) -> Iterator[Cells]:
    """Every living length with its fabric before it; a fabric without any stands once."""
    system = System(workroom.units)
    small, wide, long = SMALL[system], WIDE[system], LONG[system]
    yield [
        "Fabric", "Made of", "Colour", "Colour family", f"Usable width, {wide}", "Weight, g/m²",
        f"Thickness, {small}", "Share of light let through", "Shrinkage along", "Shrinkage across", "One-way",
        "Raised", "Sheer", "Iron at most", "Kept at",
        *([f"Price, {workroom.currency}", "Price is for"] if prices else []), "Notes", "Length", "Dye lot",
        f"Width of the length, {wide}", "Washed", "Length kept at", f"On the shelf, {long}",
        f"Reserved, {long}", f"Free, {long}",
    ]  # fmt: skip
    for fabric, piece in _cloth():
        yield [*_fabric(fabric, small, wide, prices), *_length(piece, wide, long)]


def _cloth() -> Iterator[tuple[Fabric, ClothLength | None]]:
    """Fabrics by name with their lengths, so many at a time."""
    rows = Fabric.objects.live().order_by("name", "pk").iterator(chunk_size=AT_ONCE)
    for stretch in _stretches(rows):
        lengths = ClothLength.objects.live().filter(fabric__in=stretch).order_by("label", "pk")
        found: dict[int, list[ClothLength]] = {}
        for row in lengths:
            found.setdefault(row.fabric_id, []).append(row)
        for fabric in stretch:
            yield from ((fabric, piece) for piece in found.get(fabric.pk, [None]))


def _stretches(rows: Iterable[Fabric]) -> Iterator[list[Fabric]]:
    stretch: list[Fabric] = []
    for row in rows:
        stretch.append(row)
        if len(stretch) == AT_ONCE:
            yield stretch
            stretch = []
    if stretch:
        yield stretch


def _fabric(row: Fabric, small: str, wide: str, prices: bool) -> Cells:
    priced = [plain(row.price), row.get_price_per_display() if row.price is not None else ""]
    return [
        text(row.name), text(row.fibre), text(row.colour), row.get_family_display(), length(row.width, wide),
        plain(row.grams), length(row.thickness, small), plain(row.light), plain(row.shrink_along),
        plain(row.shrink_across), yes(row.one_way), yes(row.raised), yes(row.sheer), text(row.iron),
        text(row.place), *(priced if prices else []), text(row.notes),
    ]  # fmt: skip


def _length(row: ClothLength | None, wide: str, long: str) -> Cells:
    if row is None:
        return [""] * 8
    amounts = (row.shelf, row.held, row.shelf - row.held)
    return [
        text(row.label), text(row.dye_lot), length(row.width, wide), yes(row.washed), text(row.place),
        *(length(nm, long) for nm in amounts),
    ]  # fmt: skip


def notions(*, workroom: Workroom, prices: bool) -> Iterator[Cells]:
    long = LONG[System(workroom.units)]
    yield [
        "Notion", "Kind", "Colour", "Colour family", "Size", f"Thread on one, {long}", "Counted in",
        *([f"Price of one, {workroom.currency}"] if prices else []), "Kept at", "Notes", "On the shelf",
        "Reserved", "Free",
    ]  # fmt: skip
    for row in Notion.objects.live().order_by("name", "pk").iterator(chunk_size=AT_ONCE):
        amounts = (Decimal(amount) / 1000 for amount in (row.shelf, row.held, row.shelf - row.held))
        yield [
            text(row.name), row.get_kind_display(), text(row.colour), row.get_family_display(),
            text(row.size),
            length(row.holds, long), text(row.unit), *([plain(row.price)] if prices else []), text(row.place),
            text(row.notes), *(plain(amount) for amount in amounts),
        ]  # fmt: skip
