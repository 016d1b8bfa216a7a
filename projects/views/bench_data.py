"""What a device at the bench is told: the run once, and at each answer what holds now. Lengths as text."""

from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils.timezone import localtime

from projects.activities import timing
from projects.activities.bench import Bench
from projects.calc.bench_state import Fact
from projects.calc.lengths import System
from projects.models import BenchFact, Person
from projects.planning.bench_now import Now, now_of
from projects.planning.run_units import Unit

from .bench_advice import advice_data, wrong_data
from .bench_kept import instruction
from .bench_numbers import listed
from .bench_units import edges_data, units_data
from .bench_words import Words

KINDS = dict(BenchFact.KINDS)
INSTRUCTIONS = ("guide", "correct")


def page_data(bench: Bench, person: Person, system: System) -> dict[str, Any]:
    """Everything a device needs to go on by itself; empty units where the run is no longer in the plan."""
    run, words = bench.run, Words(bench.run, system) if bench.run else None
    post = reverse("bench_facts", args=[bench.project.pk, bench.key])
    return {
        "key": bench.key,
        "post": post,
        "after": bench.seq,
        "person": {"id": person.pk, "name": str(person)},
        "order": [unit.number for unit in run.units] if run else [],
        "units": units_data(run, words) if run and words else {},
        "minutes": float(round(run.unit_minutes_of(person.pk), 2)) if run else 0.0,
        "edges": edges_data(run) if run else {},
        "checks": [check_data(check, words) for check in run.checks] if run and words else [],
        "facts": [fact_data(fact, system) for fact in bench.facts],
        "fives": bool(run and run.fives),
        "overlapping": bool(run and run.overlapping),
        "pairs": bool(run and run.paired),
        "words": {
            "one": run.one if run else "unit",
            "many": run.many if run else "units",
            "mark": words.mark if words else "row",
        },
        "system": system.value,
        "unit": "in" if system is System.INCH else "mm",
        **answer_data(bench, person, system),
    }


def answer_data(
    bench: Bench, person: Person, system: System, now: Now | None = None
) -> dict[str, Any]:
    """What holds now, for the page and for each answer."""
    run = bench.run
    if run is None:
        nothing: dict[str, Any] = {"now": None, "advice": None}
        return {"seq": bench.seq, "plan": "", "placing": bench.placing, "changed": "", **nothing}
    words = Words(run, system)
    now = now or now_of(run, bench.state, placing=bench.placing, person=person.pk)
    advice = advice_data(bench, person, words)
    wrong = wrong_data(bench, words)
    if wrong is not None:
        wrong["again"] = _sewing_again(bench, person)
    return {
        "seq": bench.seq,
        "now": {**now_data(bench, now, words), "advice": advice, "wrong": wrong},
        "advice": advice,
        "plan": run.fingerprint,
        "placing": bench.placing,
        "changed": changed_text(bench, words),
    }


def _sewing_again(bench: Bench, person: Person) -> str:
    """Where to post that it is sewn again now, while the timer runs on this as ordinary work; else empty."""
    log = timing.running(person)
    here = log is not None and not log.rework and log.step is not None and log.step.key == bench.key
    return reverse("bench_time", args=[bench.project.pk, bench.key]) if here else ""


def changed_text(bench: Bench, words: Words) -> str:
    """That a run goes on by another plan than it was begun by; else empty."""
    if not bench.changed:
        return ""
    many = words.run.many
    return (
        "The plan has changed since this run was begun. What stands here is as it is planned now; "
        f"{many} keep their numbers, and what is sewn stays sewn."
    )


def check_data(check: Any, words: Words) -> dict[str, Any]:
    return {
        "after": check.tuck,
        "near_nm": check.to_seam,
        "far_nm": check.to_edge,
        "near": words.length(check.to_seam),
        "far": words.length(check.to_edge),
        "band_nm": check.near_enough,
        "band": words.length(check.near_enough),
        "text": words.ahead(check),
        **words.labels(check),
    }


