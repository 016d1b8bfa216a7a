"""The whole Plan of one project, made from its rows."""

from projects.models import Fabric, Project

from . import cautions, notes
from .advice import Asked, SampleNeeded, needed
from .budget import make_budget, total_range
from .edges_plan import of_edges, plan_bindings
from .load import Rows, load_rows
from .materials import plan_fabric, plan_notions
from .pieces import Desk, plan_piece
from .plan import Binding, FabricPlan, PiecePlan, Plan, ProjectFacts
from .spreads import taught_by
from .steps import generate, merge
from .thread_plan import of_cords, plan_cords, plan_thread
from .touched import pools_touched, swatch_open
from .under import of_under


def plan_project(project: Project) -> Plan:
    """The Plan of a project: pure given its rows, which are fetched in a fixed number of queries."""
    return plan_rows(load_rows(project))


def plan_rows(rows: Rows) -> Plan:
    """The Plan of rows already loaded. No queries, no clock."""
    desk = Desk.of(rows)
    pieces = tuple(plan_piece(piece, desk) for piece in rows.pieces)
    bindings = plan_bindings(pieces, rows)
    fabrics = _fabrics(pieces, bindings, desk)
    laid = {binding.key: binding for fabric in fabrics for binding in fabric.bindings}
    bindings = tuple(laid.get(binding.key, binding) for binding in bindings)
    rules = cautions.rules(rows.project, rows.fabrics.values(), rows.needs)
    drafts = generate(rows, pieces, fabrics, rules)
    steps, on_starting = merge(drafts, rows)
    taught = taught_by(rows.rates, steps)
    budget = make_budget(steps, rows.logged, on_starting, rows.stages, taught)
    low, high = total_range(budget, taught)
    notions, cords = plan_notions(rows.needs, rows.notions_free), plan_cords(pieces)
    said = (*notes.of_project(rows, pieces, fabrics), *of_edges(pieces, bindings))
    said = (*said, *of_under(pieces), *of_cords(cords, rows))
    return Plan(
        facts=_facts(rows),
        pieces=pieces,
        fabrics=fabrics,
        notions=notions,
        steps=steps,
        budget=budget,
        notes=(*said, *rules),
        have_ready=notes.have_ready(rows, pieces, fabrics, notions, cords),
        low=low,
        high=high,
        bindings=bindings,
        thread=plan_thread(pieces, rows),
        cords=cords,
        stages=rows.stages,
    )


def _facts(rows: Rows) -> ProjectFacts:
    project = rows.project
    # A client without a reference is named; how to reach them never leaves the client's own page.
    reference = (project.client.reference or project.client.name) if project.client_id else ""
    return ProjectFacts(
        project.pk, project.number, project.title, reference, project.state, project.due,
        project.washing, rows.workroom.units,
    )


def _fabrics(
    pieces: tuple[PiecePlan, ...], bindings: tuple[Binding, ...], desk: Desk
) -> tuple[FabricPlan, ...]:
    rows = desk.rows
    missing = _samples(pieces, desk)
    return tuple(
        plan_fabric(
            fabric,
            pieces,
            tuple(m for m in missing if m.fabric_id == key),
            rows,
            tuple(b for b in bindings if b.fabric_id == key),
        )
        for key, fabric in rows.fabrics.items()
    )


def _samples(pieces: tuple[PiecePlan, ...], desk: Desk) -> tuple[SampleNeeded, ...]:
    rows, cloth = desk.rows, desk.rows.fabrics
    if rows.project.kind == "sample":
        return ()  # what it makes is the sample
    swatch = {key: swatch_open(fabric, rows) for key, fabric in cloth.items()}
    used = (
        _asked(p, cloth[p.fabric_id], swatch[p.fabric_id]) for p in pieces if p.fabric_id and p.recipe
    )
    return needed(used, desk.samples, rows.rates, pools_touched(rows))


def _asked(piece: PiecePlan, fabric: Fabric, swatch: bool) -> Asked:
    sizes = (fabric.width, fabric.thickness)
    return Asked(fabric.pk, piece.recipe, piece.recipe_name, piece.version or 0, *sizes, swatch)
