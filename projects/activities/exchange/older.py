"""Files of earlier formats, given what they could not say yet."""

from __future__ import annotations

from typing import Any


def as_now(given: dict[str, Any]) -> dict[str, Any]:
    """A file of format 1 or 2 as one of format 3: lengths without flaws, lays on the one cloth they name,
    garments, tucks sewn one after the other, no rework, no runs at the bench.

    What has another shape than it should have is left as it is, for the reader to refuse.
    """
    found = dict(given)
    if isinstance(found.get("project"), dict):
        found["project"] = {"kind": "garment", **found["project"]}
        found.setdefault("runs", [])
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
    return found
