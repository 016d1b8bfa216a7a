"""What people are told of a file: what stays behind, what it holds, what became of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from django.db import models

from projects.models import Workroom
from projects.planning.load import rates_on

from .importing import Brought
from .nouns import SETTINGS
from .reading import File

STAYS_BEHIND = (
    "the client with contact data and the note to the client, photographs, links to the build page, what an "
    "hour costs, accounts (hours and taps at the bench carry names as text), usual hours, days off, PINs, "
    "what hours taught of single people and check measures of hands, lays that are not accepted yet, and "
    "what other projects hold of the cloth or have on the same lay"
)
NOUNS = {
    "recipes": ("recipe", "recipes"),
    "fabrics": ("fabric", "fabrics"),
    "lengths": ("length of cloth", "lengths of cloth"),
    "notions": ("notion", "notions"),
    "samples": ("sample", "samples"),
    "pieces": ("piece", "pieces"),
    "panels": ("panel", "panels"),
    "cut": ("panel cut", "panels cut"),
    "edges": ("edge", "edges"),
    "lays": ("accepted lay", "accepted lays"),
    "steps": ("step ticked, moved or added", "steps ticked, moved or added"),
    "hours": ("entry of hours", "entries of hours"),
    "runs": ("run at the bench", "runs at the bench"),
}


def counted(what: str, number: int) -> str:
    return f"{number:,} {NOUNS[what][number != 1]}"


def holds(file: File) -> list[str]:
    """What is in a project's file, counted: "2 recipes", "1 piece"."""
    pieces = file.rows["pieces"]
    panels = [panel for piece in pieces for panel in piece.parts["panels"]]
    numbers = {
        **{name: len(rows) for name, rows in file.rows.items() if name in NOUNS},
        "panels": len(panels),
        "cut": sum(panel.values["cut_at"] is not None for panel in panels),
        "edges": sum(len(piece.parts["edges"]) for piece in pieces),
    }
    return [counted(name, numbers[name]) for name in NOUNS if numbers.get(name)]


def said_of(brought: Brought) -> Iterator[str]:
    """What became of a file, a sentence each."""
    used = [counted(what, number) for what, number in brought.used.items() if number]
    if used:
        yield f"Used what was here already: {', '.join(used)}."
    if brought.renamed:
        yield f"Added under another name, since theirs are taken: {', '.join(brought.renamed)}."
    if not brought.prices:
        yield "Prices and other costs were left out: the file counts in another currency."


class Difference(NamedTuple):
    """A setting that differs. ``kind`` is "length", "minutes" or "text"; None is "nothing measured"."""

    title: str
    kind: str
    file: Any
    studio: Any


def differences(file: File, workroom: Workroom, today: Any) -> list[Difference]:
    """Where the settings of a file are not the studio's, currency apart."""
    found = []
    for name in SETTINGS.names:
        theirs, ours = file.settings[name], getattr(workroom, name)
        if name != "currency" and theirs != ours:
            found.append(_difference(name, theirs, ours))
    return [*found, *_rates(file, rates_on(today))]


def _difference(name: str, theirs: Any, ours: Any) -> Difference:
    field = Workroom._meta.get_field(name)
    title = str(field.verbose_name).capitalize()
    if isinstance(field, models.BooleanField):
        return Difference(title, "text", *("yes" if value else "no" for value in (theirs, ours)))
    if name == "check_every":
        return Difference(title, "text", *("none" if v is None else str(v) for v in (theirs, ours)))
    if field.choices:
        names = dict(field.choices)
        return Difference(title, "text", names[theirs], names[ours])
    return Difference(title, "length", theirs, ours)


def _rates(file: File, ours: dict[str, Any]) -> Iterator[Difference]:
    from projects.activities.workroom import PARTS

    for driver, part in PARTS.items():
        theirs, mine = (rates.get(driver, part.minutes) for rates in (file.rates, ours))
        if theirs != mine:
            yield Difference(f"Minutes, {part.counts}", "minutes", theirs, mine)
