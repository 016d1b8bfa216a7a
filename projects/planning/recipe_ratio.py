"""What a recipe by ratio does, worked out for the recipe page: ratios planned with, counts, hours.

Everything is read off a panel of one finished square metre, planned as every panel is. Nothing is saved.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from projects.calc import labour, ratio_labour
from projects.calc.panels import PanelPlan
from projects.calc.ratio import ByRatio
from projects.calc.ratio_samples import RatioUp
from projects.calc.recipe import Recipe, RecipeError
from projects.models import Fabric, Workroom

from .learned_rates import Rates
from .recipe_trial import Trial
from .samples import Samples

METRE = 1_000_000_000
SET_UP = ("setup", "runs")
"""Of the hours, what comes once however large the piece is."""


@dataclass(frozen=True, slots=True)
class RatioFacts:
    """A recipe by ratio at work. `square` is a panel finished 1 m x 1 m, edge to edge; `minutes` are for it,
    without setting up."""

    recipe: Recipe
    content: ByRatio
    ups: Mapping[str, RatioUp]
    square: PanelPlan
    light: Decimal | None
    minutes: Decimal
    starting: bool
    learnt: int = 0
    """Finished steps that the minutes rest on; 0 where they rest on none."""

    @property
    def thickness(self) -> int | None:
        return self.square.thickness

    @property
    def layers(self) -> int:
        return self.square.layers_max

    @property
    def area(self) -> Fraction:
        """Flat square metres for one finished square metre."""
        return self.ups["across"].ratio * self.ups["along"].ratio


def ratio_facts(
    recipe: Recipe,
    *,
    fabric: Fabric | None,
    samples: Samples,
    workroom: Workroom,
    rates: Rates | None,
) -> RatioFacts:
    """Everything the page says of a recipe by ratio. Raises CalcError where it can't be planned."""
    content = recipe.ratio
    if content is None:
        raise RecipeError("technique", "Tucks or pleats", "a technique worked by ratio", "Choose one.")
    trial = Trial.of(recipe, fabric=fabric, samples=samples, workroom=workroom, room=False)
    square = trial.panel(METRE, METRE)
    counted = ratio_labour.quantities(square.work) if square.work else {}
    known = rates or Rates({})
    lines = [line for line in labour.lines(counted, known.of(content.technique)) if line.key not in SET_UP]
    return RatioFacts(
        recipe,
        content,
        {side.name: side.ratio for side in square.both if side.ratio is not None},
        square,
        fabric.light if fabric else None,
        sum((line.minutes for line in lines), Decimal(0)),
        any(line.starting for line in lines),
        max((known.steps(line.key, content.technique) for line in lines), default=0),
    )
