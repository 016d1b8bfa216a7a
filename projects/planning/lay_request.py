"""What the planner of lays is asked for a fabric: the panels still to cut, lengths on the shelf, the roll.

Lengths are whole nm of cloth as it is worked: what the wash will take is off lengths, widths and flaws.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from projects.calc.lay import LayError, LayPanel, LayRequest
from projects.calc.lay.request import Flaw, StashLength
from projects.calc.lengths import System
from projects.models import ClothFlaw, ClothLength, Fabric, LayDraft, Project

from .cloth import Washing
from .fabric_plan import LayPart
from .lay_json import inputs_json, pin_from_json
from .load import Stock, stock_of
from .plan import Plan

NOTHING = "There is nothing to lay."


@dataclass(frozen=True, slots=True)
class AskedPart:
    """A panel in the question: ``part`` of the project with this id and number."""

    project_id: int
    number: int
    part: LayPart


@dataclass(frozen=True, slots=True)
class LayAsked:
    """A question. ``lengths`` are named "1", "2", ... in it, in their order; ``parts`` by name of their panel
    as it is laid."""

    request: LayRequest
    lengths: tuple[Stock, ...]
    parts: dict[str, AskedPart]
    projects: tuple[int, ...] = ()
    """Numbers of the projects laid together, the draft's own first; none where it is alone."""
    own_width: bool = True
    """The roll is as wide as the fabric is said to be."""

    @property
    def inputs(self) -> dict[str, Any]:
        """The question as a draft keeps it beside its answer."""
        cloths = [stock.length.pk for stock in self.lengths]
        found = inputs_json(self.request, self.projects, self.own_width, cloths)
        return {**found, "pairs": [{"name": one, "with": other} for one, other in self.pairs]}

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """Names of panels that are LEFT and RIGHT of one piece, to lie together where that costs nothing."""
        hands: dict[tuple[int, int | None], dict[str, list[str]]] = {}
        for name, row in self.parts.items():
            if row.part.hand:
                piece = hands.setdefault((row.project_id, row.part.piece_id), {})
                piece.setdefault(row.part.hand, []).append(name)
        both = (list(piece.values()) for piece in hands.values() if len(piece) == 2)
        return [pair for one, other in both for pair in zip(one, other, strict=False)]

    def stock(self, on: str) -> Stock | None:
        """The length a placement lies on; None for the roll."""
        return self.lengths[int(on) - 1] if on else None


@dataclass(frozen=True, slots=True)
class Table:
    """One fabric of one project to be laid: its parts, and what of it lies on the shelf for the project."""

    fabric: Fabric
    washing: Washing
    number: int
    project_id: int
    parts: tuple[LayPart, ...]
    stock: tuple[Stock, ...]
    system: System

    @property
    def request(self) -> LayRequest:
        """All parts, cut ones too, on new cloth of the fabric's own width."""
        return LayRequest(
            self.washing.worked_width(self.fabric.width),
            tuple(part.panel for part in self.parts),
            one_way=self.fabric.one_way,
            system=self.system,
        )


def asked(
    draft: LayDraft | None, plan: Plan, fabric: Fabric, project: Project, others: Sequence[Plan] = ()
) -> LayAsked:
    """The question for one fabric, as the draft's options say; without a draft as they are to begin with.

    ``others`` are the plans of the projects laid together with this one. Raises ``LayError`` where nothing is
    left to cut, or where the projects can't be laid together.
    """
    table = table_of(plan, fabric, project, stock_of({fabric.pk}, project).get(fabric.pk, ()))
    numbers = (table.number, *(other.facts.number for other in others)) if others else ()
    found = question(draft or LayDraft(), table, others, numbers)
    if not found.request.panels:
        raise LayError(NOTHING, panel="", given="no panels", expected="panels still to cut", remedy="")
    return found


def table_of(plan: Plan, fabric: Fabric, project: Project, stock: tuple[Stock, ...]) -> Table:
    parts = next((f.parts for f in plan.fabrics if f.fabric_id == fabric.pk), ())
    washing, system = Washing.of(fabric, project), System(plan.facts.units)
    return Table(fabric, washing, project.number, project.pk, parts, stock, system)


