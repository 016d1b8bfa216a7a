"""The steps of the studio's own that a project gets: its studio's, or those its file came with."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any, NamedTuple

from projects.models import Project, StepTemplate

from .own_settings import uses_own
from .stages import Stage

KEPT = ("kind", "stage", "title", "detail", "minutes", "per_panel", "at_start")
"""What ``Project.own_settings`` holds of each template that came with a file, beside its ``key``."""


class Template(NamedTuple):
    """What a step is drafted from. ``key`` is the part of the step's key that tells templates apart: "t" and
    the row's number, or "came" and a number where no row here is the file's."""

    key: str
    stage: str
    title: str
    detail: str = ""
    minutes: Decimal | None = None
    per_panel: bool = False
    at_start: bool = False


def templates_for(
    project: Project, rows: Iterable[StepTemplate], stages: Iterable[Stage]
) -> tuple[Template, ...]:
    """Those of a project's kind, in their order: the studio's living ``rows``, or what came with the file it
    is planned by, but for stages removed here since."""
    if not uses_own(project):
        return tuple(_of(f"t{row.pk}", row) for row in rows if row.kind in ("", project.kind))
    gone = {stage.key for stage in stages if stage.gone}
    kept = [entry for entry in _kept(project) if entry["kind"] in ("", project.kind)]
    return tuple(_of(entry["key"], came_with(entry)) for entry in kept if entry["stage"] not in gone)


def came_with(entry: dict[str, Any]) -> StepTemplate:
    """An entry of ``own_settings`` as a row that is never saved."""
    minutes = entry["minutes"]
    kept = {name: entry[name] for name in KEPT}
    return StepTemplate(**{**kept, "minutes": None if minutes is None else Decimal(minutes)})


def _kept(project: Project) -> list[dict[str, Any]]:
    return list((project.own_settings or {}).get("templates", ()))


def rows_by_key(project: Project, rows: Iterable[StepTemplate]) -> dict[str, StepTemplate]:
    """What a project's steps are drafted from, of every stage and by key, as whole rows, for a file."""
    if uses_own(project):
        return {entry["key"]: came_with(entry) for entry in _kept(project)}
    return {f"t{row.pk}": row for row in rows if row.kind in ("", project.kind)}


def _of(key: str, row: StepTemplate) -> Template:
    return Template(key, row.stage, row.title, row.detail, row.minutes, row.per_panel, row.at_start)
