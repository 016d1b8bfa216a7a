"""What the bench's page shows besides what a device is told: the strip, what happened, other runs in hand."""

from typing import Any

from django.db.models import Exists, Max, OuterRef
from django.http import HttpRequest
from django.urls import reverse

from projects.activities.bench import Bench, state_of
from projects.activities.timing import running
from projects.calc.bench_state import Fact, fold
from projects.calc.lengths import System
from projects.drawings.run_strip import run_strip
from projects.models import Person, Project, Run, Step
from projects.planning.bench_now import Now, between, now_of, pace_from
from projects.planning.learned_rates import Rates, rates_for
from projects.planning.runs import RunPlan
from projects.planning.touched import OVER

from .bench_data import answer_data, page_data, told
from .bench_person import bench_person, who
from .bench_words import Words
from .bench_worker import SCRIPTS
from .timer import clock

OTHERS = 6
SHOWN = 10
"""So much of what happened stands on the page at once; the rest is a tap away."""


def page_of(request: HttpRequest, bench: Bench, **extra: Any) -> dict[str, Any]:
    """Everything the page needs; a run that is gone from the plan shows what happened and nothing else."""
    person, system = bench_person(request), System(request.workroom.units)
    run, here = bench.run, reverse("bench", args=[bench.project.pk, bench.key])
    step = Step.objects.filter(project=bench.project, key=bench.key).first()
    shown = clock(request)
    context = {
        "project": bench.project,
        "bench": bench,
        "run": run,
        "here": here,
        "who": who(request, here),
        "clock": shown,
        "timer": shown.log if shown else None,
        "theirs": running(request.user) if person.pk != request.user.pk else None,
        "step": step,
        "title": title_of(bench, step),
        "told": happened(bench, system, everything="all" in request.GET),
        "told_all": "all" in request.GET,
        "others": others_in_hand(bench),
        "placings": Run.PLACINGS,
        "scripts": SCRIPTS,
        **extra,
    }
    if run is None:
        return context
    at = _whole(request.GET.get("to", ""))
    now = now_of(run, bench.state, at, bench.placing, person.pk)
    context |= {"data": {**page_data(bench, person, system), **answer_data(bench, person, system, now)}}
    return context | _shown(bench, run, now, system, at)


def _shown(bench: Bench, run: RunPlan, now: Now, system: System, at: int | None) -> dict[str, Any]:
    words = Words(run, system)
    jumped = at is not None and now.unit is not None and now.unit.number == at
    left_out = between(run, bench.state, at) if jumped and at is not None else ()
    return {
        "now": now,
        "lacks": "" if bench.state.sewn else lacking(run),
        "words": words,
        "strip": strip_of(run, bench, now),
        "at_unknown": at is not None and not jumped,
        "at_told": _told_at(bench, system, at) if at in bench.state.sewn else [],
        "at": at,
        "left_out": left_out,
        "notes": [f.text for f in bench.state.notes if now.unit is not None and f.unit == now.unit.number],
        "check_at": now.due.check.tuck if now.due else now.last.number if now.last else None,
    }  # fmt: skip


def strip_of(run: RunPlan, bench: Bench, now: Now | None) -> str:
    """The run drawn as a strip, each unit where its mark lies."""
    lie = sorted(run.units, key=lambda u: u.number) if run.edge else sorted(run.units, key=lambda u: u.at)
    rows = list(run.rows)
    spread = len(rows) > 1
    places = [
        (
            u.number,
            u.letter,
            (u.number - 0.5) / run.count if spread else u.at / u.extent if u.extent else 0.5,
        )
        for u in lie
    ]
    unit = now.unit if now else None
    sewn = sum(n in bench.state.sewn for n in run.places)
    at = f", at number {unit.number}" if unit else ""
    title = f"{run.name} {run.direction}".strip() + f": {sewn} of {run.count} {run.many} sewn{at}"
    return run_strip(places, bench.state.sewn.keys(), unit.number if unit else None, title)


def title_of(bench: Bench, step: Step | None) -> str:
    """What the run is called where its plan is gone too."""
    if bench.run is not None:
        return bench.run.name
    return step.title if step else str(bench.row.panel or bench.row.edge or bench.key) if bench.row else ""


def _told_at(bench: Bench, system: System, unit: int | None) -> list[dict[str, Any]]:
    """What happened at one unit, the newest first."""
    facts = [fact for fact in reversed(bench.state.live) if fact.kind != "undo" and unit in fact.units]
    return _told(bench, system, facts[:SHOWN])


