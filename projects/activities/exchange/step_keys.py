"""The keys of generated steps: they hold row numbers, which are another studio's in a file.

In a file a key names the piece or fabric by its id there ("p1.1:sew:across:1", "f1:swatch::1"), and so the
template of a step that the studio gives its projects ("p1.1:t1::1"). A row that does not travel (a piece
deleted since) becomes a word of its own, so that the step stays what it was, "no longer in the plan", and
meets no row of the studio it comes to.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from .errors import wrong

_HEAD = re.compile(r"(?P<kind>[a-z]?)(?P<row>[0-9]+)(?P<number>\.[0-9]+)?")
_FILE_HEAD = re.compile(r"(?P<ident>(?P<kind>[a-z])[0-9]{1,9})(?P<number>\.[0-9]{1,5})?")
GONE = "gone"
_GONE_HEAD = re.compile(rf"{GONE}[0-9]{{1,9}}(\.[0-9]{{1,5}})?")
_TEMPLATE = re.compile(rf"(t|came|{GONE})[0-9]{{1,9}}")
"""What a step does where that is a template of somebody's own, here and in a file."""


@dataclass(slots=True)
class Keys:
    """From rows to ids and back. ``rows`` holds, by the letter a key begins with ("" for pieces), the ids of
    rows by their number here; ``templates`` those of templates by what tells them apart in keys here."""

    rows: Mapping[str, Mapping[int, str]]
    templates: Mapping[str, str] = field(default_factory=dict)
    gone: dict[str, str] = field(default_factory=dict)

    def to_file(self, key: str) -> str:
        head, colon, rest = key.partition(":")
        does, *more = rest.split(":")
        if _TEMPLATE.fullmatch(does):
            rest = ":".join((self.templates.get(does) or self._gone(does), *more))
        found = _HEAD.fullmatch(head)
        if found is None:
            return f"{self._gone(head)}{colon}{rest}" if head.startswith(GONE) else f"{head}{colon}{rest}"
        ident = self.rows.get(found["kind"], {}).get(int(found["row"]))
        if ident is None:
            return f"{self._gone(head)}{colon}{rest}"
        return f"{ident}{found['number'] or ''}{colon}{rest}"

    def _gone(self, head: str) -> str:
        """One word for each row or template that is gone; the number of a panel stays behind it."""
        row, dot, number = head.partition(".")
        word = self.gone.setdefault(row, f"{GONE}{len(self.gone) + 1}")
        return f"{word}{dot}{number}"


LETTERS = {"p": "", "f": "f", "e": "e"}
"""Letters of ids in a file -> what a key begins with here."""


def from_file(place: str, key: str, rows: Mapping[str, Any]) -> str:
    """The key here, once the rows are saved: ``rows`` are by id, pieces, fabrics, edges and what tells
    templates apart together."""
    head, colon, rest = key.partition(":")
    if not colon or rest.count(":") < 2:
        wrong(place, key, "a step's key: who it is about, what it does, a direction and a number")
    does, *more = rest.split(":")
    if _TEMPLATE.fullmatch(does) and not does.startswith(GONE):
        if not does.startswith("t") or does not in rows:
            wrong(place, key, "a step's key with the id of a template in this file")
        rest = ":".join((rows[does], *more))
    if head == "p" or _GONE_HEAD.fullmatch(head):
        return f"{head}:{rest}"
    found = _FILE_HEAD.fullmatch(head)
    row = rows.get(found["ident"]) if found else None
    if found is None or row is None or found["kind"] not in LETTERS:
        wrong(place, key, "a step's key that begins with the id of a piece or fabric in this file")
    return f"{LETTERS[found['kind']]}{row.pk}{found['number'] or ''}{colon}{rest}"
