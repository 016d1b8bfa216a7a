"""The row buttons of the recipe page: they rearrange what was typed, and say where the focus goes."""

from __future__ import annotations

from projects.calc.lengths import System

from .cells import Cell
from .recipe_side import NONE, Row, Side, side_from_post

STARTING_DEPTH, STARTING_SPACE = {"metric": "5", "inch": "3/16"}, {"metric": "15", "inch": "5/8"}
STARTING_PLEAT = {"metric": ("40", "15"), "inch": ("1 1/2", "1/2")}
STARTING_CORD = {"metric": "2", "inch": "1/16"}
WHAT = ("add", "duplicate", "up", "down", "remove")


def rearrange(side: Side, what: str, at: int) -> str:
    """Do one button's work on the rows; returns the id that takes the focus.

    An unknown button or a row that is not there changes nothing.
    """
    rows, place = side.rows, at + 1
    if what not in WHAT or (what != "add" and not 0 <= at < len(rows)):
        return ""
    if what == "add":
        rows.append(_copy(rows[-1]) if rows else starting_row(side.name, side.system))
        at = len(rows) - 1
    elif what == "duplicate":
        rows.insert(at + 1, _copy(rows[at]))
        at += 1
    elif what == "remove":
        rows.pop(at)
        at = min(at, len(rows) - 1)
    else:
        at = _move(rows, at, -1 if what == "up" else 1)
    side.centre_on = _followed(side.centre_on, what, place, len(rows))
    _renumber(side)
    return f"{side.name}-tucks-{at}-depth" if at >= 0 else f"{side.name}-add"


def _followed(centre_on: int, what: str, place: int, count: int) -> int:
    """The number of the row named as the centre, after the row at `place` (from 1) was dealt with."""
    if what == "remove" and centre_on >= place:
        return 0 if centre_on == place else centre_on - 1
    if what == "duplicate" and centre_on > place:
        return centre_on + 1
    if what in ("up", "down"):
        beside = max(1, min(count, place + (-1 if what == "up" else 1)))
        return {place: beside, beside: place}.get(centre_on, centre_on)
    return centre_on


def same_as(side: Side, other: Side) -> Side:
    """`other` given everything `side` says, under its own name."""
    copied = {cell.path.replace(f"{side.name}.", f"{other.name}.", 1): cell.text for cell in side.cells}
    copied |= {f"{other.name}.{key}": value for key, value in _choices(side).items()}
    return side_from_post(other.name, other.system, copied)


def _choices(side: Side) -> dict[str, str]:
    found = {
        "technique": side.technique,
        "sewn": side.sewn,
        "pressing": side.pressing,
        "centring": side.centring,
        "centre_on": str(side.centre_on),
        "way": side.way,
    }
    found |= {"turns": "1"} if side.turns else {}
    return found | ({"whole_repeats": "1"} if side.whole_repeats else {})


def fill_technique(side: Side) -> None:
    """Give a technique that was just chosen something to work with; what was typed stays."""
    if side.technique == NONE:
        return
    system = str(side.system)
    if side.is_pleats:
        _fill(side.width, STARTING_PLEAT[system][0])
        _fill(side.depth, STARTING_PLEAT[system][1])
    elif not side.rows:
        side.rows.append(starting_row(side.name, side.system))
    if side.stands_up:
        _fill(side.cord, STARTING_CORD[system])
    for row in side.rows:
        _fill(row.depth, STARTING_DEPTH[system])
    if side.sewn == "part":
        _fill(side.sewn_length, "10" if side.system is System.METRIC else "4")


def _fill(cell: Cell, text: str) -> None:
    if not cell.text.strip():
        cell.text = text
        cell.read()


def starting_row(name: str, system: System) -> Row:
    """A tuck to begin with: 5 mm deep, 15 mm from the last seam, or about that in inches."""
    data = {
        f"{name}.tucks.0.space": STARTING_SPACE[str(system)],
        f"{name}.tucks.0.depth": STARTING_DEPTH[str(system)],
    }
    side = side_from_post(name, system, {f"{name}.technique": "tucks", **data})
    return side.rows[0]


def _copy(row: Row) -> Row:
    def again(cell: Cell) -> Cell:
        return Cell(cell.path, cell.kind, cell.system, cell.text, cell.nm, cell.typed_unit, cell.error)

    return Row(again(row.space), again(row.depth))


def _move(rows: list[Row], at: int, by: int) -> int:
    to = max(0, min(len(rows) - 1, at + by))
    rows.insert(to, rows.pop(at))
    return to


def _renumber(side: Side) -> None:
    for number, row in enumerate(side.rows):
        row.space.path = f"{side.name}.tucks.{number}.space"
        row.depth.path = f"{side.name}.tucks.{number}.depth"
