"""Runs in hand: the coat's back across is sewn, along its second check asked for a correction; the bag's
squares are begun."""

import uuid
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

from projects.activities.bench import Bench, look, record
from projects.calc.lengths import System
from projects.models import Person, Project
from projects.planning.bench_now import readings_at
from projects.planning.run_advice import asked_now

from .days import Days
from .people import People

NAMES = uuid.UUID("5b7c2d0e-6f0a-4a52-9a3b-1f4e8d9c7a10")
"""Ids of the demo's taps come from it: the same day gives the same demo."""
TAP = timedelta(minutes=3)
MM = 1_000_000
ACROSS = (
    (9, 24, ((8, 0.5, 0.0), (16, 0.5, 0.5))),
    (8, 44, ((25, 0.0, 0.5), (33, 1.0, 0.0), (41, 0.5, 0.5))),
)
"""Working days ago, to which unit, and check measures: after which unit, how much both readings are too long
(mm)."""
ALONG = ((4, 15, ((10, 0.0, 0.5),)), (1, 28, ((20, -3.0, -2.5),)))


def add_runs(coat: Project, bag: Project, people: People, days: Days) -> None:
    across, along, squares = _key(coat, "across"), _key(coat, "along"), _first(bag)
    for ago, to, checks in ACROSS:
        _sew(coat, across, people.sewer, days.at(ago, 9), to, checks)
    for (ago, to, checks), person in zip(ALONG, (people.sewer, people.owner), strict=True):
        _sew(coat, along, person, days.at(ago, 9), to, checks)
    _sew(bag, squares, people.sewer, days.at(2, 10), 5, ())


def _key(coat: Project, direction: str) -> str:
    back = coat.pieces.get(name="Back")
    return f"{back.pk}.1:sew:{direction}:1"


def _first(bag: Project) -> str:
    return f"{bag.pieces.get(name='Body').pk}.1:sew::1"


def _sew(
    project: Project, key: str, person: Person, at: datetime, to: int,
    checks: Sequence[tuple[int, float, float]],
) -> None:  # fmt: skip
    """Tap the units that are left up to ``to``, measuring where ``checks`` say; what a check asks for is
    taken up before the next."""
    measured = {unit: (near, far) for unit, near, far in checks}
    bench = look(project=project, key=key)
    units = bench.run.units if bench.run else ()
    batch: list[dict[str, Any]] = []
    for number in (u.number for u in units if u.number not in bench.state.sewn and u.number <= to):
        at += TAP
        batch.append(_fact(key, f"sewn {number}", at, kind="sewn", unit=number))
        if number in measured:
            bench = _record(bench, person, batch, at)
            reading = _reading(bench, number, *measured[number])
            bench = _record(bench, person, [_fact(key, f"check {number}", at + TAP / 3, **reading)], at + TAP)
            batch = list(_taken_up(bench, number, at + TAP / 2))
    _record(bench, person, batch, at + TAP)


def _fact(key: str, name: str, at: datetime, **values: Any) -> dict[str, Any]:
    return {"op": str(uuid.uuid5(NAMES, f"{key} {name}")), "at": at.isoformat(), **values}


def _record(bench: Bench, person: Person, facts: list[dict[str, Any]], now: datetime) -> Bench:
    done = record(project=bench.project, key=bench.key, facts=facts, person=person, now=now, device="bench")
    if done.refused:
        raise ValueError(done.refused[0].why)
    return done.bench


def _reading(bench: Bench, number: int, near: float, far: float) -> dict[str, Any]:
    """Both readings, so much longer than they should be, as they are typed: to half a millimetre."""
    if bench.run is None:
        raise LookupError(bench.key)
    plan = next((check for check in bench.run.checks if check.tuck == number), None)
    due = readings_at(bench.run, number, bench.state.sewn, plan)
    typed = (round((nm / MM + off) * 2) / 2 for nm, off in zip(due, (near, far), strict=True))
    return {"kind": "check", "unit": number, **dict(zip(("near", "far"), map(str, typed), strict=True))}


def _taken_up(bench: Bench, number: int, at: datetime) -> Iterator[dict[str, Any]]:
    """What is asked after a check, done as asked."""
    asked = asked_now(bench.run, bench.state, bench.placing, System.METRIC) if bench.run else None
    if asked is not None and asked.guide is not None:
        yield _fact(bench.key, f"guide {number}", at, kind="guide", asked={"guide": asked.guide})
    if asked is not None and (asked.steps or asked.spaces):
        steps = {"steps": _by_text(asked.steps), "spaces": _by_text(asked.spaces)}
        yield _fact(bench.key, f"correct {number}", at, kind="correct", asked=steps)


def _by_text(lengths: dict[int, int]) -> dict[str, int]:
    return {str(number): nm for number, nm in lengths.items()}
