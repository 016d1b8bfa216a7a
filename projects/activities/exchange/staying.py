"""What people are told of a file: what stays behind, what it holds, what became of it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from math import exp
from typing import Any, NamedTuple

from django.db import models

from projects.calc.labour import DRIVERS
from projects.calc.ratio import RATIO_NAMES
from projects.calc.recipe_names import technique_name
from projects.calc.units import grouped
from projects.models import LearnedRate, StepTemplate, Workroom
from projects.planning.hands import spreads
from projects.planning.learned_rates import rates_for, rates_on
from projects.planning.stages import BUILT_IN, stage_titles

from .hand_rows import spreads_in, techniques_of
from .importing import Brought
from .learned_rows import written_learned
from .nouns import LEARNED, SETTINGS, TEMPLATE
from .own_work import Arrived, alike
from .reading import File
from .rows import Row

STAYS_BEHIND = (
    "the client with contact data and the note to the client, photographs, links to the build page, what an "
    "hour costs, accounts (hours, taps at the bench and hands carry names as text), usual hours, days off, "
    "PINs, what hours taught of single people, lays that are not accepted yet, and what other projects hold "
    "of the cloth or have on the same lay"
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
    "hands": ("hand's spread on one cloth", "spreads of hands, by technique and cloth"),
    "stages": ("stage of its studio's own", "stages of its studio's own"),
    "templates": ("step that its studio gives projects", "steps that its studio gives projects"),
    "steps": ("step ticked, moved or added", "steps ticked, moved or added"),
    "hours": ("entry of hours", "entries of hours"),
    "runs": ("run at the bench", "runs at the bench"),
}


def counted(what: str, number: int) -> str:
    return f"{grouped(number)} {NOUNS[what][number != 1]}"


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
    yield from _of_stages(brought.stages)
    if brought.renamed:
        yield f"Added under another name, since theirs are taken: {', '.join(brought.renamed)}."
    if not brought.prices:
        yield "Prices and other costs were left out: the file counts in another currency."


def _of_stages(stages: Arrived) -> Iterator[str]:
    if stages.made:
        yield f"Stages that this studio lacked were made: {', '.join(stages.made)}."
    if stages.used:
        yield f"Stages that were here by their title are used: {', '.join(stages.used)}."
    if stages.elsewhere:
        yield f"A stage stands in another place here: {'; '.join(stages.elsewhere)}."


def stages_of(file: File) -> list[tuple[str, bool]]:
    """The stages of a file by title, each with whether this studio has it; one query."""
    here = alike(file.rows["stages"])
    return [(row.values["title"], row.place in here) for row in file.rows["stages"] if not row.content]


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
    theirs, ours = _learned(file), _learned_here(today)
    apart = _furthest_apart(theirs, ours)
    if theirs != ours:
        said = (f"{grouped(len(theirs))}, of its studio", f"{grouped(len(ours))}, of this studio")
        more = (f"{count}{words}" for count, words in zip(said, apart, strict=True))
        found.append(Difference("Rates that finished steps moved", "text", *more))
    return [*found, *_rates(file, rates_on(today)), *_hands(file, workroom), *_templates(file)]


def _learned(file: File) -> list[dict[str, Any]]:
    return [LEARNED.write(LearnedRate(**values)) for values in file.learned]


def _learned_here(today: Any) -> list[dict[str, Any]]:
    rates = rates_for(today=today)
    return list(written_learned(rates.learned, rates.curves))


def _furthest_apart(theirs: list[dict[str, Any]], ours: list[dict[str, Any]]) -> tuple[str, str]:
    """Of the rates that differ in both those that differ most, at most three: what is counted, and how many
    times its own minutes it takes."""
    there, here = (
        {(row["driver"], row["technique"]): float(row["mean"]) for row in rows if row["driver"] in DRIVERS}
        for rows in (theirs, ours)
    )
    both = [key for key in there if key in here and _times(there[key]) != _times(here[key])]
    furthest = sorted(both, key=lambda key: -abs(there[key] - here[key]))[:3]
    if not furthest:
        return "", ""
    first, second = (
        "; ".join(f"{_rate_name(*key)} {_times(means[key])} times the minutes" for key in furthest)
        for means in (there, here)
    )
    return f"; furthest apart: {first}", f"; {second}"


def _times(mean: float) -> str:
    return f"{exp(mean):.2f}"


def _rate_name(driver: str, technique: str) -> str:
    said = RATIO_NAMES.get(technique) or technique_name(technique)
    return f"{DRIVERS[driver].counts} ({said})" if technique else DRIVERS[driver].counts


def _hands(file: File, workroom: Workroom) -> Iterator[Difference]:
    """By technique, all hands and cloths together: as the project would rest on them, by its file and by
    what this studio knew when its first run was begun."""
    contents = (p.links["version"].content for p in file.rows["pieces"] if p.links["version"])
    there, here = spreads_in(file), spreads().before(_first_run(file))
    for technique in techniques_of(contents):
        theirs = there.of(technique, None, file.settings["depth_spread"])
        ours = here.of(technique, None, workroom.depth_spread)
        if theirs != ours and (theirs.tucks or ours.tucks):
            title = f"How far {technique_name(technique)} stray, by check measures"
            yield Difference(title, "length", theirs.spread, ours.spread)


def _first_run(file: File) -> datetime | None:
    """When the first run in which something happened was begun."""
    return min((run.content[1] for run in file.rows["runs"] if run.parts["facts"]), default=None)


def _templates(file: File) -> Iterator[Difference]:
    kind, stages = file.project.values["kind"], stage_titles()
    here = [row for row in StepTemplate.objects.live() if row.kind in ("", kind)]
    ours = [(stages.get(row.stage, ""), TEMPLATE.write(row)) for row in here]
    theirs = [(_title(row), TEMPLATE.write(StepTemplate(**row.values))) for row in file.rows["templates"]]
    if theirs != ours:
        said = (_titles([written["title"] for _, written in rows]) for rows in (theirs, ours))
        yield Difference("Steps that projects get", "text", *said)


def _title(row: Row) -> str:
    stage = row.links.get("stage")
    return str(stage.values["title"] if stage else BUILT_IN[row.values["stage"]])


def _titles(titles: list[str]) -> str:
    more = f" and {len(titles) - 5} more" if len(titles) > 5 else ""
    return ", ".join(titles[:5]) + more if titles else "none"


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
