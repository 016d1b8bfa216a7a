"""A lay to be kept: as the Plan has it, or made anew for one chosen length of cloth."""

from dataclasses import dataclass, replace
from typing import Any

from projects.calc.lay import Lay, LayError, LayRequest, plan_lay
from projects.models import ClothLength, Fabric, Project

from .cloth import Washing
from .lays import inputs_json, lay_to_json
from .load import Stock, stock_of
from .plan import FabricPlan


@dataclass(frozen=True, slots=True)
class LayChoice:
    """What is kept of a lay. ``takes`` is the cloth it takes off the shelf, before any wash (nm)."""

    width: int
    length: int
    takes: int
    inputs: dict[str, Any]
    result: dict[str, Any]


def lengths_for(fabric: Fabric, project: Project) -> tuple[Stock, ...]:
    """Lengths on the shelf that the project's work can be cut from, with what is free of each for it."""
    washing = Washing.of(fabric, project)
    stock = stock_of({fabric.pk}, project).get(fabric.pk, ())
    return tuple(s for s in stock if washing.serves(s.length))


def as_planned(line: FabricPlan, fabric: Fabric, project: Project) -> LayChoice:
    """The Plan's own lay, on cloth of the fabric's width. Raises ``LayError`` where there is none."""
    request, lay = _planned(line)
    return _choice(request, lay, Washing.of(fabric, project).to_buy(lay.length))


def on_length(line: FabricPlan, fabric: Fabric, project: Project, length: ClothLength) -> LayChoice:
    """The panels laid on one length: its width, and no more than is free. Raises ``LayError``."""
    request, lay = _planned(line)
    washing = Washing.of(fabric, project)
    free = next((s.free for s in lengths_for(fabric, project) if s.length.pk == length.pk), 0)
    width, room = washing.width_of(length, fabric), washing.length_of(length, free)
    names = {placed.name for placed in lay.placements}
    panels = tuple(p for p in request.panels if p.name in names)
    lay = plan_lay(replace(request, width=width, panels=panels, most_length=room))
    takes = lay.length if length.washed else washing.to_buy(lay.length)
    return _choice(replace(request, width=width), lay, takes)


def _planned(line: FabricPlan) -> tuple[LayRequest, Lay]:
    if line.request is None or line.lay is None:
        problem = line.problem or "There is nothing to lay."
        raise LayError(problem, panel="", given="no lay", expected="a lay", remedy="Put that right first.")
    return line.request, line.lay


def _choice(request: LayRequest, lay: Lay, takes: int) -> LayChoice:
    return LayChoice(request.width, lay.length, takes, inputs_json(request), lay_to_json(lay))
