"""Which samples a project should make before cutting: one for each cloth and recipe no sample speaks of."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from projects.calc.recipe import Recipe
from projects.calc.sample_advice import SampleAdvice, sample_to_make

from .samples import DIRECTIONS, Samples, place_of, side


@dataclass(frozen=True, slots=True)
class SampleNeeded:
    """A sample to make: on which fabric, of which recipe, and how large. ``key`` tells its pool.

    ``recipe_name`` names the version too where two samples on a fabric would read the same. One that is
    ``over`` (measured since, or its step done or skipped) is listed for its step alone, no cloth is needed.
    """

    fabric_id: int
    key: str
    recipe_name: str
    advice: SampleAdvice
    over: bool = False


def pool_key(recipe: Recipe) -> str:
    """The pools a recipe's samples go into, as text: editing a depth asks for no new sample."""
    if recipe.ratio is not None:
        return f"ratio-{recipe.ratio.technique}-{recipe.ratio.way}"[:80]
    sides = [(d, side(recipe, d)) for d in DIRECTIONS]
    return "+".join(f"{d}-{s.technique}-{place_of(recipe, d)}-{s.way}" for d, s in sides if s)[:80]


def advise(
    recipe: Recipe,
    fabric_id: int | None,
    samples: Samples,
    *,
    thickness: int | None = None,
    width: int | None = None,
    swatch: bool = True,
    rates: dict[str, Decimal] | None = None,
) -> SampleAdvice:
    """The sample to make of a recipe on a fabric, sized with what is known so far."""
    extras = tuple(_extra(recipe, d, fabric_id, samples) for d in DIRECTIONS)
    return sample_to_make(
        recipe, extras, thickness=thickness, usable_width=width, swatch=swatch, rates=rates,
        ratios=samples.ratios(fabric_id, recipe.ratio) if recipe.ratio else None,
    )  # fmt: skip


def _extra(recipe: Recipe, direction: str, fabric_id: int | None, samples: Samples) -> int:
    found = side(recipe, direction)
    if found is None:
        return 0
    place = place_of(recipe, direction)
    return samples.take_up(fabric_id, direction, found.technique, found.way, place).extra


@dataclass(frozen=True, slots=True)
class Asked:
    """A recipe used on a fabric by a piece, and what is known of that fabric. Lengths nm."""

    fabric_id: int
    recipe: Recipe
    name: str
    version: int
    width: int
    thickness: int | None
    swatch: bool
    """Whether what the wash takes of the fabric has still to be found out."""

    @property
    def pool(self) -> str:
        return pool_key(self.recipe)


def needed(
    used: Iterable[Asked], samples: Samples, rates: dict[str, Decimal], touched: Mapping[str, str]
) -> tuple[SampleNeeded, ...]:
    """Samples missing, in order, each pool once.

    ``touched`` holds the state of each pool (``fabric:pool``) whose step somebody ticked, skipped or moved:
    such a one stays listed though it has been measured since.
    """
    found: dict[tuple[int, str], tuple[Asked, bool]] = {}
    once: dict[tuple[int, int], Asked] = {}
    for asked in used:
        once.setdefault((asked.fabric_id, id(asked.recipe)), asked)
    for asked in once.values():
        key = (asked.fabric_id, asked.pool)
        if key in found:
            continue
        measured, state = samples.of_cloth(asked.fabric_id, asked.recipe), touched.get(f"{key[0]}:{key[1]}")
        if not measured or state is not None:
            found[key] = asked, measured or state in ("done", "skipped")
    names = _names([asked for asked, _ in found.values()])
    return tuple(_needed(asked, names, samples, rates, over) for asked, over in found.values())


def _needed(
    asked: Asked, names: Mapping[int, str], samples: Samples, rates: dict[str, Decimal], over: bool
) -> SampleNeeded:
    advice = advise(
        asked.recipe, asked.fabric_id, samples,
        thickness=asked.thickness, width=asked.width, swatch=asked.swatch, rates=rates,
    )  # fmt: skip
    return SampleNeeded(asked.fabric_id, asked.pool, names[id(asked)], advice, over)


def _names(asked: list[Asked]) -> dict[int, str]:
    """A name for each: the recipe's, with its version where two on one fabric would be called the same."""
    found = {id(a): a.name for a in asked}
    for more in (lambda a: f"version {a.version}", lambda a: _directions(a.recipe)):
        times = Counter((a.fabric_id, found[id(a)]) for a in asked)
        alike = [a for a in asked if times[a.fabric_id, found[id(a)]] > 1]
        found |= {id(a): f"{found[id(a)]}, {more(a)}" for a in alike}
    return found


def _directions(recipe: Recipe) -> str:
    sewn = [d for d in DIRECTIONS if side(recipe, d)]
    if recipe.ratio is not None:
        return recipe.ratio.way or recipe.kind_name()
    return f"{sewn[0]} only" if len(sewn) == 1 else "both ways"
