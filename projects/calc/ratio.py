"""Techniques worked by ratio: gathers, shirring, smocking, quilting, trapunto. Both directions in one recipe.

A ratio is flat / finished: 4 means that 4 m of flat cloth make 1 m. Lengths are whole nanometres, ratios
exact decimals. Every starting ratio is the trade's usual figure, not that of a measured cloth: it shows as a
starting value until a sample replaces it. What samples say is in `ratio_samples`, what is marked and sewn on
a panel in `ratio_work`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from projects.calc.direction import RecipeError, check_choice, check_flag, check_way, check_whole

RATIO_TECHNIQUES: Final = ("gathers", "shirring", "english", "honeycomb", "lattice", "quilting", "trapunto")
RATIO_NAMES: Final = {
    "gathers": "gathers",
    "shirring": "shirring",
    "english": "English smocking",
    "honeycomb": "honeycomb smocking",
    "lattice": "lattice smocking",
    "quilting": "quilting",
    "trapunto": "trapunto",
}
STARTING_RATIOS: Final[dict[str, tuple[Decimal, Decimal]]] = {
    technique: (Decimal(across), Decimal(along))
    for technique, across, along in (
        ("gathers", "2", "1"),
        ("shirring", "1.75", "1"),
        ("english", "4", "1"),
        ("honeycomb", "2", "1"),
        ("lattice", "2.8284", "1.4142"),
        ("quilting", "1.03", "1.03"),
        ("trapunto", "1", "1"),
    )
}
"""Across and along: gathers in a medium cloth, elastic, dots pleated up, squares drawn up on their diagonal
(4 square / diagonal and 2 square / diagonal, the diagonal being root 2 x square), what quilting draws in."""

DRAWN_TO_SIZE: Final = frozenset({"gathers", "shirring", "english"})
"""Drawn up on threads or elastic until the size is right: a ratio that is a little off changes how full the
cloth is, never how large, so no sewing margin is added. What is joined dot by dot, or drawn in by being sewn,
comes out as it comes out, and is cut larger."""

NEEDED: Final[dict[str, tuple[str, ...]]] = {
    "gathers": ("rows",),
    "shirring": ("row",),
    "english": ("spacing", "row"),
    "honeycomb": ("spacing", "row"),
    "lattice": ("spacing",),
    "quilting": ("spacing",),
    "trapunto": ("spacing",),
}
"""Which numbers a technique can't be marked without; the others may stand at their default."""

_UNITS: Final = {
    "gathers": ("", ""),
    "shirring": ("", "row"),
    "english": ("dot", "row"),
    "honeycomb": ("dot", "row"),
    "lattice": ("square", "square"),
    "quilting": ("line", "line"),
    "trapunto": ("line", "line"),
}

MM = 1_000_000
CLOSEST, WIDEST = MM, 500 * MM
LEAST_RATIO, MOST_RATIO, PLACES = 1, 8, 4
MOST_ROWS = 20
_LENGTHS = {"spacing": "a distance", "row": "a distance", "diagonal": "a diagonal"}


@dataclass(frozen=True, slots=True)
class ByRatio:
    """The content of a recipe worked by ratio. What a technique does not use may stand at its default.

    `across`, `along`: flat / finished, from 1 to 8, at most 4 decimals.
    `spacing` (nm): smocking: dots apart across; lattice: side of a square; quilting, trapunto: lines of the
    first set apart (average, where they follow a design).
    `row` (nm): smocking: rows of dots apart; shirring: rows of elastic apart; quilting: lines of the second
    set apart, 0: none.
    `diagonal` (nm): lattice: the finished diagonal of a square once drawn up, which then sets both ratios; 0:
    the ratios are as given. `rows`: gathers: rows of gathering stitches. `slant`: quilting at 45 degrees to
    the grain. `way` is how it is worked, which samples are pooled by.
    """

    technique: str
    across: Decimal
    along: Decimal
    spacing: int = 0
    row: int = 0
    diagonal: int = 0
    rows: int = 0
    slant: bool = False
    by_hand: bool = False
    way: str = ""

    def __post_init__(self) -> None:
        check_choice("technique", self.technique, RATIO_TECHNIQUES)
        for name in ("across", "along"):
            _check_ratio(name, getattr(self, name))
        for name, what in _LENGTHS.items():
            needed = name in NEEDED[self.technique]
            given = getattr(self, name)
            check_whole(name, given, CLOSEST if needed or given else 0, WIDEST, what)
        _check_rows(self.rows, 1 if "rows" in NEEDED[self.technique] else 0)
        check_flag("slant", self.slant)
        check_flag("by_hand", self.by_hand)
        check_way(self.way)
        if self.set_by_diagonal:
            _check_diagonal(self)

    @property
    def set_by_diagonal(self) -> bool:
        """Whether both ratios follow from a square and its finished diagonal."""
        return self.technique == "lattice" and self.diagonal > 0

    def ratio_of(self, name: str) -> Fraction:
        """Flat / finished "across" or "along", exact: of lattice squares 4 (along 2) square / diagonal."""
        if self.set_by_diagonal:
            return Fraction((4 if name == "across" else 2) * self.spacing, self.diagonal)
        return Fraction(self.across if name == "across" else self.along)

    @property
    def name(self) -> str:
        """In plain words, lower case but for names: "English smocking"."""
        return RATIO_NAMES[self.technique]

    @property
    def drawn_to_size(self) -> bool:
        """Whether it is drawn up until the size is right, see `DRAWN_TO_SIZE`."""
        return self.technique in DRAWN_TO_SIZE

    def counts(self, name: str) -> str:
        """What is counted in a direction: "dot", "row", "square" or "line"; "" where nothing is."""
        unit = _UNITS[self.technique][0 if name == "across" else 1]
        return "" if unit == "line" and name == "along" and not self.row else unit

    def draws(self, name: str) -> bool:
        """Whether a direction changes its size; quilting and trapunto draw in even at a ratio of 1."""
        return self.technique in ("quilting", "trapunto") or self.ratio_of(name) > 1


