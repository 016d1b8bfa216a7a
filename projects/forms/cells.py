"""One typed length of the recipe page: its text is kept whatever it says, its nanometres once it is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from projects.calc import lengths
from projects.calc.lengths import LengthError, System, Typed

MM = 1_000_000
LONGEST = 60


@dataclass(frozen=True, slots=True)
class CellKind:
    """What a cell holds: the label, "fine", "piece" or "cloth" for its unit, and its bounds in nm."""

    label: str
    kind: str = "fine"
    least: int = 0
    most: int = 20_000 * MM
    required: bool = True


@dataclass(slots=True)
class Cell:
    """`path` names the value ("across.tucks.0.depth"); it is the field's name, and with dashes its id."""

    path: str
    kind: CellKind
    system: System
    text: str = ""
    nm: int | None = None
    typed_unit: str = ""
    error: str = ""

    @property
    def ident(self) -> str:
        return self.path.replace(".", "-")

    @property
    def unit(self) -> str:
        return lengths.field_unit(self.kind.kind, self.system)

    @property
    def label(self) -> str:
        return self.kind.label

    @property
    def value(self) -> int:
        """The nanometres, 0 where there are none."""
        return self.nm or 0

    @property
    def shown(self) -> str:
        """What stands in the field: a text too long for any length is kept only as far as it is readable."""
        return self.text[:10_000]

    def read(self) -> None:
        """Read the text; what is wrong with it becomes `error`."""
        self.nm, self.error = None, ""
        text = self.text.strip()
        if not text:
            self.error = "Type a length." if self.kind.required else ""
            return
        try:
            typed = _parse(text, self.unit, self.kind.least, self.kind.most)
        except LengthError as error:
            self.error = str(error)
            return
        self.nm, self.typed_unit = typed.nm, typed.unit


@lru_cache(maxsize=2048)
def _parse(text: str, unit: str, least: int, most: int) -> Typed:
    """Remembered: while one cell is typed in, the others come again with every answer."""
    return lengths.parse(text, unit, least=least, most=most)


def from_post(path: str, kind: CellKind, system: System, data: Mapping[str, str]) -> Cell:
    """The cell as it was typed; a cell that was not on the form is empty and not wrong."""
    cell = Cell(path, kind, system, data.get(path, ""))
    if path in data:
        cell.read()
    return cell


def from_value(path: str, kind: CellKind, system: System, nm: int | None, typed: Mapping[str, str]) -> Cell:
    """The cell of a stored value, written in the unit it was typed in."""
    cell = Cell(path, kind, system)
    if nm is not None:
        unit = typed.get(path) or cell.unit
        unit = unit if unit in lengths.UNITS else cell.unit
        cell.text, cell.nm, cell.typed_unit = lengths.exact(nm, unit, cell.unit), nm, unit
    return cell
