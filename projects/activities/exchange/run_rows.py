"""Runs at the bench and their facts in a file: written, read, brought in.

Who tapped travels as a name, the moment as the one that counts (a device's clock, never later than the fact
arrived). A fact keeps its own id where nobody here has it; a file that comes a second time gets new ones.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from projects.calc.units import grouped
from projects.models import BenchFact, Project, Run

from . import nouns, values
from .errors import refuse, wrong
from .nouns import MOST_COUNT, MOST_LENGTH, read_row
from .rows import Row
from .step_keys import Keys, from_file

MOST_FACTS, MOST_UNITS, MOST_ASKED = 20_000, 20_000, 2_000
WITH_UNIT = ("sewn", "check", "absorb", "resew")
BY_UNIT, LENGTHS, FLAGS = ("beyond", "steps", "spaces"), ("guide", "near", "far", "band"), ("refused",)
TEXTS = ("plan",)
"""What may stand in ``asked``: lengths by unit, lengths, whether it was refused, a mark of the plan then."""
FACT_KEYS = ("op", "also", "undoes", "asked", "worker", "device_at")


def written_run(
    run: Run, keys: Keys, panels: Mapping[int | None, str], edges: Mapping[int | None, str]
) -> dict[str, Any]:
    """A run by the ids of its panel and edge in the file."""
    facts = BenchFact.objects.filter(run=run).select_related("person").order_by("pk")
    return {
        "key": keys.to_file(run.key),
        "panel": panels.get(run.panel_id),
        "edge": edges.get(run.edge_id),
        "begun_at": values.say_moment(run.begun_at),
        **nouns.RUN.write(run),
        "facts": [_written(fact) for fact in facts],
    }


def _written(fact: BenchFact) -> dict[str, Any]:
    return {
        "op": str(fact.op),
        **nouns.FACT.write(fact),
        "also": fact.also,
        "undoes": str(fact.undoes) if fact.undoes else None,
        "asked": fact.asked,
        "worker": (fact.worker or str(fact.person or ""))[:120],
        "device_at": values.say_moment(min(fact.device_at, fact.at)),
    }


def read_run(place: str, given: Any, panels: values.Ids, edges: values.Ids) -> Row:
    """Raises Unreadable."""
    keys = ("key", "panel", "edge", "begun_at", "facts")
    row = Row(place, read_row(nouns.RUN, place, given, keys, may=("begun_at",)))
    begun = values.or_none(values.moment)(f"{place}.begun_at", given.get("begun_at"))
    row.content = values.text(f"{place}.key", given["key"], 120, needed=True)
    row.links["panel"] = panels.find_or_none(f"{place}.panel", given["panel"])
    row.links["edge"] = edges.find_or_none(f"{place}.edge", given["edge"])
    facts = values.a_list(f"{place}.facts", given["facts"], MOST_FACTS)
    row.parts["facts"] = [_fact(f"{place}.facts[{n}]", fact) for n, fact in enumerate(facts)]
    first = min((fact.values["device_at"] for fact in row.parts["facts"]), default=None)
    row.content = (row.content, begun or first)
    here = {fact.values["op"] for fact in row.parts["facts"]}
    for fact in row.parts["facts"]:
        if fact.values["undoes"] not in (None, *here):
            wrong(f"{fact.place}.undoes", str(fact.values["undoes"]), "the op of a fact of the same run")
    return row


def _fact(place: str, given: Any) -> Row:
    row = Row(place, read_row(nouns.FACT, place, given, FACT_KEYS))
    read: dict[str, Callable[[str, Any], Any]] = {
        "op": _op, "also": _units, "undoes": values.or_none(_op), "asked": _asked,
        "worker": lambda where, text: values.text(where, text, 120), "device_at": values.moment,
    }  # fmt: skip
    row.values |= {name: read[name](f"{place}.{name}", given[name]) for name in FACT_KEYS}
    for needed, kinds in (("unit", WITH_UNIT), ("near", ("check",)), ("undoes", ("undo",))):
        if row.values["kind"] in kinds and row.values[needed] is None:
            refuse(f"{place}.{needed}", "Nothing", f"what such a fact ({row.values['kind']}) is about")
    return row


def _op(place: str, given: object) -> uuid.UUID:
    try:
        return uuid.UUID(given if isinstance(given, str) else "")
    except ValueError:
        wrong(place, given, "an id such as 0b0e7a52-0000-4000-8000-000000000001")


def _units(place: str, given: object) -> list[int]:
    found = values.a_list(place, given, MOST_UNITS)
    return [values.whole(f"{place}[{number}]", one, 1, MOST_COUNT) for number, one in enumerate(found)]


def _asked(place: str, given: object) -> dict[str, Any]:
    """What was asked of the hand: lengths, and by which plan."""
    names = (*BY_UNIT, *LENGTHS, *FLAGS, *TEXTS)
    asked = values.an_object(place, given, names, may=names)
    for name, value in asked.items():
        where = f"{place}.{name}"
        if name in FLAGS:
            values.flag(where, value)
        elif name in TEXTS:
            values.text(where, value, 16)
        elif name in BY_UNIT:
            _lengths_by_unit(where, value)
        elif value is not None or name == "guide":
            values.whole(where, value, -MOST_LENGTH, MOST_LENGTH)
    return asked


def _lengths_by_unit(place: str, given: object) -> None:
    if not isinstance(given, dict) or len(given) > MOST_ASKED:
        wrong(place, given, f"an object of at most {grouped(MOST_ASKED)} lengths by the number of their unit")
    for number, length in given.items():
        if not (number.isascii() and number.isdigit() and len(number) < 8):
            wrong(place, number, "the number of a unit")
        values.whole(f"{place}.{number}", length, -MOST_LENGTH, MOST_LENGTH)


def bring_runs(rows: Iterable[Row], project: Project, by_id: Mapping[str, Any], now: datetime) -> None:
    """``by_id`` are the saved pieces, fabrics and edges by their ids: keys of runs begin with them."""
    rows = list(rows)
    ops = _ops([fact.values["op"] for row in rows for fact in row.parts["facts"]])
    for row in rows:
        written, begun = row.content
        key = from_file(f"{row.place}.key", written, by_id)
        links = {name: row.link(name) for name in ("panel", "edge")}
        row.saved = Run.objects.create(project=project, key=key, **links, **row.values)
        # Checks made since a run was begun move none of its marks, here as where it was begun.
        Run.objects.filter(pk=row.saved.pk).update(begun_at=min(begun or now, now))
        latest = _not_ahead(row.parts["facts"], now)
        BenchFact.objects.bulk_create((_unsaved(row.saved, fact, ops) for fact in row.parts["facts"]), 500)
        if latest:
            BenchFact.objects.filter(run=row.saved).update(at=latest)


def _not_ahead(facts: Iterable[Row], now: datetime) -> datetime | None:
    """Where a clock was ahead, its facts are made those of now, in their order, so that none holds over taps
    still to come. The latest moment of such a fact; None where there is none."""
    ahead = [fact for fact in facts if fact.values["device_at"] > now]
    ahead.sort(key=lambda fact: (fact.values["device_at"], str(fact.values["op"])))
    for number, fact in enumerate(ahead):
        fact.values["device_at"] = now + timedelta(microseconds=number)
    return ahead[-1].values["device_at"] if ahead else None


def _unsaved(run: Run, fact: Row, ops: Mapping[uuid.UUID, uuid.UUID]) -> BenchFact:
    undone = fact.values["undoes"]
    own = {"op": ops[fact.values["op"]], "undoes": undone and ops[undone]}
    return BenchFact(run=run, **{**fact.values, **own})


def _ops(given: list[uuid.UUID]) -> dict[uuid.UUID, uuid.UUID]:
    """Their own ids where all are free here, else new ones in the same order: facts of one moment are told
    apart by it."""
    if not BenchFact.objects.filter(op__in=given).exists():
        return dict(zip(given, given, strict=True))
    fresh = sorted((uuid.uuid4() for _ in given), key=str)
    return dict(zip(sorted(given, key=str), fresh, strict=True))
