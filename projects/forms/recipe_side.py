"""One direction of the recipe page as it was typed, and the direction it makes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from projects.calc.direction import (
    DEEPEST_PLEAT,
    DEEPEST_TUCK,
    LONGEST_SEWN,
    PLEAT_TECHNIQUES,
    SHALLOWEST,
    THICKEST_CORD,
    WIDEST_SPACE,
    Direction,
)
from projects.calc.folds import Pressing, Tuck
from projects.calc.lengths import System
from projects.calc.techniques import TECHNIQUES

from .cells import Cell, CellKind, from_post, from_value

NONE = "none"
TECHNIQUE_CHOICES = [(name, t.title) for name, t in TECHNIQUES.items()] + [(NONE, "Nothing this way")]
PRESSINGS = {
    "across": [
        ("on", "away from the left edge"),
        ("back", "towards the left edge"),
        ("opened", "opened over the seam"),
    ],
    "along": [
        ("on", "away from the top edge"),
        ("back", "towards the top edge"),
        ("opened", "opened over the seam"),
    ],
}
SEWN = [("whole", "the whole length"), ("part", "part of the length")]
SEWN_PLEATS = [*SEWN, ("none", "not at all")]
CENTRINGS = [("", "where the widest gap falls"), ("tuck", "on a tuck"), ("space", "on a space")]
FINDS = {
    "finished": "how large it becomes",
    "depth": "how deep the tucks can be",
    "spacing": "how close together they can be",
    "number": "how many fit",
}
FINDS_PLEATS = FINDS | {
    "depth": "how deep the underlay can be",
    "number": "how many pleats, and how wide each shows",
}
LONGEST_WAY = 60
UNKEPT = "There is a character in it that can't be kept. Type it again."
MOST_ROWS = 400

SPACE = CellKind("From last seam", least=1, most=WIDEST_SPACE)
DEPTH = CellKind("Depth", least=SHALLOWEST, most=DEEPEST_TUCK)
PLEAT_WIDTH = CellKind("Each pleat shows", least=SHALLOWEST, most=WIDEST_SPACE)
PLEAT_DEPTH = CellKind("Underlay depth", least=SHALLOWEST, most=DEEPEST_PLEAT)
CORD = CellKind("Cord, thick", least=SHALLOWEST, most=THICKEST_CORD)
RIDGE = CellKind("Cord, thick (0: none)", least=0, most=THICKEST_CORD)
SEWN_LENGTH = CellKind("Sewn for", "piece", least=1, most=LONGEST_SEWN)


@dataclass(slots=True)
class Row:
    """One tuck of the table."""

    space: Cell
    depth: Cell

    @property
    def cells(self) -> tuple[Cell, Cell]:
        return self.depth, self.space


@dataclass(slots=True)
class Side:
    """Everything the page holds of one direction. `errors` are those that belong to no single length."""

    name: str
    system: System
    technique: str
    rows: list[Row]
    width: Cell
    depth: Cell
    cord: Cell
    sewn_length: Cell
    sewn: str = "whole"
    pressing: str = "on"
    turns: bool = False
    whole_repeats: bool = False
    centring: str = ""
    centre_on: int = 0
    way: str = ""
    errors: dict[str, str] = field(default_factory=dict)

    @property
    def is_pleats(self) -> bool:
        return self.technique in PLEAT_TECHNIQUES

    @property
    def is_nothing(self) -> bool:
        return self.technique not in TECHNIQUES

    @property
    def stands_up(self) -> bool:
        return self.technique in ("corded", "twin_needle")

    @property
    def centres(self) -> bool:
        """Whether a tuck or a space is put on the piece's centre."""
        return bool(self.centring) and not self.is_pleats and not self.is_nothing

    @property
    def cells(self) -> list[Cell]:
        """The lengths this technique uses, in the order of the page."""
        if self.is_nothing:
            return []
        if self.is_pleats:
            own = [self.width, self.depth]
        elif self.stands_up:
            own = [row.space for row in self.rows] + [self.cord]
        else:
            own = [cell for row in self.rows for cell in row.cells]
        return own + ([self.sewn_length] if self.sewn == "part" else [])

    @property
    def wrong(self) -> bool:
        return bool(self.errors) or any(cell.error for cell in self.cells)

    def typed(self) -> dict[str, str]:
        """Path -> the unit each length was typed in."""
        return {cell.path: cell.typed_unit for cell in self.cells if cell.nm is not None}

    def direction(self) -> Direction | None:
        """The direction these fields make; None where nothing is sewn this way. May raise RecipeError."""
        if self.is_nothing:
            return None
        pleats = self.is_pleats
        return Direction(
            technique=self.technique,
            tucks=() if pleats else tuple(self._tuck(row) for row in self.rows),
            width=self.width.value if pleats else 0,
            depth=self.depth.value if pleats else 0,
            pressing=Pressing(self.pressing),
            turns_at_centre=self.turns,
            cord=self.cord.value if self.stands_up else 0,
            sewn={"whole": None, "none": 0}.get(self.sewn, self.sewn_length.value),
            whole_repeats=self.whole_repeats,
            centring="" if pleats else self.centring,
            centre_on=self.centre_on if self.centres else 0,
            way=self.way,
        )

    def _tuck(self, row: Row) -> Tuck:
        return Tuck(row.space.value, 0 if self.stands_up else row.depth.value)


