"""A lay to be accepted: of what is still to cut, on new cloth, on one chosen length, or as a draft has it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from projects.calc.lay import Lay, LayError, LayPanel
from projects.calc.lengths import Rounding, System, rounded
from projects.models import ClothLength, Fabric, LayDraft, Project, Workroom

from .cloth import Washing
from .fabric_plan import FabricPlan, LayOn
from .lay_json import Kept, inputs_json, lay_to_json, read_kept
from .lay_request import joint_name, worked_flaw
from .load import Stock, stock_of
from .plan import Plan
from .quick_lays import quick_lay


@dataclass(frozen=True, slots=True)
class TakenOf:
    """A length that a lay takes from: its ``name`` in the lay, and what it takes off the shelf (nm)."""

    name: str
    row: ClothLength
    takes: int


@dataclass(frozen=True, slots=True)
class LayChoice:
    """What is kept of a lay. ``length`` is what the roll gives (nm as worked), ``takes`` the cloth this takes
    off the shelf where a length stands for the roll, before any wash (nm). ``in_inches`` as in the row."""

    width: int
    length: int
    takes: int
    inputs: dict[str, Any]
    result: dict[str, Any]
    lengths: tuple[TakenOf, ...] = ()
    others: tuple[Project, ...] = ()
    in_inches: bool | None = None


def lengths_for(fabric: Fabric, project: Project) -> tuple[Stock, ...]:
    """Lengths on the shelf that the project's work can be cut from, with what is free of each for it."""
    washing = Washing.of(fabric, project)
    stock = stock_of({fabric.pk}, project).get(fabric.pk, ())
    return tuple(s for s in stock if washing.serves(s.length))


def able(line: FabricPlan, stock: Sequence[Stock], fabric: Fabric, project: Project) -> list[Stock]:
    """Lengths that can stand for the roll of the lay shown, the shortest first: not in it already, wide and
    long enough, with no flaw where a panel lies. None where nothing of it is to be bought."""
    if line.lay is None or not line.lay.length:
        return []
    washing, lay = Washing.of(fabric, project), line.lay
    taken = {on.cloth_id for on in line.lay_on}

    def serves(s: Stock) -> bool:
        wide = washing.width_of(s.length, fabric) >= line.lay_width
        long = washing.length_of(s.length, s.free) >= lay.length
        return s.length.pk not in taken and wide and long and not _on_a_flaw(s.length, washing, lay)

    return sorted(filter(serves, stock), key=lambda s: washing.length_of(s.length, s.free))


def serving(
    line: FabricPlan, stock: Sequence[Stock], fabric: Fabric, project: Project
) -> ClothLength | None:
    """The one of them to take first: of the dye lot of the lengths the lay takes from, where it takes from
    some. None where no length will do."""
    taken = {on.cloth_id for on in line.lay_on}
    lots = {s.length.dye_lot for s in stock if s.length.pk in taken}
    rows = (s.length for s in able(line, stock, fabric, project))
    return next((row for row in rows if not lots or row.dye_lot in lots), None)


