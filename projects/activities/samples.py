"""Samples measured: written down, corrected, deleted. A sample keeps a copy of what was sewn."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.calc.ratio import RATIO_TECHNIQUES
from projects.calc.ratio_samples import check_ratio_reading
from projects.calc.recipe import Recipe
from projects.calc.sampling import SampleError, check_reading
from projects.calc.units import System
from projects.models import Deletion, Person, RecipeVersion, Sample
from projects.planning.samples import DIRECTIONS, FIRST, place_of, side

from . import deleting, photos, revising


@transaction.atomic
def write_sample(*, version: RecipeVersion, values: dict[str, Any], person: Person, system: System) -> Sample:
    """A new sample of ``version``. Raises ValidationError beside the field whose figure can't be right."""
    recipe = Recipe.from_json(version.content)
    sample = Sample(version=version, content=version.content, person=person, **{**values, **_pools(recipe)})
    check_sample(sample, system)
    sample.full_clean()
    sample.save()
    return sample


def change_sample(*, sample: Sample, changes: dict[str, Any], revision: int, system: System) -> Sample:
    """Raises ``revising.Stale`` when somebody saved first, ValidationError where a figure can't be right."""
    tried = Sample.objects.get(pk=sample.pk)
    for name, value in changes.items():
        setattr(tried, name, value)
    check_sample(tried, system)
    return revising.save_changes(sample, revision=revision, changes=changes)


@transaction.atomic
def delete_sample(*, sample: Sample, person: Person) -> Deletion:
    return deleting.delete([sample, *photos.of_all(sample)], what=f"the {sample}", person=person)


def _pools(recipe: Recipe) -> dict[str, Any]:
    """The pools each direction's reading goes into, kept beside it."""
    found: dict[str, Any] = {}
    for name in DIRECTIONS:
        if recipe.ratio is not None:
            own = {"technique": recipe.ratio.technique, "way": recipe.ratio.way, "place": FIRST}
            found |= {f"{name}_{key}": value for key, value in own.items()}
            continue
        direction = side(recipe, name)
        found[f"{name}_technique"] = direction.technique if direction else ""
        found[f"{name}_way"] = direction.way if direction else ""
        found[f"{name}_place"] = place_of(recipe, name) if direction else ""
    return found


def check_sample(sample: Sample, system: System) -> None:
    """Each direction measured must be possible, and one must be measured at all."""
    problems: dict[str, str] = {}
    for name in DIRECTIONS:
        problems.update(_check_direction(sample, name, system))
    if not problems and all(getattr(sample, f"{name}_flat") is None for name in DIRECTIONS):
        problems["across_flat"] = "Measure at least one direction, flat and finished."
    if problems:
        raise ValidationError(problems)


def _check_direction(sample: Sample, name: str, system: System) -> dict[str, str]:
    flat, finished = getattr(sample, f"{name}_flat"), getattr(sample, f"{name}_finished")
    if flat is None and finished is None:
        return {}
    if flat is None or finished is None:
        missing, there = ("flat", "finished") if flat is None else ("finished", "flat")
        return {
            f"{name}_{missing}": f"The {there} size was measured; type the {missing} one too, or neither."
        }
    if getattr(sample, f"{name}_technique") in RATIO_TECHNIQUES:
        return _check_by_ratio(sample, name, system)
    if getattr(sample, f"{name}_technique") and not getattr(sample, f"{name}_tucks"):
        return {
            f"{name}_tucks": "Count the tucks between the two points measured; there must be at least one."
        }
    try:
        check_reading(
            flat, finished, getattr(sample, f"{name}_tucks"), getattr(sample, f"{name}_depths"), system
        )
    except SampleError as error:
        field = "tucks" if error.field in ("tucks", "depths_sum") else error.field
        return {f"{name}_{field}": str(error)}
    return {}


def _check_by_ratio(sample: Sample, name: str, system: System) -> dict[str, str]:
    """Both extents are there; their ratio must be near that of what was sewn. What lies between them must be
    counted where there is something to count: how sure a reading is hangs on it."""
    recipe = Recipe.from_json(sample.content).ratio
    if recipe is None:
        return {}
    found: dict[str, str] = {}
    extents = (getattr(sample, f"{name}_flat"), getattr(sample, f"{name}_finished"))
    units, unit = getattr(sample, f"{name}_tucks") or 0, recipe.counts(name)
    if unit and units < 1:
        what = f"the {unit}s {name}, between the two points measured"
        found[f"{name}_tucks"] = f"Count {what}; there must be at least one."
    try:
        check_ratio_reading(*extents, recipe.ratio_of(name), max(1, units), system)
    except SampleError as error:
        found[f"{name}_{error.field}"] = str(error)
    return found
