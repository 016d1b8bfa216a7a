"""What a piece's page shows: its part of the Plan, one panel at a time."""

from typing import Any

from projects.calc.lengths import System
from projects.calc.order_of_work import wish_unfollowed
from projects.drawings.panel import panel as panel_drawing
from projects.models import Piece, Project, RecipeVersion, Workroom
from projects.planning.hands import spreads_for
from projects.planning.load import Rows, samples_for
from projects.planning.making import plan_project
from projects.planning.own_settings import basis_of
from projects.planning.pieces import Desk, plan_piece
from projects.planning.plan import PanelLine, PiecePlan, PlannedStep
from projects.printing.ratio_marks import grid_tables_of_line

from .bench_kept import kept_runs
from .mark_table import lines_of

PHONE = 312
"""Pixels a drawing may take on a phone."""
CORNER = (200_000_000, 260_000_000)
"""How much of a panel is drawn large, across and along (nm): all that a phone shows."""


def page_of(piece: Piece, panel: str, workroom: Workroom) -> dict[str, Any]:
    """Everything the page needs. ``panel`` is the number of the panel to show, as the address has it."""
    plan = plan_project(piece.project)
    part = next(found for found in plan.pieces if found.piece_id == piece.pk)
    line = _chosen(part, panel)
    return {
        "piece": piece,
        "project": piece.project,
        "plan": plan,
        "part": part,
        "line": line,
        "infos": [note for note in part.notes if note.kind == "info"],
        "stacks": line.plan.stacks if line else (),
        "sides": line.plan.sides if line else (),
        "sewn": _sewn(line),
        "both": line is not None and all(side.count for side in line.plan.sides),
        "newest": newest_version(piece),
        "checks": _checks(plan.steps, line),
        "bench_runs": kept_runs(piece.project_id, piece.pk, line, plan.steps, System(workroom.units))
        if line else [],
        "grids": grid_tables_of_line(line, System(workroom.units)) if line else [],
        "drawings": _drawings(line, workroom),
    }


def marks_of(piece: Piece, panel: str, workroom: Workroom) -> dict[str, Any]:
    """The page's panel with a table of marks for each of its directions, in the order they are sewn."""
    plan = plan_project(piece.project)
    part = next(found for found in plan.pieces if found.piece_id == piece.pk)
    line, system = _chosen(part, panel), System(workroom.units)
    tables = [(side, lines_of(side, system)) for side in line.plan.sides if side.count] if line else []
    grids = grid_tables_of_line(line, system) if line else []
    shared = {"piece": piece, "project": piece.project, "part": part, "line": line}
    return {**shared, "tables": tables, "grids": grids}


def _chosen(part: PiecePlan, panel: str) -> PanelLine | None:
    """The panel asked for, else the first one."""
    wanted = [line for line in part.panels if str(line.number) == panel]
    return next(iter(wanted or part.panels), None)


def _sewn(line: PanelLine | None) -> str:
    """In what order its tucks are sewn where the piece asks for one; kept ones as they were."""
    wish = line.plan.piece.work_order if line else ""
    asked = [side for side in line.plan.sides if side.axis and side.count] if line and wish else []
    if not asked:
        return ""
    refused = [side.name for side in asked if not side.axis.order or wish_unfollowed(side.axis)]
    why = "overlap and" if wish == "alternate" else "overlap or are pleats and"
    but = f"; those {' and '.join(refused)} {why} keep their own order" if refused else ""
    return f"{dict(Piece.WORK_ORDER)[wish]}{but}."


def _drawings(line: PanelLine | None, workroom: Workroom) -> dict[str, str]:
    """The panel to scale with dimensions and numbered marks: whole, and its first corner larger."""
    if line is None:
        return {}
    title, looks = f"{line.name}, flat, to scale", {"system": System(workroom.units), "hand": line.hand}
    corner = panel_drawing(
        line.plan, title=f"{title}: its top left corner", width=PHONE, corner=CORNER, kind="corner", **looks
    )
    return {
        "whole": panel_drawing(
            line.plan, title=title, width=640, most_high=620, kind="panel only-wide", **looks
        ),
        "corner": corner,
    }


def _checks(steps: tuple[PlannedStep, ...], line: PanelLine | None) -> list[PlannedStep]:
    """Steps of this panel with check measures."""
    if line is None:
        return []
    return [step for step in steps if step.panel_id == line.panel_id and step.checks]


def newest_version(piece: Piece) -> RecipeVersion | None:
    """The newest version of the piece's recipe, where it follows an older one."""
    if piece.version is None:
        return None
    rows = RecipeVersion.objects.filter(recipe_id=piece.version.recipe_id)
    newest = rows.only("number", "recipe").order_by("-number").first()
    return newest if newest and newest.number > piece.version.number else None


def preview_of(project: Project, piece: Piece) -> dict[str, Any]:
    """What a piece as it is typed would make: its part of a plan of nothing else. Nothing is saved."""
    samples = tuple(samples_for([piece]))
    workroom = basis_of(project, Workroom.load(), {}).workroom
    known = {"samples": samples, "spreads": spreads_for(project)}
    rows = Rows(project=project, workroom=workroom, pieces=(piece,), **known)
    return {"part": plan_piece(piece, Desk.of(rows))}
