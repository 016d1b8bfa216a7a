"""What deserves a line beside a piece or a project: warnings, what is not known, and what can hurt."""

from projects.calc.lengths import Rounding, System, rounded, rounded_up
from projects.calc.panels import PanelPlan
from projects.calc.recipe import Recipe
from projects.models import Fabric, Piece, Project, Workroom

from . import under
from .load import Rows
from .plan import CordPlan, FabricPlan, Note, NotionPlan, PanelLine, PiecePlan
from .thread_plan import cord_said
from .words import counted, fold_word

KINDS = {"layers": "info", "unsampled": "info", "unknown": "info", "caught": "info"}


def of_piece(
    piece: Piece, recipe: Recipe | None, plan: PanelPlan | None, rows: Rows
) -> tuple[Note, ...]:
    """Everything worth saying about one piece, its own words first."""
    found = [Note("warning", text, piece.name) for text in _missing(piece, recipe)]
    if plan is not None:
        found += [_note(n.kind, n.text, n.direction, piece.name) for n in plan.notes]
        needle = plan.needle_warnings(System(rows.workroom.units))
        found += [Note("warning", text, piece.name) for text in needle]
        found += [Note("info", text, piece.name) for text in _joined(plan)]
    if piece.fabric is not None:
        found += [Note("info", text, piece.name) for text in unknowns(piece.fabric, recipe, rows.project)]
    found += [Note("info", text, piece.name) for text in under.notes_of(piece, recipe)]
    return tuple(found)


def _missing(piece: Piece, recipe: Recipe | None) -> list[str]:
    if piece.fabric is None:
        return ["No cloth is chosen yet, so this piece is in no lay and in nothing to buy. Choose its cloth."]
    return []


def squares(piece: Piece, plan: PanelPlan | None, studio: Workroom) -> tuple[Note, ...]:
    """What whole squares give, where a piece is worked in lattice."""
    if plan is None or plan.work is None or not plan.work.squares_across:
        return ()
    system, work = System(studio.units), plan.work
    wide, long = (rounded(side.length, Rounding.PANEL, system) for side in plan.both)
    said = f"{work.squares_across} by {work.squares_down} whole squares give {wide} by {long} finished."
    return (Note("info", said, piece.name),)


def _note(kind: str, text: str, direction: str, about: str) -> Note:
    said = f"{direction.capitalize()}: {text[:1].lower()}{text[1:]}" if direction else text
    return Note(KINDS.get(kind, "warning"), said, about)


def _joined(plan: PanelPlan) -> list[str]:
    if not plan.joins or not plan.joins.joins:
        return []
    numbers = [str(join.number) for join in plan.joins.joins]
    if plan.work is not None:
        return [f"Wider than the cloth: {len(plan.joins.widths)} widths are joined; the fullness hides it."]
    word = fold_word(plan.across.direction)
    which = f"{word} {numbers[0]}" if len(numbers) == 1 else f"{word}s {', '.join(numbers)}"
    return [
        f"Wider than the cloth: {len(plan.joins.widths)} widths are joined inside {which}, off the fold, "
        "where the join does not show."
    ]


def unknowns(fabric: Fabric, recipe: Recipe | None, project: Project) -> list[str]:
    """What pages can't show because it was never measured."""
    found, name = [], fabric.name
    if recipe is not None and fabric.thickness is None:
        found.append(f"How thick {name} is isn't known, so what passes under the needle can't be said.")
    if recipe is not None and fabric.light is None:
        found.append(f"How much light {name} lets through isn't known, so layers are only counted.")
    if fabric.grams is None:
        found.append(f"What {name} weighs isn't known, so neither is the weight of the piece.")
    if project.washing == "before" and (fabric.shrink_along is None or fabric.shrink_across is None):
        found.append(f"How much {name} shrinks isn't known and counts as nothing: wash a swatch first.")
    return found


def cut_too_small(lines: tuple[PanelLine, ...], studio: Workroom) -> tuple[Note, ...]:
    """Panels that are cut smaller than their piece would need now: they may still do, or not."""
    system = System(studio.units)
    return tuple(
        Note(
            "warning",
            f"{line.name} is cut, and its {change.label[4:]} is {missing} less than needed now.",
            line.name,
        )
        for line in lines
        for change in line.changes
        if change.label in ("cut width", "cut length") and change.now > change.kept
        for missing in [rounded(change.now - change.kept, Rounding.PANEL, system)]
    )


