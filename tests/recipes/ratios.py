"""Recipes by ratio for tests, one of each technique, with the starting ratios."""

from projects.calc.ratio import STARTING_RATIOS, ByRatio
from projects.calc.recipe import Recipe

MM = 1_000_000
NUMBERS = {
    "gathers": {"rows": 2},
    "shirring": {"row": 10 * MM},
    "english": {"spacing": 6 * MM, "row": 10 * MM},
    "honeycomb": {"spacing": 10 * MM, "row": 10 * MM},
    "lattice": {"spacing": 30 * MM, "diagonal": 42 * MM},
    "quilting": {"spacing": 25 * MM, "row": 25 * MM, "slant": True},
    "trapunto": {"spacing": 25 * MM},
}
TECHNIQUES = list(NUMBERS)


def by_ratio(technique: str, **changed: object) -> ByRatio:
    across, along = STARTING_RATIOS[technique]
    usual = {"across": across, "along": along, **NUMBERS[technique]}
    return ByRatio(technique, **{**usual, **changed})  # type: ignore[arg-type]


def content(technique: str, **changed: object) -> Recipe:
    return Recipe(ratio=by_ratio(technique, **changed))
