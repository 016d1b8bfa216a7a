"""A lay to be kept: of what is still to cut, on new cloth or on one chosen length."""

from dataclasses import dataclass, replace
from typing import Any

from projects.calc.lay import LayError, LayPanel, plan_lay
from projects.models import ClothLength, Fabric, Project

from .cloth import Washing
from .lay_json import inputs_json, lay_to_json
from .load import Stock, stock_of
from .materials import lay_panels
from .plan import Plan


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


def choose_lay(
    plan: Plan, fabric: Fabric, project: Project, *, length: ClothLength | None = None
) -> LayChoice:
    """The panels of ``fabric`` still to cut, on new cloth of its width or on one length.

    On a length its own width counts, and no more than is free for the project. Raises ``LayError`` where
    they can't be laid so.
    """
    request = next((f.request for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    to_cut = tuple(part for part, cut in _parts(plan, fabric.pk) if not cut)
    if request is None or not to_cut:
        raise LayError("There is nothing to lay.", panel="", given="no panels", expected="panels", remedy="")
    washing = Washing.of(fabric, project)
    if length is not None:
        width, room = washing.width_of(length, fabric), _room(length, washing, project)
        request = replace(request, width=width, most_length=room)
    lay = plan_lay(replace(request, panels=to_cut))
    takes = lay.length if length is not None and length.washed else washing.to_buy(lay.length)
    return LayChoice(request.width, lay.length, takes, inputs_json(request), lay_to_json(lay))


def _parts(plan: Plan, fabric_id: int) -> list[tuple[LayPanel, bool]]:
    """What is cut from a fabric, in the order of its lay's request, and whether it is cut already."""
    lines = [line for p in plan.pieces for line in p.panels if line.fabric_id == fabric_id]
    request = next((f.request for f in plan.fabrics if f.fabric_id == fabric_id), None)
    cut = [line.cut for line in lines for _ in lay_panels(line, False)]
    cut += [b.cut for b in plan.bindings if b.fabric_id == fabric_id and b.blank_length]
    return list(zip(request.panels, cut, strict=True)) if request else []


def cut_names(plan: Plan, fabric_id: int) -> frozenset[str]:
    """Names in the fabric's lay of which every panel is cut."""
    parts = _parts(plan, fabric_id)
    return frozenset(p.name for p, _ in parts) - {p.name for p, cut in parts if not cut}


def _room(length: ClothLength, washing: Washing, project: Project) -> int:
    """What of a length the project may use, as worked cloth."""
    stock = stock_of({length.fabric_id}, project).get(length.fabric_id, ())
    return washing.length_of(length, next((s.free for s in stock if s.length.pk == length.pk), 0))
