"""How the panels of one fabric lie on its cloth: a kept lay while its inputs match, else a quick one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.calc.lay import Lay, LayError, LayPanel, LayRequest, Placement, plan_lay
from projects.models import KeptLay

FORMAT = 1


@dataclass(frozen=True, slots=True)
class LaidOut:
    """The lay to show and the lengths to cut. ``bands`` are stretches of it that can be cut apart straight
    across, as (length, width) in nm; what is already cut is in none of them. ``whole`` is what all panels
    take, cut ones too (nm); 0 where they can't be laid."""

    lay: Lay | None
    bands: tuple[tuple[int, int], ...]
    kept: bool = False
    changed: bool = False
    problem: str = ""
    whole: int = 0


def lay_out(
    panels: tuple[LayPanel, ...],
    cut: frozenset[int],
    kept: KeptLay | None,
    request: LayRequest,
    width: int | None = None,
) -> LaidOut:
    """Lay ``panels`` as ``request`` says, or as kept if nothing changed. Places in ``cut`` are cut already.

    A kept lay shows all panels, cut ones too; a quick one only what is still to cut. ``width`` is what the
    length it is kept on has now, nm; one kept on cloth still to buy follows the fabric's.
    """
    matches = kept is not None and kept.inputs == inputs_json(request_for(request, panels, width))
    if kept is not None and matches:
        lay = lay_from_json(kept.result)
        if not cut:
            return LaidOut(lay, bands_of(lay), kept=True, whole=lay.length)
    quick = _quick(request_for(request, tuple(p for i, p in enumerate(panels) if i not in cut)))
    if matches:
        return LaidOut(lay, quick.bands, kept=True, problem=quick.problem, whole=lay.length)
    whole = _quick(request_for(request, panels)).whole if cut else quick.whole
    return LaidOut(quick.lay, quick.bands, changed=kept is not None, problem=quick.problem, whole=whole)


def request_for(request: LayRequest, panels: tuple[LayPanel, ...], width: int | None = None) -> LayRequest:
    """The same request for other panels, and on another width where one is given."""
    return LayRequest(width or request.width, panels, request.gap, request.one_way, None, request.system)


def _quick(request: LayRequest) -> LaidOut:
    if not request.panels:
        return LaidOut(None, ())
    try:
        lay = plan_lay(request)
    except LayError as error:
        return LaidOut(None, (), problem=str(error))
    return LaidOut(lay, bands_of(lay), whole=lay.length)


def bands_of(lay: Lay) -> tuple[tuple[int, int], ...]:
    """Stretches between straight cuts across the whole cloth, as (length, width used), in order."""
    bands: list[tuple[int, int]] = []
    start = end = wide = 0
    for placed in sorted(lay.placements, key=lambda p: p.y):
        if placed.y >= end and end > start:
            bands.append((placed.y - start, wide))
            start, wide = placed.y, 0
        end = max(end, placed.y + placed.length)
        wide = max(wide, placed.x + placed.width)
    return (*bands, (lay.length - start, wide)) if lay.placements else ()


def inputs_json(request: LayRequest) -> dict[str, Any]:
    """What a lay is made from, to be kept beside it and compared later."""
    return {
        "format": FORMAT,
        "width_nm": request.width,
        "gap_nm": request.gap,
        "one_way": request.one_way,
        "panels": [_panel_json(p) for p in request.panels],
    }


def _panel_json(panel: LayPanel) -> dict[str, Any]:
    return {
        "name": panel.name,
        "width_nm": panel.width,
        "length_nm": panel.length,
        "count": panel.count,
        "may_turn": panel.may_turn,
    }


def request_from_json(inputs: Mapping[str, Any]) -> LayRequest:
    """The request a lay was kept for."""
    return LayRequest(
        width=inputs["width_nm"],
        panels=tuple(_panel(p) for p in inputs["panels"]),
        gap=inputs["gap_nm"],
        one_way=inputs["one_way"],
    )


def _panel(p: Mapping[str, Any]) -> LayPanel:
    return LayPanel(p["name"], p["width_nm"], p["length_nm"], p["count"], p["may_turn"])


def lay_to_json(lay: Lay) -> dict[str, Any]:
    """A lay as it is kept and exported."""
    return {
        "format": FORMAT,
        "length_nm": lay.length,
        "shortest_possible_nm": lay.lower_bound,
        "waste": str(lay.waste_share),
        "shortest": lay.shortest,
        "placements": [_placement_json(p) for p in lay.placements],
    }


def _placement_json(p: Placement) -> dict[str, Any]:
    sizes = {"x_nm": p.x, "y_nm": p.y, "width_nm": p.width, "length_nm": p.length}
    return {"name": p.name, **sizes, "turned": p.turned, "copy": p.copy}


def lay_from_json(kept: Mapping[str, Any]) -> Lay:
    return Lay(
        length=kept["length_nm"],
        placements=tuple(_placements(kept["placements"])),
        lower_bound=kept["shortest_possible_nm"],
        waste_share=Decimal(kept["waste"]),
        shortest=kept["shortest"],
    )


def _placements(rows: Iterable[Mapping[str, Any]]) -> Iterable[Placement]:
    for p in rows:
        size = (p["x_nm"], p["y_nm"], p["width_nm"], p["length_nm"])
        yield Placement(p["name"], *size, p["turned"], p.get("copy", 1))
