"""The time budget a project began with, in its file: null before work began, empty where nobody kept it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from projects.planning.first_budget import FORMAT, UNKNOWN, read_budget

from . import values
from .errors import wrong
from .own_work import key_named, read_named
from .rows import Row

KEYS = ("on", "minutes", "stages")
MOST_STAGES = 500


def written_budget(kept: Mapping[str, Any] | None, named: Callable[[str], str]) -> dict[str, Any] | None:
    """``named`` says what a stage is called in the file."""
    known = read_budget(kept)
    if known is None:
        return None if kept is None else {}
    stages = {named(stage): str(minutes) for stage, minutes in known.stages.items()}
    return {"on": known.on.isoformat(), "minutes": str(known.minutes), "stages": stages}


def stages_in(kept: Mapping[str, Any] | None) -> list[str]:
    """The stages that it names."""
    known = read_budget(kept)
    return list(known.stages) if known else []


def read_first(place: str, given: Any, stages: values.Ids) -> Row:
    """Raises Unreadable. ``content`` is None before work began; ``values`` are empty where nobody kept it."""
    row = Row(place)
    if given is None or given == {}:
        row.content = given
        return row
    values.an_object(place, given, KEYS)
    row.content = values.day(f"{place}.on", given["on"])
    row.values["minutes"] = values.decimal(f"{place}.minutes", given["minutes"], 12, 2)
    by_stage = given["stages"]
    if not isinstance(by_stage, dict) or len(by_stage) > MOST_STAGES:
        wrong(f"{place}.stages", by_stage, "an object of minutes by stage")
    row.parts["stages"] = [_of_stage(f"{place}.stages", *one, stages) for one in by_stage.items()]
    return row


def _of_stage(place: str, stage: str, minutes: Any, stages: values.Ids) -> Row:
    row = Row(place)
    read_named(row, "stage", {"stage": stage}, stages, blank=True)
    row.values["minutes"] = values.decimal(f"{place}.{stage}", minutes, 12, 2)
    return row


def first_kept(row: Row) -> dict[str, Any] | None:
    """As a project keeps it, once stages are saved."""
    if not isinstance(row.content, date):
        return None if row.content is None else dict(UNKNOWN)
    return {
        "format": FORMAT,
        "on": row.content.isoformat(),
        "minutes": str(row.values["minutes"]),
        "stages": {key_named(part): str(part.values["minutes"]) for part in row.parts["stages"]},
    }
