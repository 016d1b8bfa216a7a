"""What samples say to a piece: pooled by technique, direction, cloth, way of working, place in the order."""

from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from projects.calc.ratio import ByRatio
from projects.calc.ratio_samples import RatioReading, RatioUp, RatioUps, ratio_up
from projects.calc.recipe import Direction, Recipe, RecipeError
from projects.calc.sample_advice import LEAST_TUCKS
from projects.calc.sampling import THIS_CLOTH, Reading, TakeUp, draw_in, take_up
from projects.models import Sample

if TYPE_CHECKING:
    from .hands import Spreads

FIRST, SECOND = "first", "second"
DIRECTIONS = ("across", "along")


def other(direction: str) -> str:
    return "along" if direction == "across" else "across"


def side(recipe: Recipe, direction: str) -> Direction | None:
    return recipe.across if direction == "across" else recipe.along


def sewn_first(recipe: Recipe) -> str:
    """The direction a recipe sews first, by its numbers alone: as it says, else the larger mean depth."""
    if recipe.first in DIRECTIONS:
        return recipe.first
    if recipe.along is None or recipe.across is None:
        return "across" if recipe.across else "along"
    return "along" if _mean_depth(recipe.along) > _mean_depth(recipe.across) else "across"


def place_of(recipe: Recipe, direction: str, first: str = "") -> str:
    """"first" or "second": the second direction is sewn through the layers of the first."""
    return FIRST if not recipe.both or direction == (first or sewn_first(recipe)) else SECOND


def _mean_depth(direction: Direction) -> Fraction:
    if not direction.tucks:
        return Fraction(direction.depth)
    return Fraction(sum(t.depth for t in direction.tucks), len(direction.tucks))


class Samples:
    """Living samples, ready to be asked. Answers are remembered: many pieces ask the same."""

    def __init__(self, rows: Iterable[Sample], depth_spread: int, spreads: "Spreads | None" = None) -> None:
        self.rows = tuple(rows)
        self.depth_spread = depth_spread
        self.spreads = spreads
        self._known: dict[tuple[object, ...], TakeUp] = {}
        self._ratios: dict[tuple[object, ...], RatioUps] = {}
        self._drawn: dict[tuple[object, ...], Fraction] = {}

    def take_up(self, fabric: int | None, direction: str, technique: str, way: str, place: str) -> TakeUp:
        """What this cloth adds to each tuck of a direction."""
        key = (fabric, direction, technique, way, place)
        if key not in self._known:
            readings = [
                _reading(row, direction, fabric)
                for row in self.rows
                if measured(row, direction) and _pool(row, direction) == key[2:]
            ]
            self._known[key] = take_up(readings, self.depth_spread)
        return self._known[key]

    def draw_in(self, fabric: int | None, direction: str, technique: str, way: str) -> Fraction:
        """finished / flat of the cloth in ``direction`` where only the other is textured; 1 until sampled."""
        key = (fabric, direction, technique, way)
        if key not in self._drawn:
            readings = [
                _reading(row, direction, fabric)
                for row in self.rows
                if _plain(row, direction) and _pool(row, other(direction))[:2] == (technique, way)
            ]
            self._drawn[key] = draw_in(readings)
        return self._drawn[key]

    def ratios(self, fabric: int | None, recipe: ByRatio) -> RatioUps:
        """What samples say of both directions of a recipe by ratio, whatever its spacing."""
        key = (fabric, recipe.technique, recipe.way, *(recipe.ratio_of(d) for d in DIRECTIONS))
        if key not in self._ratios:
            self._ratios[key] = RatioUps(*(self._ratio(fabric, recipe, d) for d in DIRECTIONS))
        return self._ratios[key]

    def _ratio(self, fabric: int | None, recipe: ByRatio, direction: str) -> RatioUp:
        found = (
            _ratio_reading(row, direction, fabric)
            for row in self.rows
            if _pool(row, direction)[:2] == (recipe.technique, recipe.way)
        )
        return ratio_up([reading for reading in found if reading], recipe.ratio_of(direction))

    def _asked(self, fabric: int | None, recipe: ByRatio) -> list[RatioUp]:
        """What samples say of the directions that a recipe by ratio draws up."""
        known = self.ratios(fabric, recipe)
        return [known.of(d) for d in DIRECTIONS if recipe.draws(d)]

    def of_cloth(self, fabric: int | None, recipe: Recipe) -> bool:
        """Whether every direction of this recipe rests on a sample of this cloth."""
        if recipe.ratio is not None:
            return all(up.basis == THIS_CLOTH for up in self._asked(fabric, recipe.ratio))
        sides = [(d, side(recipe, d)) for d in DIRECTIONS]
        asked = [(d, s, place_of(recipe, d)) for d, s in sides if s is not None]
        found = [self.take_up(fabric, d, s.technique, s.way, place) for d, s, place in asked]
        return all(t.basis == THIS_CLOTH for t in found)

    def enough(self, fabric: int | None, recipe: Recipe) -> bool:
        """Whether every direction rests on samples of this cloth, with as many tucks as one should have."""
        if recipe.ratio is not None:
            return self._enough_by_ratio(fabric, recipe.ratio)
        sides = [(d, side(recipe, d), place_of(recipe, d)) for d in DIRECTIONS]
        found = [self.take_up(fabric, d, s.technique, s.way, place) for d, s, place in sides if s is not None]
        return all(t.basis == THIS_CLOTH and t.tucks >= LEAST_TUCKS for t in found)


    def _enough_by_ratio(self, fabric: int | None, recipe: ByRatio) -> bool:
        known = self.ratios(fabric, recipe)
        return all(
            known.of(d).basis == THIS_CLOTH
            and (known.of(d).units >= LEAST_TUCKS or not recipe.counts(d))
            for d in DIRECTIONS
            if recipe.draws(d)
        )


