"""The Plan as JSON that may leave the studio's own pages: no row keys, no client, no date of today, no paths.

Lengths are whole nanometres under keys ending in ``_nm``, shares, weights and minutes are decimals as text.
The same rows always give the same text.
"""

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from projects.calc.sampling import TakeUp

from .export_edges import binding_json, cord_json, edge_json, thread_json
from .kept_ratio import ratio_json, work_json
from .lay_json import lay_to_json
from .plan import (
    FORMAT,
    Change,
    CheckMeasure,
    FabricPlan,
    Measure,
    Note,
    NotionPlan,
    PanelLine,
    PiecePlan,
    Plan,
    PlannedStep,
    ProjectFacts,
    StageBudget,
)
from .snapshot import CALC_VERSION, TAKE_UP, side_json


def plan_text(plan: Plan) -> str:
    return json.dumps(plan_json(plan), indent=2, ensure_ascii=False)


def plan_json(plan: Plan) -> dict[str, Any]:
    """Plain dicts, lists, texts and whole numbers. A stage of the studio's own goes by its title."""
    own = {stage.key: stage.title for stage in plan.stages if stage.own}
    return {
        "format": FORMAT,
        "calc": CALC_VERSION,
        "project": _facts(plan.facts),
        "pieces": [_piece(p) for p in plan.pieces],
        "fabrics": [_fabric(f) for f in plan.fabrics],
        "notions": [_notion(n) for n in plan.notions],
        "bindings": [binding_json(b) for b in plan.bindings],
        "thread": thread_json(plan.thread),
        "cords": [cord_json(c) for c in plan.cords],
        "steps": [_step(s, own) for s in plan.steps],
        "budget": [_stage(b, own) for b in plan.budget],
        "minutes": {"planned": str(plan.minutes), "low": str(plan.low), "high": str(plan.high)},
        "notes": [_note(n) for n in plan.notes],
        "have_ready": list(plan.have_ready),
    }


def _facts(facts: ProjectFacts) -> dict[str, Any]:
    return {
        "number": facts.number,
        "title": facts.title,
        "state": facts.state,
        "due": facts.due.isoformat() if facts.due else None,
        "washing": facts.washing,
        "units": facts.units,
    }


def _piece(piece: PiecePlan) -> dict[str, Any]:
    return {
        "name": piece.name,
        "count": piece.count,
        "pair": piece.pair,
        "across_nm": piece.across,
        "along_nm": piece.along,
        "fabric": piece.fabric,
        "recipe": piece.recipe_name,
        "version": piece.version,
        "content": piece.recipe.to_json() if piece.recipe else None,
        "take_up_across": _take_up(piece.take_up_across),
        "take_up_along": _take_up(piece.take_up_along),
        **_ratios(piece),
        "problem": piece.problem,
        "panels": [_panel(line) for line in piece.panels],
        "notes": [_note(n) for n in piece.notes],
        "edges": [edge_json(e) for e in piece.edges],
        **({"under": [{"role": u.role, "fabric": u.fabric} for u in piece.under]} if piece.under else {}),
    }


def _take_up(known: TakeUp | None) -> dict[str, Any] | None:
    return None if known is None else {key: getattr(known, name) for key, name in TAKE_UP.items()}


def _ratios(piece: PiecePlan) -> dict[str, Any]:
    """Only where the recipe is worked by ratio."""
    known = piece.ratios
    if known is None:
        return {}
    return {"ratio_across": ratio_json(known.across), "ratio_along": ratio_json(known.along)}


def _panel(line: PanelLine) -> dict[str, Any]:
    plan = line.plan
    return {
        "number": line.number,
        "name": line.name,
        "hand": line.hand,
        "spare": line.spare,
        "cut": line.cut,
        "cut_width_nm": plan.cut_width,
        "cut_length_nm": plan.cut_length,
        "widths_nm": list(plan.joins.widths) if plan.joins else [],
        "across_from": plan.across.near.name,
        "sewn_first": plan.first,
        "sewn_nm": {"across": plan.sewn_across, "along": plan.sewn_along},
        "layers": plan.layers_max,
        "thickness_nm": plan.thickness,
        "grams": _number(plan.weight),
        "across": side_json(plan.across),
        "along": side_json(plan.along),
        **({"work": work_json(plan.work)} if plan.work else {}),
        "changes": [_change(c) for c in line.changes],
        "no_longer_wanted": line.no_longer_wanted,
    }


def _change(change: Change) -> dict[str, Any]:
    unit = "_nm" if change.kind == "length" else ""
    return {"what": change.label, f"kept{unit}": change.kept, f"now{unit}": change.now}


def _fabric(fabric: FabricPlan) -> dict[str, Any]:
    return {
        "name": fabric.name,
        "width_nm": fabric.width,
        "need_nm": fabric.need,
        "on_hand_nm": fabric.on_hand,
        "buy_exact_nm": fabric.buy_exact,
        "buy_nm": fabric.buy,
        "lines": [{"why": line.why, "length_nm": line.length} for line in fabric.lines],
        "uses": [{"length": label, "length_nm": nm} for label, nm in fabric.uses],
        "lot": fabric.lot,
        "grams": _number(fabric.grams),
        "kept_lay": fabric.kept_lay,
        "lay_changed": fabric.lay_changed,
        "problem": fabric.problem,
        "lay": lay_to_json(fabric.lay) if fabric.lay else None,
    }


def _notion(notion: NotionPlan) -> dict[str, Any]:
    amounts = {key: str(getattr(notion, key)) for key in ("need", "free", "buy")}
    return {"name": notion.name, "unit": notion.unit, **amounts, "why": notion.why}


def _step(step: PlannedStep, own: Mapping[str, str]) -> dict[str, Any]:
    return {
        "stage": own.get(step.stage, step.stage),
        "title": step.title,
        "detail": step.detail,
        "panel": step.panel,
        "measures": [_measure(m) for m in step.measures],
        "checks": [_check(c) for c in step.checks],
        "cautions": list(step.cautions),
        "minutes": str(step.minutes),
        "state": step.state,
        "reason": step.reason,
        "in_plan": step.in_plan,
        "own": step.own,
    }


def _measure(measure: Measure) -> dict[str, Any]:
    return {"label": measure.label, "kind": measure.kind, "length_nm": measure.length}


def _check(check: CheckMeasure) -> dict[str, Any]:
    return {
        "tuck": check.tuck,
        "from": check.first_edge,
        "to": check.far_edge,
        "to_seam_nm": check.to_seam,
        "to_edge_nm": check.to_edge,
        "near_enough_nm": check.near_enough,
    }


def _stage(stage: StageBudget, own: Mapping[str, str]) -> dict[str, Any]:
    minutes = {key: str(getattr(stage, key)) for key in ("planned", "low", "high")}
    name = own.get(stage.stage, stage.stage)
    return {"stage": name, **minutes, "logged": stage.logged, "starting": stage.starting}


def _note(note: Note) -> dict[str, Any]:
    return {"kind": note.kind, "about": note.about, "text": note.text}


def _number(value: Decimal | None) -> str | None:
    """Grams to a hundredth; unknown stays unknown."""
    return None if value is None else str(value.quantize(Decimal("0.01")))
