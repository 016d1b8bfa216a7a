"""The units of a run as a device needs them to say by itself where each is folded and sewn. Lengths nm."""

from typing import Any

from projects.planning.run_units import Unit
from projects.planning.runs import RunPlan

from .bench_words import Words


def units_data(run: RunPlan, words: Words) -> dict[int, dict[str, Any]]:
    """Each unit by its number: where it lies on the flat cloth, and the words that never change."""
    return {unit.number: _unit(unit, words) for unit in run.units}


def edges_data(run: RunPlan) -> dict[str, tuple[str, str]]:
    """By row, the edge its units are drawn from and the one across."""
    return {unit.row: unit.edges for unit in run.units}


def _unit(unit: Unit, words: Words) -> dict[str, Any]:
    told: dict[str, Any] = {
        "at_nm": unit.at, "start_nm": unit.start, "end_nm": unit.end, "extent_nm": unit.extent,
        "row": unit.row,
    }  # fmt: skip
    some = {
        "deep_nm": unit.depth, "mark": unit.letter, "style": words.style(unit), "far": unit.from_far,
        "origin": unit.origin, "square": unit.segment is not None, "label": words.label(unit),
        "lies": words.lies(unit),
    }  # fmt: skip
    if unit.long is not None:
        told["upto"], told["upto_unit"] = words.up_to(unit)
    # What is nothing is left out: a page of a thousand units is read on a phone.
    return told | {name: value for name, value in some.items() if value}
