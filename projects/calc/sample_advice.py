"""What sample to make before cutting: its size, its tucks, its time, and a swatch to wash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from projects.calc.axis import even, repeat_of
from projects.calc.direction import Direction
from projects.calc.labour import estimate
from projects.calc.ratio import ByRatio
from projects.calc.ratio_advice import ratio_extents, sample_work
from projects.calc.ratio_samples import RatioUps, ratio_up
from projects.calc.recipe import Recipe
from projects.calc.sample_extent import EDGE, LEAST_REPEATS, LEAST_TUCKS, PLAIN, SampleExtent
from projects.calc.techniques import TECHNIQUES
from projects.calc.units import NM_PER_MM, ceil_div

WASH: Final = " Wash the swatch to learn what the cloth loses."
SWATCH: Final = 300 * NM_PER_MM  # side of the swatch to wash, marked 250 mm apart; a starting value


@dataclass(frozen=True, slots=True)
class SampleAdvice:
    """The sample to make. `swatch` is the side of the square to wash (0: none); `buy` the cloth for both.

    `work` is what its time comes from, by driver, beside the measuring.
    """

    across: SampleExtent
    along: SampleExtent
    tucks: int
    minutes: Decimal
    swatch: int
    buy: int
    why: str
    work: tuple[tuple[str, int], ...] = ()


def sample_to_make(
    recipe: Recipe,
    extras: tuple[int, int] = (0, 0),
    *,
    thickness: int | None = None,
    usable_width: int | None = None,
    swatch: bool = True,
    ratios: RatioUps | None = None,
    rates: Mapping[str, Decimal] | None = None,
    setup: Mapping[str, Decimal] | None = None,
) -> SampleAdvice:
    """At least 12 tucks and 2 whole repeats in each direction sewn, and a swatch to wash, as one purchase.

    Without `swatch` (what the wash takes is known) none is counted.

    `extras` are e across and along as known so far (nm), `ratios` what is known of one worked by
    ratio; the sizes hold for washed cloth. Cloth as bought: sample and swatch side by side where the usable
    width (nm) holds both, else one after the other, as where the width is not known. `rates` and `setup` are
    as in `labour.lines`.
    """
    wide, long, work = _worked(recipe, extras, thickness, ratios)
    minutes = estimate({"samples": 1, **dict(work)}, rates, setup)
    square = SWATCH if swatch else 0
    beside = usable_width is not None and wide.cut + square <= usable_width
    buy = max(long.cut, square) if beside else long.cut + square
    return SampleAdvice(wide, long, wide.tucks + long.tucks, minutes, square, buy, _why(recipe, swatch), work)


def _worked(
    recipe: Recipe, extras: tuple[int, int], thickness: int | None, ratios: RatioUps | None
) -> tuple[SampleExtent, SampleExtent, tuple[tuple[str, int], ...]]:
    """Both directions, and what is counted for the time."""
    if recipe.ratio is not None:
        by = recipe.ratio
        known = ratios or RatioUps(*(ratio_up((), by.ratio_of(name)) for name in ("across", "along")))
        wide, long = ratio_extents(by, known)
        return wide, long, sample_work(by, wide, long)
    wide = _extent(recipe.across, extras[0], thickness)
    long = _extent(recipe.along, extras[1], thickness)
    return wide, long, (("sample_tucks", wide.tucks + long.tucks),)


def _extent(direction: Direction | None, extra: int, thickness: int | None) -> SampleExtent:
    if direction is None:
        return SampleExtent(PLAIN + 2 * EDGE, PLAIN, PLAIN, 0, 0)
    take_ups = TECHNIQUES[direction.technique].starting_take_up(direction, thickness)
    repeat = direction.width if direction.is_pleats else repeat_of(direction.tucks)
    each = 1 if direction.is_pleats else len(direction.tucks)
    repeats = max(LEAST_REPEATS, ceil_div(LEAST_TUCKS, each))
    flat = repeats * (repeat + sum(even(take_up + extra) for take_up in take_ups))
    return SampleExtent(flat + 2 * EDGE, flat, repeats * repeat, repeats, repeats * each)


def _why(recipe: Recipe, swatch: bool) -> str:
    if recipe.ratio is not None:
        return _why_ratio(recipe.ratio, swatch)
    both = (
        ", in both directions because the second is sewn through the layers of the first"
        if recipe.both
        else ""
    )
    wash = WASH if swatch else ""
    return (
        f"At least {LEAST_TUCKS} {_units(recipe)} and {LEAST_REPEATS} whole repeats{both}: "
        "what the cloth adds to each is small, and only shows over many. "
        f"Measure flat before sewing and again when pressed.{wash}"
    )


def _why_ratio(recipe: ByRatio, swatch: bool) -> str:
    names = dict.fromkeys(f"{unit}s" for d in ("across", "along") if (unit := recipe.counts(d)))
    many = f"At least {LEAST_TUCKS} {' and '.join(names)} each way, two repeats or more: " if names else ""
    return (
        f"{many}{'h' if many else 'H'}ow much a cloth draws up differs from cloth to cloth. "
        f"Measure flat before sewing and again when steamed and at rest.{WASH if swatch else ''}"
    )


def _units(recipe: Recipe) -> str:
    """ "tucks", "pleats", or both where the directions differ."""
    sewn = [d for d in (recipe.across, recipe.along) if d is not None]
    names = [TECHNIQUES[d.technique].unit + "s" for d in sewn]
    return " or ".join(dict.fromkeys(names))