def happened(bench: Bench, system: System, *, everything: bool) -> list[dict[str, Any]]:
    """What happened, the newest first, each of which can be taken back."""
    live = [fact for fact in reversed(bench.state.live) if fact.kind != "undo"]
    return _told(bench, system, live if everything else live[:SHOWN])


def _told(bench: Bench, system: System, shown: list[Fact]) -> list[dict[str, Any]]:
    people = {fact.person for fact in shown if fact.person}
    names = {p.pk: str(p) for p in Person.objects.filter(pk__in=people)}
    words = Words(bench.run, system) if bench.run else None
    return [told(fact, words, system, names) for fact in shown]


def others_in_hand(bench: Bench) -> list[dict[str, Any]]:
    """Other runs that were begun and whose steps are not over, the one touched last first."""
    over = Step.objects.filter(project=OuterRef("project"), key=OuterRef("key"), state__in=OVER)
    rows = Run.objects.filter(project__deleted_at=None, project__state__in=("in_hand", "waiting", "asked"))
    rows = rows.filter(~Exists(over)).annotate(last=Max("facts__id")).filter(last__isnull=False)
    if bench.row is not None:
        rows = rows.exclude(pk=bench.row.pk)
    rows = rows.select_related("project", "panel", "edge__piece").prefetch_related("facts")
    return [_other(row) for row in rows.order_by("-last")[:OTHERS]]


def _other(row: Run) -> dict[str, Any]:
    what = str(row.panel) if row.panel else f"{row.edge.piece}, {row.edge}" if row.edge else row.key
    direction = row.key.split(":")[2] if row.key.count(":") == 3 else ""
    text = f"{row.project.title}: {what} {direction}".strip()
    url = reverse("bench", args=[row.project_id, row.key])
    return {"text": text, "url": url, "sewn": len(state_of(row).sewn)}


def runs_listed(project: Project, runs: dict[str, RunPlan], person: Person) -> list[dict[str, Any]]:
    """The runs of a project in the order of its steps, each with how far it is and the minutes left at its
    own pace, which begins with what a unit takes this person, as at its bench."""
    states = dict(Step.objects.filter(project=project).exclude(key=None).values_list("key", "state"))
    rows = {row.key: row for row in Run.objects.filter(project=project).prefetch_related("facts")}
    rates = rates_for(person.pk)
    return [
        _listed(project, run, rows.get(run.key), states.get(run.key, "open"), rates) for run in runs.values()
    ]


def next_of(rows: list[dict[str, Any]]) -> dict[str, Any] | None:
    """The run to go on with: one that was begun, else the first that is to do."""
    begun = (row for row in rows if row["left"] and row["sewn"])
    return next(begun, None) or next((row for row in rows if row["left"]), None)


def _listed(
    project: Project, run: RunPlan, row: Run | None, state: str, rates: Rates
) -> dict[str, Any]:
    found = state_of(row) if row is not None else fold(())
    sewn = sum(number in found.sewn for number in run.places) if found.sewn else 0
    left = 0 if state in OVER else run.count - sewn
    minutes = left * pace_from(run.unit_minutes_at(rates), found)
    said, url = _how_far(run, sewn, state), reverse("bench", args=[project.pk, run.key])
    lacks = lacking(run) if left else ""
    row = {"run": run, "sewn": sewn, "left": left, "minutes": minutes, "said": said, "url": url}
    return {**row, "lacks": lacks}


def lacking(run: RunPlan) -> str:
    """ "not cut and not marked yet"; empty where nothing of its panel is open before it."""
    lacks = [f"not {what}" for what in run.lacks]
    if not lacks:
        return ""
    most = f"{', '.join(lacks[:-1])} and " if lacks[1:] else ""
    return f"{most}{lacks[-1]} yet"


def _how_far(run: RunPlan, sewn: int, state: str) -> str:
    """ "28 of 52 tucks sewn, begun". A step that is over says so first: taps need not have been made."""
    many = f"{run.count} {run.one if run.count == 1 else run.many}"
    if state in OVER:
        return f"{many}, {state}" if sewn in (0, run.count) else f"{state}, {sewn} of {many} sewn here"
    if not sewn:
        return f"{many}, to do"
    if sewn == run.count:
        return f"{many} sewn, the step is not ticked"
    return f"{sewn} of {many} sewn, begun"


def _whole(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 8 else None
