"""Work at the bench: what is tapped, measured and asked becomes a fact, once, whoever sends it how often."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.calc.bench_state import SEWS, Fact, State, fold
from projects.calc.lengths import System
from projects.models import BenchFact, Person, Project, Run
from projects.planning.bench_now import readings_at
from projects.planning.run_source import run_for
from projects.planning.runs import RunPlan

from . import hands, timing
from .bench_reading import MOST_FACTS, Refused, op_of, read_fact

COLUMNS = (
    "id", "op", "kind", "unit", "also", "depth", "near", "far", "near_end", "far_end", "undoes", "asked",
    "text", "person_id", "device_at", "at",
)  # fmt: skip


class NoRun(LookupError):
    """Neither the plan nor the rows know a run of this key."""


@dataclass(frozen=True, slots=True)
class Bench:
    """One run as it stands: its row (None until something happened), its plan (None: gone), its facts."""

    project: Project
    key: str
    row: Run | None
    run: RunPlan | None
    facts: tuple[Fact, ...]
    state: State

    @property
    def placing(self) -> str:
        return self.row.placing if self.row else "lines"

    @property
    def seq(self) -> int:
        """The number of the last fact."""
        return self.facts[-1].seq if self.facts else 0

    @property
    def finished(self) -> bool:
        """Whether every unit is sewn."""
        return self.run is not None and all(n in self.state.sewn for n in self.run.places)

    @property
    def changed(self) -> bool:
        """Whether the plan is another than when the first unit was sewn."""
        first = next((fact for fact in self.state.live if fact.kind in SEWS), None)
        plan = first.asked.get("plan") if first else None
        return self.run is not None and plan not in (None, self.run.fingerprint)


@dataclass(frozen=True, slots=True)
class Recorded:
    """The run afterwards, the rows that are new, and what was refused with its reason."""

    bench: Bench
    new: tuple[BenchFact, ...]
    refused: tuple[Refused, ...]


def look(*, project: Project, key: str) -> Bench:
    """A run as it stands. Raises NoRun."""
    run = run_for(project, key)
    row = Run.objects.filter(project=project, key=key).first() if key and "\x00" not in key else None
    if run is None and row is None:
        raise NoRun(key)
    facts = facts_of(row)
    return Bench(project, key, row, run, facts, fold(facts))


def facts_of(row: Run | None) -> tuple[Fact, ...]:
    """The facts of a run in the order they arrived."""
    if row is None:
        return ()
    found = BenchFact.objects.filter(run=row).order_by("pk").values_list(*COLUMNS)
    return tuple(_fact(dict(zip(COLUMNS, values, strict=True))) for values in found)


def state_of(row: Run) -> State:
    """What the facts of a run come to, whose rows were fetched along with it."""
    return fold(_fact({name: getattr(fact, name) for name in COLUMNS}) for fact in row.facts.all())


def _fact(row: Mapping[str, Any]) -> Fact:
    """A device whose clock runs ahead can't have its taps hold for ever: none counts as later than it
    arrived."""
    op, undoes = str(row["op"]), row["undoes"]
    at = min(row["device_at"], row["at"]).astimezone(UTC)
    return Fact(
        op=op, kind=row["kind"], at=f"{at:%Y-%m-%dT%H:%M:%S.%f}Z", unit=row["unit"], also=tuple(row["also"]),
        depth=row["depth"], near=row["near"], far=row["far"], near_end=row["near_end"],
        far_end=row["far_end"], undoes=str(undoes) if undoes else None, seq=row["id"],
        person=row["person_id"], text=row["text"], asked=row["asked"],
    )  # fmt: skip


@transaction.atomic
def record(
    *,
    project: Project,
    key: str,
    facts: Sequence[object],
    person: Person,
    now: datetime,
    system: System = System.METRIC,
    device: str = "",
) -> Recorded:
    """Keep facts of a run. Those that are here already change nothing; each that can't be taken is refused
    with a reason and keeps no other from being taken. Raises NoRun."""
    run = run_for(project, key)
    row = _locked(project, key, run)
    known = list(facts_of(row))
    arriving = _Arriving(row, run, known, person, system, now, device)
    for given in facts[:MOST_FACTS]:
        arriving.take(given)
    new = tuple(BenchFact.objects.bulk_create(arriving.new)) if arriving.new else ()
    if new:
        timing.seen_at(person=person, moments=[fact.device_at for fact in new], now=now)
    arrived = [_fact({name: getattr(one, name) for name in COLUMNS}) for one in new]
    bench = Bench(project, key, row, run, (*known, *arrived), fold((*known, *arrived)))
    if arrived and hands.teaches(arrived, bench.state):
        hands.learn_from(row=row, run=run, state=bench.state)
    return Recorded(bench, new, tuple(arriving.refused))


def _locked(project: Project, key: str, run: RunPlan | None) -> Run:
    """The run's row, made by its first fact; locked, so that facts get their numbers in order."""
    if run is not None:
        Run.objects.get_or_create(
            project=project, key=key, defaults={"panel_id": run.panel_id, "edge_id": run.edge_id}
        )
    found = Run.objects.select_for_update().filter(project=project, key=key) if "\x00" not in key else None
    row = found.first() if found is not None else None
    if row is None:
        raise NoRun(key)
    return row


