"""The rows of a file as they were read, before they are in the studio."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from .stock_lines import Stock

PROJECT, RECIPE = "project", "recipe"


@dataclass(slots=True)
class Row:
    """One row of a file: its place, its fields, the rows it names; ``saved`` once it is in the studio."""

    place: str
    values: dict[str, Any] = field(default_factory=dict)
    links: dict[str, Row | None] = field(default_factory=dict)
    parts: dict[str, list[Row]] = field(default_factory=dict)
    content: Any = None
    stock: Stock | None = None
    saved: Any = None

    def link(self, name: str) -> Any:
        """The saved row that this one names, or None."""
        named = self.links.get(name)
        return named.saved if named else None


@dataclass(slots=True)
class File:
    """All that a file holds. A recipe's file holds recipes alone."""

    kind: str
    recipes: list[Row] = field(default_factory=list)
    project: Row = field(default_factory=lambda: Row("project"))
    settings: dict[str, Any] = field(default_factory=dict)
    rates: dict[str, Decimal] = field(default_factory=dict)
    learned: list[dict[str, Any]] = field(default_factory=list)
    rows: dict[str, list[Row]] = field(default_factory=dict)
    by_id: dict[str, Row] = field(default_factory=dict)
    """Pieces, fabrics, edges and templates by their ids: the keys of steps name them."""

    @property
    def title(self) -> str:
        if self.kind == RECIPE:
            return str(self.recipes[0].values["name"])
        return str(self.project.values["title"])

    @property
    def currency(self) -> str:
        return str(self.settings["currency"])