def fact_data(fact: Fact, system: System) -> dict[str, Any]:
    words = Words(None, system)  # type: ignore[arg-type]
    texts = {
        f"{name}_text": words.length(nm) if nm is not None else ""
        for name, nm in (("near", fact.near), ("far", fact.far))
    }
    return {
        "op": fact.op, "kind": fact.kind, "unit": fact.unit, "also": list(fact.also), "depth": fact.depth,
        "depth_text": words.deep_text(fact.depth) if fact.depth is not None else "",
        "near": fact.near, "far": fact.far, "near_end": fact.near_end, "far_end": fact.far_end,
        "undoes": fact.undoes, "text": fact.text, "at": fact.at, "seq": fact.seq, "person": fact.person,
        "asked": dict(fact.asked), "says": _instruction(fact, words), **texts,
    }  # fmt: skip


def _instruction(fact: Fact, words: Words) -> str:
    """What was asked, with its numbers; empty for what is no instruction."""
    return instruction(fact, words) if fact.kind in INSTRUCTIONS else ""


def now_data(bench: Bench, now: Now, words: Words) -> dict[str, Any]:
    """The next unit in words, what comes then, and what is due."""
    unit, where, run = now.unit, now.where, words.run
    shared = {
        "pace": float(round(now.pace, 3)), "left": now.left, "left_text": words.left(now),
        "then": words.then(now, bench.state),
        "open": list(now.open), "open_text": words.open(now.open),
        "place": now.place, "of": run.count, "press": list(words.pressing(now)),
        "due": words.due(now.due) if now.due else None, "fives": list(now.fives),
        "missed": _missed(bench, now), "finished": bench.finished,
        "ahead": check_data(now.ahead, words) if now.ahead else None,
    }  # fmt: skip
    if unit is None or where is None:
        return {"number": None, **shared}
    deep, deep_unit = words.deep(now.deep)
    fold, fold_unit = words.figure(unit, where)
    return {
        "number": unit.number,
        "mark": unit.letter,
        "style": words.style(unit),
        "deep": deep,
        "unit": deep_unit or fold_unit,
        "why": why(bench, unit, words),
        "fold": fold,
        "fold_unit": fold_unit,
        "seam": words.length(where.to_line) if where.to_line is not None else "",
        "from": words.where(unit, where),
        "drawn": words.drawn(unit, where),
        "label": words.label(unit),
        **shared,
    }


def _missed(bench: Bench, now: Now) -> int | None:
    """The last check measure that was passed without being made, until a later one is."""
    run, made = bench.run, {fact.unit for fact in bench.state.checks}
    passed = [check.tuck for check in run.checks if check.tuck in bench.state.sewn] if run else []
    last = passed[-1] if passed else None
    return None if last in made or (now.due and now.due.check.tuck == last) else last


def why(bench: Bench, unit: Unit, words: Words) -> str:
    """Why a unit is asked at another depth than planned."""
    if unit.depth is None or not bench.state.beyond(unit.number):
        return ""
    planned = words.deep_text(unit.depth)
    steps = bench.state.steps.get(unit.number, 0)
    what = "deeper" if steps > 0 else "shallower"
    return f"planned {planned}, {what} to correct" if steps else f"planned {planned}, guide moved"


def told(fact: Fact, words: Words | None, system: System, names: dict[int, str]) -> dict[str, Any]:
    """One thing that happened, for the list of what happened."""
    plain = words or Words(None, system)  # type: ignore[arg-type]
    units = fact.units
    one, many = (plain.run.one, plain.run.many) if plain.run else ("unit", "units")
    which = f"{many} {listed(units)}" if len(units) > 1 else f"{one} {units[0]}" if units else ""
    said = [_instruction(fact, plain) or KINDS.get(fact.kind, fact.kind).lower()]
    if fact.depth is not None:
        said.append(f"{plain.deep_text(fact.depth)} deep")
    said += [plain.length(nm) for nm in (fact.near, fact.far) if nm is not None]
    said.append(fact.text)
    return {
        "op": fact.op,
        "text": f"{which[:1].upper()}{which[1:]}{': ' if which else ''}{', '.join(s for s in said if s)}",
        "who": names.get(fact.person or 0, ""),
        "at": localtime(datetime.fromisoformat(fact.at)),
    }
