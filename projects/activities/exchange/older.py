"""Files of earlier formats, given what they could not say yet."""

from __future__ import annotations

import re
from typing import Any

_TEMPLATE = re.compile(r"^([^:]*):t([0-9]{1,9}):")
"""A key that names a template of the studio it came from by its row, which is another one here."""


def as_now(given: dict[str, Any]) -> dict[str, Any]:
    """A file of an earlier format as one of this: lengths without flaws, lays on the one cloth they name,
    garments, tucks sewn one after the other, no rework, no runs at the bench, stages that all studios have;
    nobody kept the first time budget of one that was begun.

    What has another shape than it should have is left as it is, for the reader to refuse.
    """
    found = dict(given)
    if isinstance(found.get("project"), dict):
        begun = {} if found.get("hours") or found.get("runs") else None
        found["project"] = {"kind": "garment", "first_budget": begun, **found["project"]}
        for name in ("runs", "hands", "stages", "templates"):
            found.setdefault(name, [])
    if isinstance(found.get("settings"), dict):
        found["settings"] = {"learned": [], **found["settings"]}
    for name, usual in (
        ("lengths", {"cut_from": None, "flaws": []}),
        ("lays", {"lengths": [], "cuts": []}),
        ("pieces", {"work_order": ""}),
        ("hours", {"rework": False}),
    ):
        rows = found.get(name)
        if isinstance(rows, list):
            found[name] = [{**usual, **row} if isinstance(row, dict) else row for row in rows]
    steps = found.get("steps")
    if isinstance(steps, list):
        found["steps"] = [{**row, **_key(row)} if isinstance(row, dict) else row for row in steps]
    return found


def _key(row: dict[str, Any]) -> dict[str, Any]:
    """What was done by a template stays a step that the plan no longer asks for."""
    key = row.get("key")
    return {"key": _TEMPLATE.sub(r"\1:gone\2:", key)} if isinstance(key, str) else {}