def question(
    draft: LayDraft, table: Table, others: Sequence[Plan] = (), projects: tuple[int, ...] = ()
) -> LayAsked:
    """The question of a draft; its panels may be none. Pins of panels that are cut or gone are left out, and
    those on lengths that are gone. ``projects`` are the numbers of all that are laid together, the draft's
    own first."""
    fabric, washing = table.fabric, table.washing
    parts = _asked_parts(table, others, bool(projects))
    lengths = lengths_for(draft, table)
    names = {"": "", **{str(row.length.pk): str(n) for n, row in enumerate(lengths, 1)}}
    pins = (pin_from_json(pin) for pin in draft.pins if pin["name"] in parts and pin["on"] in names)
    request = replace(
        table.request,
        width=washing.worked_width(draft.width or fabric.width),
        panels=tuple(replace(row.part.panel, name=name) for name, row in parts.items()),
        gap=draft.gap,
        lengths=tuple(_stash_length(str(n), row, table) for n, row in enumerate(lengths, 1)),
        end_loss=draft.end_loss,
        one_dye_lot=draft.one_dye_lot,
        smallest_remnant=draft.smallest_remnant,
        straight_cuts=draft.straight_cuts,
        pins=tuple(replace(pin, on=names[pin.on]) for pin in pins),
    )
    return LayAsked(request, lengths, parts, projects, draft.width in (None, fabric.width))


def _asked_parts(table: Table, others: Sequence[Plan], joint: bool) -> dict[str, AskedPart]:
    """Parts still to cut by the name they are laid under."""
    rows = [AskedPart(table.project_id, table.number, part) for part in table.parts]
    for plan in others:
        if plan.facts.washing != table.washing.when:
            raise _apart(plan)
        theirs = next((f.parts for f in plan.fabrics if f.fabric_id == table.fabric.pk), ())
        rows += [AskedPart(plan.facts.project_id, plan.facts.number, part) for part in theirs]
    return {_name(row, joint): row for row in rows if not row.part.cut}


def _name(row: AskedPart, joint: bool) -> str:
    return joint_name(row.number, row.part.panel.name) if joint else row.part.panel.name


def joint_name(number: int, name: str) -> str:
    """The name of a panel of project ``number`` in a lay of several projects."""
    return f"{number}: {name}"


def own_panels(panels: Iterable[LayPanel], number: int, joint: bool) -> dict[str, LayPanel]:
    """Those of one project among the panels of a lay, by the names they have in its plan."""
    if not joint:
        return {panel.name: panel for panel in panels}
    start = joint_name(number, "")
    own = (replace(p, name=p.name[len(start) :]) for p in panels if p.name.startswith(start))
    return {panel.name: panel for panel in own}


def lengths_for(draft: LayDraft, table: Table) -> tuple[Stock, ...]:
    """The lengths that may be used up: all that the work can be cut from, or those that were chosen."""
    if not draft.use_stash:
        return ()
    chosen = {row.pk for row in draft.lengths.all()} if draft.pk else set[int]()
    fitting = (row for row in table.stock if table.washing.serves(row.length))
    return tuple(row for row in fitting if not chosen or row.length.pk in chosen)


def _stash_length(name: str, stock: Stock, table: Table) -> StashLength:
    row, washing = stock.length, table.washing
    width, length = washing.width_of(row, table.fabric), washing.length_of(row, stock.free)
    flaws = tuple(worked_flaw(f, row, washing) for f in row.flaws.all() if f.along < stock.free)
    return StashLength(name, width, length, row.dye_lot, flaws)


def worked_flaw(flaw: ClothFlaw, row: ClothLength, washing: Washing) -> Flaw:
    """A flaw where it will be after the wash, never smaller: its corners rounded away from it."""
    if row.washed:
        return Flaw(flaw.across, flaw.along, flaw.width, flaw.length)
    y, end = (washing.length_of(row, nm) for nm in (flaw.along, flaw.along + flaw.length))
    x, side = (washing.worked_width(nm) for nm in (flaw.across, flaw.across + flaw.width))
    return Flaw(x, y, side + 1 - x, end + 1 - y)


def _apart(plan: Plan) -> LayError:
    facts = plan.facts
    return LayError(
        f"Project {facts.number}, {facts.title}, washes its cloth at another time.",
        panel="",
        given=f"project {facts.number}",
        expected="projects whose cloth is washed at the same time",
        remedy="Lay it by itself, or change when its cloth is washed.",
    )
