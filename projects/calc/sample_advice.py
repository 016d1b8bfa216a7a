"""What sample to make before cutting: its size, its tucks, its time, and a swatch to wash."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from projects.calc.axis import Tuck, repeat_flat, repeat_of
from projects.calc.labour import estimate
from projects.calc.units import NM_PER_MM, ceil_div

LEAST_TUCKS: Final = 12
LEAST_REPEATS: Final = 2
EDGE: Final = 25 * NM_PER_MM  # plain cloth on every side, outside the points measured
PLAIN: Final = 200 * NM_PER_MM  # how far seams run where a direction has no tucks; a starting value
SWATCH: Final = 300 * NM_PER_MM  # side of the swatch to wash, marked 250 mm apart; a starting value


@dataclass(frozen=True, slots=True)
class SampleSide:
    """One direction of the recipe: its repeat finished and flat (nm), and the tucks or pleats in a repeat."""

    repeat: int
    repeat_flat: int
    tucks: int


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
    """The sample to make. `swatch` is the side of the square to wash; `buy` the length of cloth for both."""

    across: SampleExtent
    along: SampleExtent
    tucks: int
    minutes: Decimal
    swatch: int
    buy: int
    why: str


def side_of_tucks(tucks: Sequence[Tuck], extra: int) -> SampleSide:
    """The side of a direction of tucks, each adding `extra` nm by itself."""
    return SampleSide(repeat_of(tucks), repeat_flat(tucks, extra), len(tucks))


def sample_to_make(
    across: SampleSide | None,
    along: SampleSide | None,
    *,
    usable_width: int | None = None,
    rates: Mapping[str, Decimal] | None = None,
    setup: Mapping[str, Decimal] | None = None,
) -> SampleAdvice:
    """At least 12 tucks and 2 whole repeats in each direction sewn, and a swatch to wash, as one purchase.

    Cloth as bought: sample and swatch side by side where the usable width (nm) holds both, else one after the
    other, as where the width is not known.
    """
    wide, long = _extent(across), _extent(along)
    tucks = wide.tucks + long.tucks
    minutes = estimate({"samples": 1, "sample_tucks": tucks}, rates, setup)
    beside = usable_width is not None and wide.cut + SWATCH <= usable_width
    buy = max(long.cut, SWATCH) if beside else long.cut + SWATCH
    return SampleAdvice(wide, long, tucks, minutes, SWATCH, buy, _why(across, along))


def _extent(side: SampleSide | None) -> SampleExtent:
    if side is None:
        return SampleExtent(PLAIN + 2 * EDGE, PLAIN, PLAIN, 0, 0)
    repeats = max(LEAST_REPEATS, ceil_div(LEAST_TUCKS, side.tucks))
    flat = repeats * side.repeat_flat
    return SampleExtent(flat + 2 * EDGE, flat, repeats * side.repeat, repeats, repeats * side.tucks)


def _why(across: SampleSide | None, along: SampleSide | None) -> str:
    many = f"At least {LEAST_TUCKS} of them and {LEAST_REPEATS} whole repeats"
    both = (
        " in both directions, because the second is sewn through the layers of the first"
        if (across and along)
        else ""
    )
    return (
        f"{many}{both}: what the cloth adds to each is small, and only shows over many. "
        "Measure flat before sewing and again when pressed. Wash the swatch to learn what the cloth loses."
    )
