"""The Plans of several projects at once, from a fixed number of queries: what comes next in each.

Cloth on hand and kept lays are left out: they change what to buy, never what to do.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from projects.models import Panel, Piece, Project, Step, Workroom

from .load import Rows, rates_on, samples_for
from .making import plan_rows
from .plan import Plan, PlannedStep


def next_steps(projects: Sequence[Project], *, today: date) -> dict[int, PlannedStep | None]:
    """By project, its first step still to do; None where there is nothing left to do."""
    plans = ((rows.project.pk, plan_rows(rows)) for rows in load_several(projects, today=today))
    return {pk: next(iter(open_steps(plan)), None) for pk, plan in plans}


def open_steps(plan: Plan) -> list[PlannedStep]:
    """Steps still to do, in working order. Without a piece there are only the maker's own."""
    steps = (step for step in plan.steps if step.state == "open" and step.in_plan)
    return [step for step in steps if plan.pieces or step.own]


def load_several(projects: Sequence[Project], *, today: date) -> list[Rows]:
    """The rows that pieces and steps of each project are made from."""
    pieces = list(
        Piece.objects.live()
        .filter(project__in=projects)
        .select_related("fabric", "version__recipe")
        .order_by("order", "pk")
    )
    samples, rates, workroom = tuple(samples_for(pieces)), rates_on(today), Workroom.load()
    panels = _grouped(Panel.objects.filter(piece__in=pieces).order_by("piece_id", "number"), "piece_id")
    steps = _grouped(Step.objects.filter(project__in=projects).order_by("pk"), "project_id")
    by_project = _grouped(pieces, "project_id")
    return [
        Rows(
            project=project,
            workroom=workroom,
            pieces=by_project.get(project.pk, ()),
            panels=panels,
            samples=samples,
            steps=steps.get(project.pk, ()),
            rates=rates,
        )
        for project in projects
    ]


def _grouped(rows: Iterable[Any], name: str) -> dict[int, tuple[Any, ...]]:
    found: dict[int, list[Any]] = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return {key: tuple(group) for key, group in found.items()}
