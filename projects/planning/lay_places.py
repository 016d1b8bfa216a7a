"""Where each panel lies in the lay of a fabric, and in which stretch of it, between straight cuts."""

from dataclasses import dataclass

from projects.calc.lay import Lay, LayPanel, Placement

from .lays import bands_of
from .materials import lay_panels
from .plan import PanelLine, Plan


@dataclass(frozen=True, slots=True)
class Place:
    """One placement with the panel it belongs to; a panel joined of several widths has several.

    ``stretch`` counts from 1 where the lay begins.
    """

    placed: Placement
    panel_id: int | None
    panel: str
    cut: bool
    stretch: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Cloth between two straight cuts across the whole width: ``start`` and ``end`` along the lay, nm."""

    number: int
    start: int
    end: int


def stretches_of(lay: Lay) -> tuple[Stretch, ...]:
    """The stretches of a lay, end to end: together they are its length."""
    found, start = [], 0
    for number, (length, *_) in enumerate(bands_of(lay), 1):
        found.append(Stretch(number, start, start + length))
        start += length
    return tuple(found)


def places_of(plan: Plan, fabric_id: int) -> tuple[Place, ...]:
    """The placements of a fabric's lay in its order. A kept lay holds what is cut too, a quick one does not.

    Panels of the same name and size are told apart by their order only, and lie alike.
    """
    line = next((f for f in plan.fabrics if f.fabric_id == fabric_id), None)
    if line is None or line.lay is None:
        return ()
    waiting = [(part, owner) for part, owner in _parts(plan, fabric_id) if line.kept_lay or not owner.cut]
    stretches = stretches_of(line.lay)
    cut = frozenset(part.panel.name for part in line.parts if part.key and part.cut)
    return tuple(_place(p, _taken(waiting, p), stretches, cut) for p in line.lay.placements)


def _parts(plan: Plan, fabric_id: int) -> list[tuple[LayPanel, PanelLine]]:
    lines = [line for piece in plan.pieces for line in piece.panels if line.fabric_id == fabric_id]
    return [(part, line) for line in lines for part in lay_panels(line, False)]


def _taken(waiting: list[tuple[LayPanel, PanelLine]], placed: Placement) -> PanelLine | None:
    """The first panel still waiting that this placement can be; it waits no longer."""
    size = sorted((placed.width, placed.length))
    for index, (part, _) in enumerate(waiting):
        if part.name == placed.name and sorted((part.width, part.length)) == size:
            return waiting.pop(index)[1]
    return None


def _place(
    placed: Placement, owner: PanelLine | None, stretches: tuple[Stretch, ...], blanks_cut: frozenset[str]
) -> Place:
    number = next((s.number for s in stretches if s.start <= placed.y < s.end), len(stretches))
    if owner is None:
        return Place(placed, None, placed.name, placed.name in blanks_cut, number)
    return Place(placed, owner.panel_id, owner.name, owner.cut, number)
