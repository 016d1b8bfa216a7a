"""What sample to make of a technique worked by ratio. Lengths whole nm."""

from __future__ import annotations

from typing import Final

from projects.calc.ratio import ByRatio
from projects.calc.ratio_counts import FlatCloth, work_of
from projects.calc.ratio_samples import RatioUps
from projects.calc.sample_extent import EDGE, LEAST_REPEATS, LEAST_TUCKS, PLAIN, SampleExtent
from projects.calc.units import ceil_div

LEAST_FINISHED: Final = 60_000_000
"""A sample is worked at least this large, so that the tape's half millimetre does not count; a starting
value."""


def ratio_extents(recipe: ByRatio, ups: RatioUps) -> tuple[SampleExtent, SampleExtent]:
    """Across and along: at least 12 units and 2 repeats each way; 200 mm where nothing is counted."""
    return _extent(recipe, "across", ups), _extent(recipe, "along", ups)


def _extent(recipe: ByRatio, name: str, ups: RatioUps) -> SampleExtent:
    ratio = ups.of(name).ratio
    apart = _apart(recipe, name)
    if not apart:
        flat = ceil_div(PLAIN * ratio.numerator, ratio.denominator)
        return SampleExtent(flat + 2 * EDGE, flat, PLAIN, 0, 0)
    each = 2 if recipe.technique in ("honeycomb", "lattice") else 1
    finished = LEAST_FINISHED * ratio.numerator
    units = max(LEAST_TUCKS, LEAST_REPEATS * each, ceil_div(finished, ratio.denominator * apart))
    repeats = ceil_div(units, each)
    flat = repeats * each * apart
    return SampleExtent(
        flat + 2 * EDGE, flat, flat * ratio.denominator // ratio.numerator, repeats, repeats * each
    )


def _apart(recipe: ByRatio, name: str) -> int:
    """How far apart the units of a direction lie; 0 where nothing is counted."""
    if not recipe.counts(name):
        return 0
    return recipe.spacing if recipe.technique == "lattice" or name == "across" else recipe.row


def sample_work(recipe: ByRatio, across: SampleExtent, along: SampleExtent) -> tuple[tuple[str, int], ...]:
    """Dots, or lines, of the sample by their driver."""
    cloth = FlatCloth(across.flat, along.flat, across.finished, along.finished)
    work = work_of(recipe, cloth)
    counted = (("sample_dots", work.dots), ("sample_lines", work.lines))
    return tuple((key, count) for key, count in counted if count)
