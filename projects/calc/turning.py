"""A panel turned: the other one of a pair, as it lies face up, or end for end on the cloth."""

from __future__ import annotations

from dataclasses import replace

from projects.calc.centring import turn_refusal
from projects.calc.direction import Direction
from projects.calc.panels import PanelError, PanelPlan
from projects.calc.recipe import Recipe


def mirrored(plan: PanelPlan) -> PanelPlan:
    """The other panel of a pair, counted from its own first edge: its right where the first's is its left.

    Its marks, numbers and readings are those of the first panel, from the opposite edge, and its pressing
    turns over with them; ``on_the_face`` shows it as it lies.
    """
    return replace(plan, across=plan.across.opposite(), mirrored=not plan.mirrored)


def on_the_face(plan: PanelPlan) -> PanelPlan:
    """The panel as it lies face up, counted from its left edge, every tuck with its own number."""
    if not plan.mirrored:
        return plan
    work = plan.work.recounted() if plan.work else None
    return replace(plan, across=plan.across.recounted(), mirrored=False, work=work)


def turning_refused(recipe: Recipe | None) -> str:
    """Why a panel cut end for end would not match the others; empty when the recipe reads the same."""
    directions: list[Direction | None] = [recipe.across, recipe.along] if recipe else []
    return next((why for d in directions if d is not None and (why := turn_refusal(d))), "")


def turn_end_for_end(plan: PanelPlan) -> PanelPlan:
    """The panel turned end for end on the cloth. Raises PanelError where it would no longer match."""
    refused = turning_refused(plan.recipe)
    if refused:
        raise PanelError(
            "turned", "A panel turned end for end", "a recipe that reads the same both ways", refused
        )
    return replace(plan, across=plan.across.mirrored(), along=plan.along.mirrored())
