"""What sample to make before cutting: its size, its tucks, its time, and a swatch to wash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from projects.calc.axis import even, repeat_of
from projects.calc.direction import Direction
from projects.calc.labour import estimate
from projects.calc.recipe import Recipe
from projects.calc.techniques import TECHNIQUES
from projects.calc.units import NM_PER_MM, ceil_div

LEAST_TUCKS: Final = 12
LEAST_REPEATS: Final = 2
EDGE: Final = 25 * NM_PER_MM  # plain cloth on every side, outside the points measured
PLAIN: Final = 200 * NM_PER_MM  # how far seams run where a direction has no tucks; a starting value
SWATCH: Final = 300 * NM_PER_MM  # side of the swatch to wash, marked 250 mm apart; a starting value


@dataclass(frozen=True, slots=True)
class SampleExtent:
    """One direction of the sample: cloth to cut, the flat part to measure, what it should become; all nm.

    `cut` is `flat` and a plain edge at both ends. Where the direction has no tucks, `finished` is `flat`.
    """

    cut: int
    flat: int
    finished: int
    repeats: int
    tucks: int


@dataclass(frozen=True, slots=True)
class SampleAdvice:
    """The sample to make. `swatch` is the side of the square to wash (0: none); `buy` the cloth for both."""

    across: SampleExtent
    along: SampleExtent
    tucks: int
    minutes: Decimal
    swatch: int
    buy: int
    why: str


def sample_to_make(
    recipe: Recipe,
    extras: tuple[int, int] = (0, 0),
    *,
    thickness: int | None = None,
    usable_width: int | None = None,
    swatch: bool = True,
    rates: Mapping[str, Decimal] | None = None,
    setup: Mapping[str, Decimal] | None = None,
) -> SampleAdvice:
    """At least 12 tucks and 2 whole repeats in each direction sewn, and a swatch to wash, as one purchase.

    Without `swatch` (what the wash takes is known) none is counted.

    `extras` are e across and along as known so far (nm); the sizes hold for washed cloth. Cloth as bought:
    sample and swatch side by side where the usable width (nm) holds both, else one after the other, as where
    the width is not known. `rates` and `setup` are as in `labour.lines`.
    """
    wide = _extent(recipe.across, extras[0], thickness)
    long = _extent(recipe.along, extras[1], thickness)
    tucks = wide.tucks + long.tucks
    minutes = estimate({"samples": 1, "sample_tucks": tucks}, rates, setup)
    square = SWATCH if swatch else 0
    beside = usable_width is not None and wide.cut + square <= usable_width
    buy = max(long.cut, square) if beside else long.cut + square
    return SampleAdvice(wide, long, tucks, minutes, square, buy, _why(recipe, swatch))


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
    both = (
        ", in both directions because the second is sewn through the layers of the first"
        if recipe.both
        else ""
    )
    wash = " Wash the swatch to learn what the cloth loses." if swatch else ""
    return (
        f"At least {LEAST_TUCKS} {_units(recipe)} and {LEAST_REPEATS} whole repeats{both}: "
        "what the cloth adds to each is small, and only shows over many. "
        f"Measure flat before sewing and again when pressed.{wash}"
    )


def _units(recipe: Recipe) -> str:
    """ "tucks", "pleats", or both where the directions differ."""
    sewn = [d for d in (recipe.across, recipe.along) if d is not None]
    names = [TECHNIQUES[d.technique].unit + "s" for d in sewn]
    return " or ".join(dict.fromkeys(names))
