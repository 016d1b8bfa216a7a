"""The immutable content of a recipe version: tucks or pleats per direction, or one technique by ratio.

Lengths are whole nanometres, in JSON under keys ending in `_nm`. Everything is checked when it is made.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from projects.calc.direction import Direction, RecipeError, check_choice
from projects.calc.ratio import RATIO_KEYS, ByRatio, read_ratio, write_ratio
from projects.calc.recipe_json import FORMAT, RATIO_FORMAT, read_direction, read_object, write_direction
from projects.calc.recipe_names import capital, direction_name, recipe_name

__all__ = [
    "FORMAT",
    "MARK_STYLES",
    "RATIO_FORMAT",
    "ByRatio",
    "Direction",
    "Recipe",
    "RecipeError",
    "assign_marks",
    "direction_name",
    "mark_letter",
    "mark_style",
]

FIRSTS = ("auto", "across", "along")
MARK_STYLES = ("solid", "dashed", "dotted", "dash-dot", "double", "long-dash")


@dataclass(frozen=True, slots=True)
class Recipe:
    """Tucks or pleats across, along, or both; or one technique worked by `ratio` in both directions.

    `first` names the direction sewn first, "auto" by cloth.
    """

    across: Direction | None = None
    along: Direction | None = None
    first: str = "auto"
    ratio: ByRatio | None = None

    def __post_init__(self) -> None:
        check_choice("first", self.first, FIRSTS)
        if self.ratio is not None:
            _check_alone(self)
            return
        for name in ("across", "along"):
            given = getattr(self, name)
            if given is not None and not isinstance(given, Direction):
                raise RecipeError(name, given, "tucks, pleats or nothing", "Choose a technique.")
        if self.across is None and self.along is None:
            raise RecipeError(
                "across", "A recipe without tucks", "tucks or pleats in one direction", "Add a tuck."
            )

    @property
    def both(self) -> bool:
        """Whether both directions are tucked or pleated."""
        return self.across is not None and self.along is not None

    @property
    def techniques(self) -> tuple[str, ...]:
        """The techniques used, across first, each once."""
        used = (self.ratio,) if self.ratio else (self.across, self.along)
        return tuple(dict.fromkeys(u.technique for u in used if u is not None))

    def to_json(self) -> dict[str, Any]:
        """Plain dicts, lists, strings and integers; `from_json` reads back an equal recipe.

        Format 1 as ever for tucks and pleats, format 2 for what is worked by ratio.
        """
        if self.ratio is not None:
            return {"format": RATIO_FORMAT, "ratio": write_ratio(self.ratio)}
        return {
            "format": FORMAT,
            "first": self.first,
            "across": None if self.across is None else write_direction(self.across),
            "along": None if self.along is None else write_direction(self.along),
        }

    @classmethod
    def from_json(cls, given: object) -> Recipe:
        """Raises RecipeError, and nothing else, whatever was given."""
        number = given.get("format") if isinstance(given, dict) else None
        by_ratio = isinstance(number, int) and number == RATIO_FORMAT
        keys = {"ratio": "ratio"} if by_ratio else {"first": "first", **_DIRECTIONS}
        fields = read_object("", given, {"format": "format", **keys})
        fields.pop("format", None)
        if not isinstance(number, int) or isinstance(number, bool) or number not in (FORMAT, RATIO_FORMAT):
            known = f"format {FORMAT} or {RATIO_FORMAT}"
            raise RecipeError("format", number, known, "Export it again from this program.")
        if by_ratio:
            return cls(ratio=_read_ratio(fields.get("ratio")))
        return cls(**{key: _read(key, value) for key, value in fields.items()})

    def kind_name(self) -> str:
        """Plain English from the numbers: "Graduated tucks, both ways", "Box pleats", "Lattice smocking"."""
        return capital(self.ratio.name) if self.ratio else recipe_name(self.across, self.along)


def _check_alone(recipe: Recipe) -> None:
    if not isinstance(recipe.ratio, ByRatio):
        raise RecipeError("ratio", recipe.ratio, "a technique worked by ratio", "Choose a technique.")
    for name in ("across", "along"):
        if getattr(recipe, name) is not None:
            raise RecipeError(
                name, "Tucks or pleats", "nothing beside what is worked by ratio", "Take the tucks out."
            )


_DIRECTIONS = {"across": "across", "along": "along"}


def _read(key: str, value: object) -> Any:
    if key not in _DIRECTIONS or value is None:
        return value
    try:
        return read_direction(value)
    except RecipeError as error:
        raise error.within(key) from None


def _read_ratio(given: object) -> ByRatio:
    try:
        return read_ratio(read_object("", given, RATIO_KEYS))
    except RecipeError as error:
        raise error.within("ratio") from None


def mark_letter(number: int) -> str:
    """A, B .. Z, AA, AB ..; `number` counts from 0."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def mark_style(letter: str) -> str:
    """The line style a letter is drawn in, so that marks differ without colour. Styles come round again."""
    number = 0
    for character in letter:
        number = number * 26 + ord(character) - ord("A") + 1
    return MARK_STYLES[(number - 1) % len(MARK_STYLES)]


def assign_marks(recipe: Recipe) -> Recipe:
    """The recipe with a letter for each distinct depth, in order of first appearance, across before along.

    The same depth has the same letter in both directions. What is worked by ratio has no depths.
    """
    directions = [d for d in (recipe.across, recipe.along) if d is not None]
    depths = dict.fromkeys(depth for d in directions for depth in d.depths)
    letters = {depth: mark_letter(i) for i, depth in enumerate(depths)}
    return replace(
        recipe,
        across=recipe.across and _lettered(recipe.across, letters),
        along=recipe.along and _lettered(recipe.along, letters),
    )


def _lettered(direction: Direction, letters: dict[int, str]) -> Direction:
    if direction.is_pleats:
        return replace(direction, mark=letters[direction.depth])
    return replace(direction, tucks=tuple(replace(t, mark=letters[t.depth]) for t in direction.tucks))