def measured(row: Sample, direction: str) -> bool:
    """Whether a sample was measured flat and finished in a direction that has tucks."""
    extents = (getattr(row, f"{direction}_flat"), getattr(row, f"{direction}_finished"))
    return None not in extents and getattr(row, f"{direction}_tucks") > 0


def _plain(row: Sample, direction: str) -> bool:
    extents = (getattr(row, f"{direction}_flat"), getattr(row, f"{direction}_finished"))
    return None not in extents and getattr(row, f"{direction}_tucks") == 0


def _pool(row: Sample, direction: str) -> tuple[str, str, str]:
    technique, way = getattr(row, f"{direction}_technique"), getattr(row, f"{direction}_way")
    return technique, way, getattr(row, f"{direction}_place") or FIRST


def _reading(row: Sample, direction: str, fabric: int | None) -> Reading:
    return Reading(
        flat=getattr(row, f"{direction}_flat"),
        finished=getattr(row, f"{direction}_finished"),
        tucks=getattr(row, f"{direction}_tucks"),
        depths_sum=getattr(row, f"{direction}_depths"),
        same_cloth=row.fabric_id == fabric,
    )


def _ratio_reading(row: Sample, direction: str, fabric: int | None) -> RatioReading | None:
    """One direction; None where it was not measured, or what was sewn is not by ratio or can't be read."""
    flat, finished = getattr(row, f"{direction}_flat"), getattr(row, f"{direction}_finished")
    if not flat or not finished:
        return None
    try:
        sewn = Recipe.from_json(row.content).ratio
    except RecipeError:
        return None
    units = getattr(row, f"{direction}_tucks")
    if sewn is None or finished > flat or (sewn.counts(direction) and not units):
        return None  # from before both were refused: impossible, or of nobody knows how many
    return RatioReading(flat, finished, sewn.ratio_of(direction), max(1, units), row.fabric_id == fabric)
