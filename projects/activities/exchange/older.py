"""Files of earlier formats, given what they could not say yet."""

from __future__ import annotations

from typing import Any


def as_now(given: dict[str, Any]) -> dict[str, Any]:
    """A file of format 1 as one of format 2: lengths without flaws, lays on the one cloth they name.

    What has another shape than it should have is left as it is, for the reader to refuse.
    """
    found = dict(given)
    for name, usual in (
        ("lengths", {"cut_from": None, "flaws": []}),
        ("lays", {"lengths": [], "cuts": []}),
    ):
        rows = found.get(name)
        if isinstance(rows, list):
            found[name] = [{**usual, **row} if isinstance(row, dict) else row for row in rows]
    return found