def starting_ratio(technique: str, name: str) -> Decimal:
    """The starting ratio "across" or "along" of a technique."""
    across, along = STARTING_RATIOS[technique]
    return across if name == "across" else along


def _check_ratio(field: str, given: object) -> None:
    expected = f"a ratio from {LEAST_RATIO} to {MOST_RATIO}, with at most {PLACES} decimals"
    remedy = "Flat cloth divided by finished: 2 for 2 m of flat cloth in 1 m."
    if not isinstance(given, Decimal) or not given.is_finite():
        raise RecipeError(field, given, expected, remedy)
    exponent = given.as_tuple().exponent
    fits = isinstance(exponent, int) and -PLACES <= exponent <= 0
    if not fits or not LEAST_RATIO <= given <= MOST_RATIO:
        raise RecipeError(field, str(given), expected, remedy)


def _check_rows(given: object, least: int) -> None:
    whole = isinstance(given, int) and not isinstance(given, bool)
    if not whole or not least <= int(str(given)) <= MOST_ROWS:
        raise RecipeError("rows", given, f"{least} to {MOST_ROWS} rows", "Two rows are usual.")


def _check_diagonal(recipe: ByRatio) -> None:
    found = (recipe.ratio_of("across"), recipe.ratio_of("along"))
    if not all(LEAST_RATIO <= ratio <= MOST_RATIO for ratio in found):
        raise RecipeError(
            "diagonal",
            f"{recipe.diagonal / MM:g} mm",
            f"from {recipe.spacing / 2 / MM:g} to {2 * recipe.spacing / MM:g} mm for these squares",
            "Measure across a drawn-up square, from corner to corner.",
        )


# -- JSON ----------------------------------------------------------------------------------------------------

_KEYS: Final = {
    "technique": "technique",
    "across": "across",
    "along": "along",
    "spacing_nm": "spacing",
    "row_nm": "row",
    "diagonal_nm": "diagonal",
    "rows": "rows",
    "slant": "slant",
    "by_hand": "by_hand",
    "way": "way",
}
_LONGEST_NUMBER = 12


def write_ratio(recipe: ByRatio) -> dict[str, Any]:
    """Every field, in a fixed order; ratios are decimals as text."""
    written = {key: getattr(recipe, name) for key, name in _KEYS.items()}
    return written | {"across": str(recipe.across), "along": str(recipe.along)}


def read_ratio(fields: Mapping[str, Any]) -> ByRatio:
    """From the entries of a JSON object under their names in code. Raises RecipeError, its field counted from
    this recipe."""
    for name in ("technique", "across", "along"):
        if name not in fields:
            what = "a technique" if name == "technique" else f"a ratio {name}"
            raise RecipeError(name, "Nothing", what, f"Give {what}.")
    return ByRatio(**{**fields, **{name: _decimal(name, fields[name]) for name in ("across", "along")}})


def _decimal(field: str, given: object) -> Decimal:
    text = given if isinstance(given, str) else ""
    digits = text.replace(".", "", 1)
    if not (0 < len(text) <= _LONGEST_NUMBER and digits.isascii() and digits.isdigit()):
        raise RecipeError(field, given, "a decimal as text, such as “2.5”", "Send the ratio as text.")
    return Decimal(text)


RATIO_KEYS = _KEYS
