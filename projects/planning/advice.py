"""Which samples a project should make before cutting: one for each cloth and recipe no sample speaks of."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from projects.calc.recipe import Recipe
from projects.calc.sample_advice import SampleAdvice, sample_to_make

from .samples import DIRECTIONS, Samples, place_of, side


@dataclass(frozen=True, slots=True)
class SampleNeeded:
    """A sample to make: on which fabric, of which recipe, and how large. ``key`` tells its pool."""

    fabric_id: int
    key: str
    recipe_name: str
    advice: SampleAdvice


def pool_key(recipe: Recipe) -> str:
    """The pools a recipe's samples go into, as text: editing a depth asks for no new sample."""
    sides = [(d, side(recipe, d)) for d in DIRECTIONS]
    return "+".join(f"{d}-{s.technique}-{place_of(recipe, d)}-{s.way}" for d, s in sides if s)[:80]


def advise(
    recipe: Recipe,
    fabric_id: int | None,
    samples: Samples,
    *,
    thickness: int | None = None,
    width: int | None = None,
    rates: dict[str, Decimal] | None = None,
) -> SampleAdvice:
    """The sample to make of a recipe on a fabric, sized with what is known so far."""
    extras = tuple(_extra(recipe, d, fabric_id, samples) for d in DIRECTIONS)
    return sample_to_make(recipe, extras, thickness=thickness, usable_width=width, rates=rates)


def _extra(recipe: Recipe, direction: str, fabric_id: int | None, samples: Samples) -> int:
    found = side(recipe, direction)
    if found is None:
        return 0
    place = place_of(recipe, direction)
    return samples.take_up(fabric_id, direction, found.technique, found.way, place).extra


def needed(
    used: Iterable[tuple[int, Recipe, str]],
    samples: Samples,
    widths: dict[int, tuple[int | None, int | None]],
    rates: dict[str, Decimal],
    begun: frozenset[str] = frozenset(),
) -> tuple[SampleNeeded, ...]:
    """Samples missing for (fabric, recipe, name) in order, each pool once. ``widths``: (width, thickness).

    A pool in ``begun`` (somebody ticked or moved its step) stays listed though it has been measured since.
    """
    found: dict[tuple[int, str], SampleNeeded] = {}
    for fabric_id, recipe, name in used:
        key = (fabric_id, pool_key(recipe))
        if key in found or (samples.of_cloth(fabric_id, recipe) and f"{fabric_id}:{key[1]}" not in begun):
            continue
        width, thickness = widths[fabric_id]
        advice = advise(recipe, fabric_id, samples, thickness=thickness, width=width, rates=rates)
        found[key] = SampleNeeded(fabric_id, key[1], name, advice)
    return tuple(found.values())
