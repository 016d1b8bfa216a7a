"""What was asked and done at the bench, kept beside a panel: how far its runs are, checks, corrections."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch
from django.urls import reverse
from django.utils.timezone import localtime

from projects.activities.bench import state_of
from projects.calc.bench_state import Fact, State
from projects.calc.lengths import System
from projects.models import BenchFact, Person, Run
from projects.planning.plan import PanelLine, PlannedStep
from projects.planning.run_advice import Checked, asked_beyond, checked
from projects.planning.runs import RunPlan, of_line

from .bench_numbers import listed
from .bench_words import Words, sentence


@dataclass(frozen=True, slots=True)
class KeptCheck:
    """A check made: readings beside what they should have been, as text, and what they came to."""

    after: int
    near: str
    near_planned: str
    far: str
    far_planned: str
    comes_to: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class KeptRun:
    """One run of the panel as it stands."""

    title: str
    url: str
    sewn: int
    count: int
    many: str
    checks: tuple[KeptCheck, ...]
    said: tuple[dict[str, Any], ...]


def kept_runs(
    project: int, piece: int, line: PanelLine, steps: Sequence[PlannedStep], system: System
) -> list[KeptRun]:
    """The runs of a panel that were begun; three queries, however much happened."""
    if line.panel_id is None:
        return []
    people = Prefetch("facts", BenchFact.objects.select_related("person"))
    rows = {row.key: row for row in Run.objects.filter(panel=line.panel_id).prefetch_related(people)}
    by_key = {step.key: step for step in steps if step.in_plan}
    runs = [run for run in of_line(piece, line, by_key) if run.key in rows] if rows else []
    return [_kept(project, run, rows[run.key], system) for run in runs]


def _kept(project: int, run: RunPlan, row: Run, system: System) -> KeptRun:
    state, words = state_of(row), Words(run, system)
    names = {f.person_id: _name(f.person, f.worker) for f in row.facts.all()}
    return KeptRun(
        title=run.step.title,
        url=reverse("bench", args=[project, run.key]),
        sewn=sum(number in state.sewn for number in run.places),
        count=run.count,
        many=run.many,
        checks=tuple(_checks(run, state, words, names)),
        said=tuple(_said(project, run, state, words, names)),
    )


def _name(person: Person | None, worker: str) -> str:
    return worker or str(person or "")


Names = dict[int | None, str]


def _checks(run: RunPlan, state: State, words: Words, names: Names) -> Iterator[KeptCheck]:
    for fact in state.checks:
        found = checked(run, state, fact)
        if found is None or fact.near is None:
            continue
        yield KeptCheck(
            after=fact.unit or 0,
            near=words.length(fact.near),
            near_planned=words.length(found.near),
            far="not measured" if fact.far is None else words.length(fact.far),
            far_planned=words.length(found.far),
            comes_to=_comes_to(found, words),
            who=names.get(fact.person, ""),
            at=_at(fact),
        )


def _comes_to(found: Checked, words: Words) -> str:
    if found.aside:
        return "no longer counts"
    excess = found.judged.excess
    return "can't be told" if excess is None else words.too_long(excess)


def _said(
    project: int, run: RunPlan, state: State, words: Words, names: Names
) -> Iterator[dict[str, Any]]:
    """Wrong depths, instructions and notes, in the order they came, each with the bench at its unit."""
    bench = reverse("bench", args=[project, run.key])
    for fact in state.live:
        text = _words(run, state, fact, words)
        if text:
            url = f"{bench}?to={fact.unit}#bench" if fact.unit in run.by_number else ""
            yield {"text": text, "who": names.get(fact.person, ""), "at": _at(fact), "url": url}


def _words(run: RunPlan, state: State, fact: Fact, words: Words) -> str:
    unit = run.by_number.get(fact.unit or 0)
    if fact.kind == "note":
        return f"{sentence(words.unit_name(unit))}: {fact.text}" if unit else fact.text
    if fact.kind in ("guide", "correct"):
        return instruction(fact, words)
    if unit is None or unit.depth is None:
        return ""
    name = sentence(words.unit_name(unit))
    if fact.kind == "absorb":
        return f"{name} left as it is"
    if fact.kind == "resew":
        return f"{name} sewn again"
    if fact.kind == "sewn" and fact.depth is not None and unit.number in state.sewn:
        asked = unit.depth + asked_beyond(unit, state)
        return f"{name} sewn at {words.deep_text(fact.depth)}, asked {words.deep_text(asked)}"
    return ""


def instruction(fact: Fact, words: Words) -> str:
    """An instruction as it was taken up or refused."""
    what = "Guide" if fact.kind == "guide" else "Correction"
    if fact.asked.get("refused"):
        return f"{what}: not taken up"
    if fact.kind == "guide":
        nm = int(fact.asked.get("guide", 0))
        way = "deeper" if nm > 0 else "shallower"
        return f"Guide {words.deep_text(abs(nm))} {way} than planned" if nm else "Guide back as planned"
    by_step: dict[int, list[int]] = {}
    for number, nm in (fact.asked.get("steps") or {}).items():
        by_step.setdefault(int(nm), []).append(int(number))
    parts = [f"{listed(numbers)} by {_signed(nm, words)}" for nm, numbers in by_step.items()]
    return f"Correction: {'; '.join(parts)}" if parts else "Correction: spaces moved"


def _signed(nm: int, words: Words) -> str:
    return f"{'+' if nm > 0 else '−'}{words.deep_text(abs(nm))}"


def _at(fact: Fact) -> datetime:
    return localtime(datetime.fromisoformat(fact.at))
