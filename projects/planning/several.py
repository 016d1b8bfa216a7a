"""The rows of several projects at once, from a fixed number of queries: what their Plans are made from.

Cloth on hand and kept lays are left out: they change what to buy, never what to do.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from projects.models import Fabric, OwnStage, Panel, Piece, Project, Step, StepTemplate, Workroom

from .hands import spreads
from .learned_rates import rates_for
from .load import Rows, edges_of, fabrics_cut, panels_of, pieces_of, samples_for
from .own_settings import basis_of
from .own_templates import templates_for
from .snapshot import fabric_kept
from .stages import in_order


def load_several(projects: Sequence[Project], *, today: date) -> list[Rows]:
    """The rows that pieces and steps of each project are made from."""
    pieces = list(pieces_of(projects))
    samples, rates, workroom = tuple(samples_for(pieces)), rates_for(today=today), Workroom.load()
    known = spreads()
    found = list(panels_of(projects))
    panels, cut_from, edges = _grouped(found, "piece_id"), fabrics_cut(found), edges_of(projects)
    steps = _grouped(Step.objects.filter(project__in=projects).order_by("pk"), "project_id")
    by_project = _grouped(pieces, "project_id")
    stages = in_order(OwnStage.objects.all())
    templates = list(StepTemplate.objects.live())
    return [
        Rows(
            project=project,
            workroom=basis.workroom,
            pieces=by_project.get(project.pk, ()),
            panels=panels,
            samples=samples,
            steps=steps.get(project.pk, ()),
            rates=basis.rates,
            spreads=known.used_by(project),
            edges=edges,
            cut_from=_own(cut_from, by_project.get(project.pk, ()), panels),
            stages=stages,
            templates=templates_for(project, templates, stages),
        )
        for project in projects
        for basis in [basis_of(project, workroom, rates)]
    ]


def _own(
    fabrics: dict[int, Fabric], pieces: Iterable[Piece], panels: dict[int, tuple[Panel, ...]]
) -> dict[int, Fabric]:
    """Those of ``fabrics`` that the panels of these pieces were cut from."""
    keys = {fabric_kept(row.kept) for piece in pieces for row in panels.get(piece.pk, ())}
    return {key: fabric for key, fabric in fabrics.items() if key in keys}


def _grouped(rows: Iterable[Any], name: str) -> dict[int, tuple[Any, ...]]:
    found: dict[int, list[Any]] = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return {key: tuple(group) for key, group in found.items()}