class _Arriving:
    """Facts on their way in, one after the other: each knows those before it."""

    def __init__(
        self, row: Run, run: RunPlan | None, known: list[Fact], person: Person, system: System,
        now: datetime, device: str,
    ) -> None:  # fmt: skip
        self.row, self.run, self.person, self.system, self.now = row, run, person, system, now
        self.device = device.replace("\x00", "")[:40]
        self.known = known
        self.ops = {fact.op for fact in known}
        self.new: list[BenchFact] = []
        self.refused: list[Refused] = []

    def take(self, given: object) -> None:
        try:
            op = str(op_of(given))
            if op in self.ops:
                return
            if BenchFact.objects.filter(op=op).exists():
                raise Refused(op, "This tap belongs to another run.")
            fact = read_fact(given, self.run, self.system, self.now)  # type: ignore[arg-type]
            if fact.kind == "undo" and str(fact.undoes) not in self.ops:
                raise Refused(op, "What is to be taken back is not here.")
        except Refused as refused:
            self.refused.append(refused)
            return
        fact.run, fact.person, fact.device = self.row, self.person, self.device
        self._remember(fact)
        self.ops.add(op)
        self.new.append(fact)

    def _remember(self, fact: BenchFact) -> None:
        """Keep with it what was asked at that moment: by which plan, depths beyond it, what a check should
        read."""
        if fact.kind in SEWS:
            fact.asked = {"plan": self.run.fingerprint} if self.run else {}
            if self._instructed:
                state = self._state_before(fact)
                beyond = {str(n): state.beyond(n) for n in (fact.unit, *fact.also) if state.beyond(n)}
                fact.asked["beyond"] = beyond
        elif fact.kind == "check" and self.run is not None:
            plan = next((check for check in self.run.checks if check.tuck == fact.unit), None)
            sewn = {*self._state_before(fact).sewn, fact.unit}
            near, far = readings_at(self.run, fact.unit, sewn, plan)
            fact.asked = {"near": near, "far": far, "band": plan.near_enough if plan else None}

    @property
    def _instructed(self) -> bool:
        return any(fact.kind in ("guide", "correct") for fact in (*self.known, *self.new))

    def _state_before(self, fact: BenchFact) -> State:
        earlier = [*self.known, *(_fact(self._row(one)) for one in self.new)]
        at = _fact(self._row(fact)).place
        return fold(one for one in earlier if one.place < at)

    def _row(self, fact: BenchFact) -> dict[str, Any]:
        values = {name: getattr(fact, name) for name in COLUMNS}
        return {**values, "at": values["at"] or self.now, "id": values["id"] or 0}


@transaction.atomic
def place_by(*, project: Project, key: str, placing: str) -> Run:
    """Say what the seams of a run are placed by. Raises NoRun, ValidationError."""
    row = _locked(project, key, run_for(project, key))
    if placing not in dict(Run.PLACINGS):
        raise ValidationError("Choose what the seams are placed by.")
    Run.objects.filter(pk=row.pk).update(placing=placing)
    row.placing = placing
    return row
