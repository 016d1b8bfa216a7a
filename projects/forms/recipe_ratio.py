"""A texture worked by ratio as it was typed on the recipe page, and the content it makes.

One form for all of them: the ratio each way, and the measures the work itself needs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from projects.calc.errors import CalcError
from projects.calc.lengths import System
from projects.calc.ratio import (
    CLOSEST,
    DRAWN_TO_SIZE,
    LEAST_RATIO,
    MOST_RATIO,
    MOST_ROWS,
    PLACES,
    RATIO_NAMES,
    STARTING_RATIOS,
    WIDEST,
    ByRatio,
)

from .cells import Cell, CellKind, from_post, from_value
from .number_cells import NumberCell, NumberKind, number_from_post, number_from_value
from .recipe_side import check_way

BY_DIRECTION = ""
KINDS = [(BY_DIRECTION, "Tucks and pleats, by direction")] + [
    (name, text[:1].upper() + text[1:]) for name, text in RATIO_NAMES.items()
]
RATIO = {
    name: NumberKind(f"Flat to finished, {name}", Decimal(LEAST_RATIO), Decimal(MOST_RATIO), PLACES, "to 1")
    for name in ("across", "along")
}
ROWS = NumberKind("Rows of gathering stitches", Decimal(1), Decimal(MOST_ROWS))
LENGTHS: dict[str, dict[str, str]] = {
    "gathers": {},
    "shirring": {"row": "Rows of elastic, apart"},
    "english": {"spacing": "Dots, apart", "row": "Rows of dots, apart"},
    "honeycomb": {"spacing": "Dots, apart", "row": "Rows of dots, apart"},
    "lattice": {"spacing": "Side of a square", "diagonal": "Its diagonal, drawn up"},
    "quilting": {"spacing": "Lines, apart", "row": "Lines across them, apart (0: none)"},
    "trapunto": {"spacing": "Lines, apart"},
}
"""The lengths each technique asks for, under the names they have in `ByRatio`."""
FILLED = {
    "shirring": {"row": ("10", "3/8")},
    "english": {"spacing": ("6", "1/4"), "row": ("10", "3/8")},
    "honeycomb": {"spacing": ("10", "3/8"), "row": ("10", "3/8")},
    "lattice": {"spacing": ("30", "1 1/4"), "diagonal": ("42", "1 3/4")},
    "quilting": {"spacing": ("25", "1"), "row": ("25", "1")},
    "trapunto": {"spacing": ("25", "1")},
}
"""Something to begin with, metric and inch, for a technique that was just chosen."""
USUAL_ROWS = 2
FINDS = {
    "finished": "how large it becomes",
    "ratio": "how full it can be",
    "number": "how many fit",
}
SETS = [("diagonal", "by the diagonal of a square"), ("ratio", "as typed")]
MAY_BE_NOTHING = ("row",)


@dataclass(slots=True)
class RatioFields:
    """Everything the page holds of a texture by ratio. `errors` are those that belong to no single field."""

    system: System
    technique: str
    across: NumberCell
    along: NumberCell
    spacing: Cell
    row: Cell
    diagonal: Cell
    rows: NumberCell
    set_by: str = "diagonal"
    slant: bool = False
    by_hand: bool = False
    way: str = ""
    errors: dict[str, str] = field(default_factory=dict)

    @property
    def by_diagonal(self) -> bool:
        """Whether both ratios follow from a square and its diagonal, and are not asked for."""
        return self.technique == "lattice" and self.set_by == "diagonal"

    @property
    def numbers(self) -> list[NumberCell]:
        """The numbers this technique uses, in the order of the page."""
        ratios = [] if self.by_diagonal else [self.across, self.along]
        return ratios + ([self.rows] if self.technique == "gathers" else [])

    @property
    def lengths(self) -> list[Cell]:
        """The lengths this technique uses, in the order of the page."""
        used = [getattr(self, name) for name in LENGTHS.get(self.technique, {})]
        return [cell for cell in used if cell is not self.diagonal or self.by_diagonal]

    @property
    def cells(self) -> list[Cell | NumberCell]:
        return [*self.numbers, *self.lengths]

    @property
    def wrong(self) -> bool:
        return bool(self.errors) or any(cell.error for cell in self.cells)

    @property
    def shape(self) -> str:
        """What decides which fields are shown."""
        return f"{self.technique}/{self.set_by if self.technique == 'lattice' else ''}"

    def typed(self) -> dict[str, str]:
        """Path -> the unit each length was typed in."""
        return {cell.path: cell.typed_unit for cell in self.lengths if cell.nm is not None}

    def by_ratio(self) -> ByRatio:
        """The content these fields make. May raise RecipeError."""
        used = {cell.path.rpartition(".")[2]: cell.value for cell in self.lengths}
        across, along = self._ratios()
        return ByRatio(
            technique=self.technique,
            across=across,
            along=along,
            rows=int(self.rows.value) if self.technique == "gathers" else 0,
            slant=self.slant and self.technique == "quilting",
            by_hand=self.by_hand,
            way=self.way,
            **used,
        )

    def _ratios(self) -> tuple[Decimal, Decimal]:
        """As typed; where the diagonal sets them, the starting ones stand beside it and are not used."""
        if self.by_diagonal:
            return STARTING_RATIOS[self.technique]
        return self.across.value, self.along.value

    def refuse(self, error: CalcError) -> None:
        """Put a refusal beside the field it names."""
        name = error.field.removeprefix("ratio.")
        cell = next((c for c in self.cells if c.path == f"ratio.{name}"), None)
        if cell is not None:
            cell.error = cell.error or str(error)
        else:
            self.errors.setdefault(name or "technique", str(error))

    def problems(self) -> list[tuple[str, str, str]]:
        """(id, label, what is wrong) of everything wrong."""
        found = [(f"ratio-{key}", key.capitalize(), text) for key, text in self.errors.items()]
        return found + [(cell.ident, cell.label, cell.error) for cell in self.cells if cell.error]


def finds_of(technique: str, name: str) -> list[tuple[str, str]]:
    """What may be asked of the cloth owned, one direction: how full only where that is a choice, because it
    is drawn up to the size; how many only of what takes up cloth as it is counted."""
    asked = ["finished"]
    if technique in DRAWN_TO_SIZE:
        asked.append("ratio")
    if technique in NUMBERED[name]:
        asked.append("number")
    return [(key, FINDS[key]) for key in asked]


NUMBERED = {
    "across": ("english", "honeycomb", "lattice", "quilting", "trapunto"),
    "along": ("honeycomb", "lattice"),
}


def ratio_from_post(technique: str, system: System, data: Mapping[str, str]) -> RatioFields:
    """The fields as they were typed; what a technique that was just chosen asks for is filled in."""
    fields = RatioFields(
        system,
        technique,
        *(number_from_post(f"ratio.{name}", kind, data) for name, kind in RATIO.items()),
        *(from_post(f"ratio.{name}", _kind(technique, name), system, data) for name in _ALL),
        number_from_post("ratio.rows", ROWS, data),
        set_by="ratio" if data.get("ratio.set_by") == "ratio" else "diagonal",
        slant="ratio.slant" in data,
        by_hand="ratio.by_hand" in data,
        way=" ".join(data.get("ratio.way", "").split()),
    )
    before = data.get("ratio.shape", "").partition("/")[0]
    if before != technique:
        _begin(fields, before)
    elif data.get("ratio.shape") != fields.shape:
        _fill(fields)
    _check(fields)
    return fields


def ratio_from_content(content: ByRatio, system: System, typed: Mapping[str, str]) -> RatioFields:
    """A stored texture, its lengths in the units they were typed in."""
    asked = LENGTHS[content.technique]
    numbers = (number_from_value(f"ratio.{n}", kind, getattr(content, n)) for n, kind in RATIO.items())
    lengths = (
        from_value(
            f"ratio.{name}",
            _kind(content.technique, name),
            system,
            getattr(content, name) if name in asked else None,
            typed,
        )
        for name in _ALL
    )
    return RatioFields(
        system,
        content.technique,
        *numbers,
        *lengths,
        number_from_value("ratio.rows", ROWS, content.rows or None),
        set_by="diagonal" if content.technique != "lattice" or content.set_by_diagonal else "ratio",
        slant=content.slant,
        by_hand=content.by_hand,
        way=content.way,
    )


def no_ratio(system: System) -> RatioFields:
    """The fields of a page that shows tucks and pleats: none."""
    return ratio_from_post(BY_DIRECTION, system, {})


_ALL = ("spacing", "row", "diagonal")


def _kind(technique: str, name: str) -> CellKind:
    least = 0 if technique == "quilting" and name in MAY_BE_NOTHING else CLOSEST
    return CellKind(LENGTHS.get(technique, {}).get(name, ""), least=least, most=WIDEST)


def _begin(fields: RatioFields, before: str) -> None:
    """A technique that was just chosen begins with its own starting ratios. Lengths somebody typed stay; what
    only stood there for the technique `before` makes room."""
    if fields.technique == BY_DIRECTION:
        return
    for name, starts in FILLED.get(before, {}).items():
        if getattr(fields, name).text in starts:
            getattr(fields, name).text = ""
    if fields.spacing.text.strip() and not fields.diagonal.text.strip():
        fields.set_by = "ratio"
    for cell, start in zip((fields.across, fields.along), STARTING_RATIOS[fields.technique], strict=True):
        cell.text = f"{start.normalize():f}"
        cell.read()
    _fill(fields)


def _fill(fields: RatioFields) -> None:
    """Give what is asked for and still empty something to work with."""
    metric = fields.system is System.METRIC
    for name, (mm, inches) in FILLED.get(fields.technique, {}).items():
        cell = getattr(fields, name)
        if not cell.text.strip():
            cell.text = mm if metric else inches
            cell.read()
    if fields.technique == "gathers" and not fields.rows.text.strip():
        fields.rows.text = str(USUAL_ROWS)
        fields.rows.read()


def _check(fields: RatioFields) -> None:
    if fields.technique == BY_DIRECTION:
        return
    check_way(fields.way, fields.errors)
    for cell in fields.cells:
        if not cell.text.strip() and not cell.error:
            cell.error = "Type a length." if isinstance(cell, Cell) else f"Type {cell.kind.what}."
