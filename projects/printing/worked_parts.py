"""How each texture by ratio of a project is worked: its drawing and the same in words, once a recipe."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.safestring import SafeString

from projects.calc.lengths import System
from projects.calc.panels import PanelPlan
from projects.drawings.worked import Look, how, worked
from projects.planning.plan import PiecePlan

WIDE = 760
"""Pixels the drawing is made for; paper scales it."""


@dataclass(frozen=True, slots=True)
class WorkedPart:
    title: str
    drawing: SafeString
    words: tuple[str, ...]


def worked_parts(pieces: Iterable[PiecePlan], system: System) -> Iterator[WorkedPart]:
    """One part for each recipe by ratio, drawn with the ratios of the first panel that is worked by it."""
    seen = set()
    for piece in pieces:
        content = piece.recipe.ratio if piece.recipe else None
        if content is None or not piece.panels or content in seen:
            continue
        seen.add(content)
        across, along = _ratios(piece.panels[0].plan)
        title = f"{piece.recipe_name}, how it is worked: flat above, finished below"
        drawing = worked(content, Look(across, along, system, title, WIDE))
        yield WorkedPart(piece.recipe_name, drawing, tuple(how(content, system)))


def _ratios(plan: PanelPlan) -> tuple[float, float]:
    across, along = plan.across.ratio, plan.along.ratio
    return float(across.ratio) if across else 1.0, float(along.ratio) if along else 1.0
