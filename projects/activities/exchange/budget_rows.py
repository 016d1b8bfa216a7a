"""The time budget a project began with, in its file: null before work began, empty where nobody kept it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from projects.planning.first_budget import FORMAT, LET_GO, UNKNOWN, read_budget

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
        return None if kept is None or LET_GO in kept else {}
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
    row.values["minutes"] = _minutes(f"{place}.minutes", given["minutes"])
    by_stage = given["stages"]
    if not isinstance(by_stage, dict) or len(by_stage) > MOST_STAGES:
        wrong(f"{place}.stages", by_stage, "an object of minutes by stage")
    row.parts["stages"] = [_of_stage(f"{place}.stages", *one, stages) for one in by_stage.items()]
    return row


def _of_stage(place: str, stage: str, minutes: Any, stages: values.Ids) -> Row:
    row = Row(place)
    read_named(row, "stage", {"stage": stage}, stages, blank=True)
    row.values["minutes"] = _minutes(f"{place}.{stage}", minutes)
    return row


def _minutes(place: str, given: Any) -> Decimal:
    found = values.decimal(place, given, 12, 2)
    if found < 0:
        wrong(place, given, "minutes, 0 or more")
    return found


def first_kept(row: Row) -> dict[str, Any] | None:
    """As a project keeps it, once stages are saved. Two stages of a file may be one here, then they sum."""
    if not isinstance(row.content, date):
        return None if row.content is None else dict(UNKNOWN)
    stages: dict[str, Decimal] = {}
    for part in row.parts["stages"]:
        stages[key_named(part)] = stages.get(key_named(part), Decimal(0)) + part.values["minutes"]
    return {
        "format": FORMAT,
        "on": row.content.isoformat(),
        "minutes": str(row.values["minutes"]),
        "stages": {stage: str(minutes) for stage, minutes in stages.items()},
    }