def too_wide(piece: Piece, plan: PanelPlan, studio: Workroom) -> str:
    """Why a panel wider than its cloth can't be joined, and what would fit."""
    system = System(studio.units)
    widths = (plan.cut_width, plan.cloth.usable_width or 0)
    need, fits = (rounded(nm, Rounding.PANEL, system) for nm in widths)
    refusal = plan.joins.refusal if plan.joins else ""
    return (
        f"{piece.name} can't be cut: its panel is {need} wide and the cloth {fits}. {refusal} "
        f"A panel up to {fits} wide would fit."
    )


def of_project(
    rows: Rows, pieces: tuple[PiecePlan, ...], fabrics: tuple[FabricPlan, ...]
) -> tuple[Note, ...]:
    """What concerns the whole: pieces that can't be planned, cut panels that later edits pass by, cloth."""
    found = [Note("warning", p.problem, p.name) for p in pieces if p.problem]
    for piece in pieces:
        found += [Note("info", text, line.name) for line in piece.panels for text in _cut(line)]
    for fabric in fabrics:
        found += [Note("warning", fabric.problem, fabric.name)] if fabric.problem else []
        found += [Note("warning", text, fabric.name) for text in _stock(rows, fabric)]
    return tuple(found)


def _cut(line: PanelLine) -> list[str]:
    if line.no_longer_wanted:
        return ["Cut, though the piece no longer asks for it."]
    if not line.changes:
        return []
    what = ", ".join(change.label for change in line.changes)
    return [f"Already cut and kept as it was; what was changed since would have changed its {what}."]


def _stock(rows: Rows, fabric: FabricPlan) -> list[str]:
    """Dye lots that would be mixed, and cloth that was washed though it is to be sewn unwashed."""
    stock = rows.stock.get(fabric.fabric_id, ())
    found = []
    if fabric.mixed:
        found.append("Part is on hand, part to buy: another dye lot may differ, compare in daylight.")
    if len(fabric.uses) > 1 and not fabric.lot:
        found.append("The dye lots of the lengths on hand aren't written down: compare them in daylight.")
    if rows.project.washing == "after" and any(s.length.washed for s in stock):
        found.append("Lengths that have been washed are left out: this work is sewn unwashed.")
    return found


def have_ready(
    rows: Rows,
    pieces: tuple[PiecePlan, ...],
    fabrics: tuple[FabricPlan, ...],
    notions: tuple[NotionPlan, ...],
    cords: tuple[CordPlan, ...] = (),
) -> tuple[str, ...]:
    """What lies on the table before work begins."""
    system = System(rows.workroom.units)
    cloth = [_cloth_ready(fabric, system) for fabric in fabrics if fabric.need]
    small = [f"{n.name}, {counted(n.need, n.unit)}" for n in notions]
    return (*cloth, *small, *(cord_said(cord, system) for cord in cords), *_tools(pieces))


def _cloth_ready(fabric: FabricPlan, system: System) -> str:
    """A fabric and the lengths it is taken from: how much of each, where one doesn't hold it all."""
    need = rounded_up(fabric.need, Rounding.CLOTH, system)
    taken = [(label, rounded_up(nm, Rounding.CLOTH, system)) for label, nm in fabric.uses]
    said = [label if text == need else f"{text} from {label}" for label, text in taken]
    if len(taken) == 1 and taken[0][1] == need:
        return f"{fabric.name}, {need} from {said[0]}"
    return f"{fabric.name}, {need}" + (f": {', '.join(said)}" if said else "")


BY_RATIO = {
    "gathers": "Marking chalk; strong thread for the gathering",
    "shirring": "Marking chalk; elastic thread and spare bobbins",
    "english": "Marks that come out; strong thread for drawing up, stranded thread for smocking",
    "honeycomb": "Marks that come out, a grid of dots; stranded thread for smocking",
    "lattice": "A square grid and marks that come out; strong thread for the lattice",
    "quilting": "Marks that come out; wadding, backing, basting thread",
    "trapunto": "Marks that come out; backing, filling, a blunt needle",
}
"""What lies ready for each technique worked by ratio."""


def _tools(pieces: tuple[PiecePlan, ...]) -> list[str]:
    plans = [line.plan for piece in pieces for line in piece.panels]
    sides = [side for plan in plans for side in plan.sides if side.axis]
    letters = {mark for side in sides for mark in side.axis.marks if mark}
    tools = ["Tape, long rule, square, pins, shears"] if plans else []
    if letters:
        ordered = sorted(letters, key=lambda text: (len(text), text))
        tools.append(f"Marking colours that come out, for {', '.join(ordered)}; try each on a scrap")
    tools += dict.fromkeys(BY_RATIO[plan.work.technique] for plan in plans if plan.work)
    return [*tools, "Iron, press cloth, thread, fresh needles"] if plans else tools