def choose_lay(
    plan: Plan, fabric: Fabric, project: Project, *, length: ClothLength | None = None
) -> LayChoice:
    """The panels of ``fabric`` still to cut, on new cloth of its width or on one length.

    On a length its own width counts, and no more than is free for the project. Raises ``LayError`` where
    they can't be laid so.
    """
    line = next((f for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    to_cut = tuple(part.panel for part in line.parts if not part.cut) if line else ()
    if line is None or line.request is None or not to_cut:
        raise LayError("There is nothing to lay.", panel="", given="no panels", expected="panels", remedy="")
    request, washing = line.request, Washing.of(fabric, project)
    if length is not None:
        width, room = washing.width_of(length, fabric), _room(length, washing, project)
        request = replace(request, width=width, most_length=room)
    lay = quick_lay(replace(request, panels=to_cut))
    takes = _as_bought(lay.length, length, washing)
    inputs, result, ruled = inputs_json(request), lay_to_json(lay), _in_inches(line)
    return LayChoice(request.width, lay.length, takes, inputs, result, in_inches=ruled)


def of_draft(draft: LayDraft, line: FabricPlan, fabric: Fabric, project: Project) -> LayChoice:
    """The lay that the plan shows of a draft: what it was asked, and the rows it takes from.

    What is kept beside it holds the project's cut panels too, so that the plan is still the same when others
    are cut.
    """
    if line.lay is None or line.laid_for is None:
        raise LayError("There is nothing to lay.", panel="", given="no panels", expected="panels", remedy="")
    lay, request = line.lay, line.laid_for
    joint = (project.number, *line.laid_with) if line.laid_with else ()
    own = tuple(_named(part.panel, project.number, bool(joint)) for part in line.parts)
    names = {panel.name for panel in own}
    request = replace(request, panels=(*own, *(p for p in request.panels if p.name not in names)))
    inputs = inputs_json(request, joint, draft.width in (None, fabric.width))
    washing = Washing.of(fabric, project)
    rows = ClothLength.objects.in_bulk([on.cloth_id for on in line.lay_on if on.cloth_id])
    return LayChoice(
        request.width,
        lay.length,
        washing.to_buy(lay.length),
        inputs,
        lay_to_json(lay),
        tuple(_taken(on, rows[on.cloth_id], washing) for on in line.lay_on if on.cloth_id),
        tuple(row for row in draft.others.all() if row.number in joint),
        _in_inches(line, joint=bool(joint)),
    )


def _in_inches(line: FabricPlan, *, joint: bool = False) -> bool | None:
    """The units strips of a lay are ruled in; None where neither it nor a project laid with it has any."""
    if line.request is None or not (line.bindings or joint):
        return None
    return line.request.system is System.INCH


def _named(panel: LayPanel, number: int, joint: bool) -> LayPanel:
    return replace(panel, name=joint_name(number, panel.name)) if joint else panel


def _taken(on: LayOn, row: ClothLength, washing: Washing) -> TakenOf:
    return TakenOf(on.name, row, _as_bought(on.used, row, washing))


def _as_bought(worked: int, row: ClothLength | None, washing: Washing) -> int:
    return worked if row is not None and row.washed else washing.to_buy(worked)


def on_length(choice: LayChoice, cloth: ClothLength, fabric: Fabric, project: Project) -> LayChoice:
    """The same lay with ``cloth`` standing for the roll. Raises ``LayError`` where it can't."""
    if not choice.length:
        return choice
    if any(taken.row.pk == cloth.pk for taken in choice.lengths):
        raise _refused(f"{cloth.label} is in this lay already.", "another length")
    kept = read_kept(choice.inputs, choice.result)
    return replace(choice, takes=taken_of(cloth, kept, fabric, project))


def taken_of(cloth: ClothLength, kept: Kept, fabric: Fabric, project: Project) -> int:
    """What the roll's part of a lay takes off a length that stands for it (nm as on the shelf).

    Raises ``LayError`` where the length is too narrow or too short, or a panel would lie on a flaw.
    """

    def say(nm: int) -> str:
        return rounded(nm, Rounding.PANEL, system)

    system = System(Workroom.load().units)
    washing, lay = Washing.of(fabric, project), kept.lay
    width, room = washing.width_of(cloth, fabric), _room(cloth, washing, project)
    if not washing.serves(cloth):
        raise _refused(f"{cloth.label} was washed, and this work is sewn unwashed.", "cloth not washed yet")
    if width < kept.request.width:
        raise _refused(f"{cloth.label} is {say(width)} wide.", f"at least {say(kept.request.width)}")
    if room < lay.length:
        raise _refused(f"{say(room)} of {cloth.label} are free for it.", f"at least {say(lay.length)}")
    panel = _on_a_flaw(cloth, washing, lay)
    if panel:
        raise _refused(f"{panel} would lie on a flaw of {cloth.label}.", "a length without a flaw there")
    return _as_bought(lay.length, cloth, washing)


def _on_a_flaw(cloth: ClothLength, washing: Washing, lay: Lay) -> str:
    """The first panel of the roll that would lie on a flaw; empty where none would."""
    flaws = [worked_flaw(flaw, cloth, washing) for flaw in cloth.flaws.all()]
    for placed in lay.placements:
        for flaw in flaws if not placed.on else ():
            beside = placed.x >= flaw.x + flaw.width or flaw.x >= placed.x + placed.width
            if not beside and placed.y < flaw.y + flaw.length and flaw.y < placed.y + placed.length:
                return placed.name
    return ""


def _refused(problem: str, expected: str) -> LayError:
    remedy = f"It takes {expected}. Choose another length, or lay on this one anew."
    return LayError(problem, panel="", given=problem, expected=expected, remedy=remedy)


def _room(length: ClothLength, washing: Washing, project: Project) -> int:
    """What of a length the project may use, as worked cloth."""
    stock = stock_of({length.fabric_id}, project).get(length.fabric_id, ())
    return washing.length_of(length, next((s.free for s in stock if s.length.pk == length.pk), 0))
