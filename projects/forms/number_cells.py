"""One typed number of the recipe page, a ratio or a count: its text is kept whatever it says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError

from .numbers import read_number, written


@dataclass(frozen=True, slots=True)
class NumberKind:
    """What a number cell holds: its label, its bounds, and how many digits may follow the point."""

    label: str
    least: Decimal
    most: Decimal
    places: int = 0
    unit: str = ""

    @property
    def what(self) -> str:
        return "a ratio" if self.places else "a number"


@dataclass(slots=True)
class NumberCell:
    """`path` names the value ("ratio.across"); it is the field's name, and with dashes its id."""

    path: str
    kind: NumberKind
    text: str = ""
    number: Decimal | None = None
    error: str = ""

    @property
    def ident(self) -> str:
        return self.path.replace(".", "-")

    @property
    def label(self) -> str:
        return self.kind.label

    @property
    def value(self) -> Decimal:
        """The number, the least there may be where there is none."""
        return self.kind.least if self.number is None else self.number

    @property
    def shown(self) -> str:
        """What stands in the field: a text too long for any number is kept only as far as it is readable."""
        return self.text[:10_000]

    def read(self) -> None:
        """Read the text; what is wrong with it becomes `error`."""
        self.number, self.error = None, ""
        if not self.text.strip():
            self.error = f"Type {self.kind.what}."
            return
        try:
            found = read_number(self.text)
        except ValidationError as error:
            self.error = " ".join(error.messages)
            return
        self.error = self._refusal(found)
        self.number = None if self.error else found

    def _refusal(self, found: Decimal) -> str:
        kind = self.kind
        if found != round(found, kind.places):
            finer = f"at most {kind.places} digits after the point" if kind.places else "a whole number"
            return f"{written(found)} is finer than is kept here; type {finer}."
        if not kind.least <= found <= kind.most:
            bounds = f"{written(kind.least)} to {written(kind.most)}"
            return f"{written(found)} is not possible here; type {kind.what} from {bounds}."
        return ""


def number_from_post(path: str, kind: NumberKind, data: Mapping[str, str]) -> NumberCell:
    """The cell as it was typed; a cell that was not on the form is empty and not wrong."""
    cell = NumberCell(path, kind, data.get(path, ""))
    if path in data:
        cell.read()
    return cell


def number_from_value(path: str, kind: NumberKind, value: Decimal | int | None) -> NumberCell:
    """The cell of a stored value, in its shortest text."""
    cell = NumberCell(path, kind)
    if value is not None:
        cell.number = Decimal(value)
        cell.text = written(cell.number)
    return cell