def side_from_post(name: str, system: System, data: Mapping[str, str]) -> Side:
    """A direction as it was typed; a choice nobody offers falls back to the first."""
    technique = _choice(data.get(f"{name}.technique", ""), dict(TECHNIQUE_CHOICES), NONE)
    side = _empty(name, system, technique)
    side.rows = [_row(name, number, system, data) for number in range(_row_count(name, data))]
    side.width = from_post(f"{name}.width", PLEAT_WIDTH, system, data)
    side.depth = from_post(f"{name}.depth", PLEAT_DEPTH, system, data)
    side.cord = from_post(f"{name}.cord", CORD if technique == "corded" else RIDGE, system, data)
    side.sewn = _choice(data.get(f"{name}.sewn", ""), dict(SEWN_PLEATS if side.is_pleats else SEWN), "whole")
    side.sewn_length = from_post(f"{name}.sewn_length", SEWN_LENGTH, system, data)
    side.pressing = _choice(data.get(f"{name}.pressing", ""), dict(PRESSINGS[name]), "on")
    side.turns = f"{name}.turns" in data
    side.whole_repeats = f"{name}.whole_repeats" in data
    side.centring = _choice(data.get(f"{name}.centring", ""), dict(CENTRINGS), "")
    side.centre_on = _row_number(data.get(f"{name}.centre_on", ""), len(side.rows))
    side.way = " ".join(data.get(f"{name}.way", "").split())
    _check(side)
    return side


def side_from_direction(
    name: str, system: System, direction: Direction | None, typed: Mapping[str, str]
) -> Side:
    """A stored direction, its lengths in the units they were typed in."""
    if direction is None:
        return _empty(name, system, NONE)
    side = _empty(name, system, direction.technique)
    side.rows = [_row_of(name, i, system, tuck, typed) for i, tuck in enumerate(direction.tucks)]
    side.width = from_value(f"{name}.width", PLEAT_WIDTH, system, direction.width or None, typed)
    side.depth = from_value(f"{name}.depth", PLEAT_DEPTH, system, direction.depth or None, typed)
    side.cord = from_value(f"{name}.cord", CORD, system, direction.cord if side.stands_up else None, typed)
    side.sewn = "whole" if direction.sewn is None else "part" if direction.sewn else "none"
    side.sewn_length = from_value(f"{name}.sewn_length", SEWN_LENGTH, system, direction.sewn or None, typed)
    side.pressing = direction.pressing.value if direction.pressing is not Pressing.CORDED else "on"
    side.turns, side.whole_repeats = direction.turns_at_centre, direction.whole_repeats
    side.centring, side.centre_on, side.way = direction.centring, direction.centre_on, direction.way
    return side


def finds_of(side: Side) -> list[tuple[str, str]]:
    """What can be asked of a cloth owned: the depth of a corded tuck is its cord's; of pleats, the width that
    each shows follows from their number."""
    if side.is_pleats:
        return [(key, text) for key, text in FINDS_PLEATS.items() if key != "spacing"]
    return [(key, text) for key, text in FINDS.items() if key != "depth" or not side.stands_up]


def _empty(name: str, system: System, technique: str) -> Side:
    def cell(path: str, kind: CellKind) -> Cell:
        return Cell(f"{name}.{path}", kind, system)

    return Side(
        name,
        system,
        technique,
        [],
        cell("width", PLEAT_WIDTH),
        cell("depth", PLEAT_DEPTH),
        cell("cord", CORD),
        cell("sewn_length", SEWN_LENGTH),
    )


def _row_count(name: str, data: Mapping[str, str]) -> int:
    count = 0
    while count < MOST_ROWS and (
        f"{name}.tucks.{count}.space" in data or f"{name}.tucks.{count}.depth" in data
    ):
        count += 1
    return count


def _row(name: str, number: int, system: System, data: Mapping[str, str]) -> Row:
    at = f"{name}.tucks.{number}"
    return Row(from_post(f"{at}.space", SPACE, system, data), from_post(f"{at}.depth", DEPTH, system, data))


def _row_of(name: str, number: int, system: System, tuck: Tuck, typed: Mapping[str, str]) -> Row:
    at = f"{name}.tucks.{number}"
    return Row(
        from_value(f"{at}.space", SPACE, system, tuck.space, typed),
        from_value(f"{at}.depth", DEPTH, system, tuck.depth or None, typed),
    )


def _row_number(given: str, most: int) -> int:
    """A row counted from 1; 0 where none is named, or one that is not there."""
    number = int(given) if given.isdecimal() and len(given) < 4 else 0
    return number if number <= most else 0


def _choice(given: str, choices: Mapping[str, str], otherwise: str) -> str:
    return given if given in choices else otherwise


def check_way(way: str, errors: dict[str, str]) -> None:
    """Say under "way" why how it is worked can't be kept as typed, if it can't."""
    if len(way) > LONGEST_WAY:
        errors["way"] = f"That is {len(way)} characters; say it in at most {LONGEST_WAY}."
    elif "\x00" in way:
        errors["way"] = UNKEPT


def _check(side: Side) -> None:
    if side.is_nothing:
        return
    check_way(side.way, side.errors)
    for cell in side.cells:
        if not cell.text.strip() and not cell.error:
            cell.error = "Type a length."
