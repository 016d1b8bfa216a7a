"""What was sewn and measured before anything was cut."""

from datetime import date
from typing import Any

from projects.activities.samples import write_sample
from projects.calc.lengths import System
from projects.models import Fabric, RecipeVersion, Sample

from .cloth import Cloth
from .days import Days
from .measures import MM
from .people import People
from .recipes import GRADUATED, Recipes

REPEAT_DEPTHS = sum(2 * depth for _, depth in GRADUATED) * MM


def add_samples(recipes: Recipes, cloth: Cloth, people: People, days: Days) -> None:
    """The tucks across alone, both ways twice, and the knife pleats. The box pleats are still to try, and
    the corded tucks. Of the lattice the squares between the two points are counted."""
    _sample(
        recipes.tucks_across,
        cloth.voile,
        days.ago(16),
        people,
        {**_tucked("across", 4, 442, "215.5"), **_extents("along", 200, 198)},
        notes="The seams draw the cloth in a little along.",
    )
    for on, across, along, notes in (
        (14, (3, 342, "171.5"), (3, 342, "172.5"), "First try of both ways."),
        (13, (4, 442, "215.5"), (4, 442, 216), "A damp cloth between the directions: flatter."),
    ):
        values = {**_tucked("across", *across), **_tucked("along", *along)}
        _sample(recipes.tucks_both, cloth.voile, days.ago(on), people, values, notes=notes)
    pleats = {**_extents("across", 663, 251), "across_tucks": 10, "across_depths": 10 * 40 * MM}
    _sample(
        recipes.knife,
        cloth.challis,
        days.ago(6),
        people,
        pleats,
        notes="Basted twice, pressed under a cloth.",
    )


def add_bag_sample(recipes: Recipes, cloth: Cloth, people: People, days: Days) -> Sample:
    """Nine squares across and six down, drawn up: a little less than the diagonal promises."""
    values = {
        **_extents("across", 270, 93.5),
        **_extents("along", 180, 125),
        "across_tucks": 9,
        "along_tucks": 6,
    }
    return _sample(
        recipes.lattice,
        cloth.velvet,
        days.ago(4),
        people,
        values,
        notes="Steamed from the back, never pressed.",
    )


def _sample(
    version: RecipeVersion, fabric: Fabric, on: date, people: People, values: dict[str, Any], notes: str
) -> Sample:
    return write_sample(
        version=version,
        values={**values, "fabric": fabric, "made_on": on, "notes": notes},
        person=people.sewer,
        system=System.METRIC,
    )


def _tucked(direction: str, repeats: int, flat: float, finished: float | str) -> dict[str, int]:
    """Whole repeats of the graduated tucks between two points, in millimetres."""
    return {
        **_extents(direction, flat, float(finished)),
        f"{direction}_tucks": repeats * len(GRADUATED),
        f"{direction}_depths": repeats * REPEAT_DEPTHS,
    }


def _extents(direction: str, flat: float, finished: float) -> dict[str, int]:
    return {f"{direction}_flat": round(flat * MM), f"{direction}_finished": round(finished * MM)}
