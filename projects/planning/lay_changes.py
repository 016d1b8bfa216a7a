"""How the plan has changed since a lay was accepted, as plain facts."""

from collections.abc import Iterator, Mapping

from projects.calc.lay import LayPanel
from projects.calc.lengths import Rounding, System, rounded
from projects.models import KeptLay, Project

from .cloth import Washing
from .fabric_plan import FabricPlan
from .lay_json import Kept, read_kept
from .lay_request import own_panels
from .plan import Plan


def what_changed(kept: KeptLay, plan: Plan) -> list[str]:
    """Each difference in a sentence: "Front is 2 mm longer." The plan is that of the lay's own project, or of
    one laid together with it; only its own panels are compared. Empty where nothing differs."""
    line = next((f for f in plan.fabrics if f.fabric_id == kept.fabric_id), None)
    read, system = read_kept(kept.inputs, kept.result), System(plan.facts.units)
    own = own_panels(read.request.panels, plan.facts.number, bool(read.projects))
    return [*_panels(own, line, system), *_cloth(kept, read, plan, system)]


def _panels(own: Mapping[str, LayPanel], line: FabricPlan | None, system: System) -> Iterator[str]:
    parts = {part.panel.name: part for part in line.parts} if line else {}
    for name, part in parts.items():
        if name in own:
            yield from _panel(own[name], part.panel, system)
        elif not part.cut:
            yield f"{name} is new."
    yield from (f"{name} is gone." for name in own if name not in parts)


def _panel(before: LayPanel, now: LayPanel, system: System) -> Iterator[str]:
    for more, less, old, new in (
        ("wider", "narrower", before.width, now.width),
        ("longer", "shorter", before.length, now.length),
    ):
        if old != new:
            yield f"{now.name} is {_by(new - old, system)} {more if new > old else less}."
    if before.may_turn != now.may_turn:
        yield f"{now.name} may {'lie across the grain now' if now.may_turn else 'no longer turn'}."


def _by(difference: int, system: System) -> str:
    """A difference as finely as it can be marked; one that is finer still is said to be."""
    said = rounded(abs(difference), Rounding.MARK, system)
    return said if said != rounded(0, Rounding.MARK, system) else "a little"


def _cloth(kept: KeptLay, read: Kept, plan: Plan, system: System) -> Iterator[str]:
    fabric, washing = kept.fabric, Washing.of(kept.fabric, _washed_as(plan))
    if read.request.one_way != fabric.one_way:
        yield f"{fabric.name} {'has one way up now' if fabric.one_way else 'may lie either way up now'}."
    if read.lay.length:
        width = washing.width_of(kept.cloth, fabric) if kept.cloth else washing.worked_width(fabric.width)
        differs = width < read.request.width if kept.cloth else width != read.request.width
        if differs and (kept.cloth or read.own_width):
            yield _widths(kept.cloth.label if kept.cloth else fabric.name, width, read.request.width, system)
    widths = {length.name: length.width for length in read.request.lengths}
    for row in kept.lengths.all():
        width, before = washing.width_of(row.cloth, fabric), widths.get(str(row.place), 0)
        if width < before:
            yield _widths(row.cloth.label, width, before, system)


def _washed_as(plan: Plan) -> Project:
    return Project(washing=plan.facts.washing)


def _widths(what: str, now: int, before: int, system: System) -> str:
    new, old = (rounded(nm, Rounding.PANEL, system) for nm in (now, before))
    return f"{what} is {new} wide; the lay was made for {old}."
