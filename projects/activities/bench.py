"""Work at the bench: what is tapped, measured and asked becomes a fact, once, whoever sends it how often."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from projects.calc.bench_state import SEWS, Fact, State, fold
from projects.calc.lengths import System
from projects.models import BenchFact, Person, Project, Run, Workroom
from projects.planning.bench_now import readings_at
from projects.planning.run_checks import band_of
from projects.planning.run_source import run_for
from projects.planning.runs import RunPlan

from . import first_budgets, hands, timing
from .bench_reading import MOST_FACTS, Refused, op_of, read_fact

COLUMNS = (
    "id", "op", "kind", "unit", "also", "depth", "near", "far", "near_end", "far_end", "undoes", "asked",
    "text", "person_id", "device_at", "at",
)  # fmt: skip
INSTRUCTS = ("guide", "correct", "undo")
"""Kinds of facts that say what is asked of the hand, or take back that it is."""


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
    """The run afterwards, the rows that are new, and what was refused with its reason. ``ordinary``: what was
    sewn again is right, so the person's timer went on as ordinary work."""

    bench: Bench
    new: tuple[BenchFact, ...]
    refused: tuple[Refused, ...]
    ordinary: bool = False


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
    # Planning takes long after a change; nobody waits for the database meanwhile.
    run = run_for(project, key)
    with transaction.atomic():
        row, arriving = _read(project, key, run, facts[:MOST_FACTS], person, system, now, device)
        if row is None and arriving.new:
            _locked(project, key, run)
            # Its first fact may have come from elsewhere at the same moment: now its row is ours.
            row, arriving = _read(project, key, run, facts[:MOST_FACTS], person, system, now, device)
        return _kept(project, key, row, arriving)


def _read(
    project: Project, key: str, run: RunPlan | None, facts: Sequence[object], person: Person,
    system: System, now: datetime, device: str,
) -> "tuple[Run | None, _Arriving]":  # fmt: skip
    row = _row(project, key)
    if row is None and run is None:
        raise NoRun(key)
    arriving = _Arriving(row, run, list(facts_of(row)), person, system, now, device)
    arriving.take_all(facts)
    return row, arriving


def _kept(project: Project, key: str, row: Run | None, arriving: "_Arriving") -> Recorded:
    new = tuple(BenchFact.objects.bulk_create(arriving.new)) if arriving.new else ()
    if new:
        moments = [fact.device_at for fact in new]
        timing.seen_at(person=arriving.person, moments=moments, now=arriving.now)
        if row is not None and not arriving.known:
            # A run is begun by what is done in it, not by saying what its seams are placed by.
            Run.objects.filter(pk=row.pk).update(begun_at=timezone.now())
    arrived = [_fact({name: getattr(one, name) for name in COLUMNS}) for one in new]
    facts = (*arriving.known, *arrived)
    bench = Bench(project, key, row, arriving.run, facts, fold(facts))
    if row is not None and arrived and hands.teaches(arrived, bench.state):
        hands.learn_from(row=row, run=arriving.run, state=bench.state)
    ordinary = _end_rework(bench, new, arriving.person, arriving.now)
    return Recorded(bench, new, tuple(arriving.refused), ordinary)


def _end_rework(bench: Bench, new: Sequence[BenchFact], person: Person, now: datetime) -> bool:
    """Once it is sewn again, or left after all, a timer of rework on this step goes on as ordinary work."""
    ends = [fact.device_at for fact in new if fact.kind in ("resew", "absorb")]
    log = timing.running(person) if ends else None
    here = log is not None and log.project_id == bench.project.pk and log.step and log.step.key == bench.key
    if log is None or not here or not log.rework:
        return False
    at = min(now, max(log.started_at, ends[-1]))
    zone = Workroom.load().zone
    try:
        timing.start(
            person=person, project=log.project, stage=log.stage, step=log.step, now=at, zone=zone
        )
    except timing.Forgotten:
        return False
    return True


def _row(project: Project, key: str) -> Run | None:
    """The run's row, locked, so that facts get their numbers in order; None before its first fact."""
    if "\x00" in key:
        return None
    found: Run | None = Run.objects.select_for_update().filter(project=project, key=key).first()
    return found


def _locked(project: Project, key: str, run: RunPlan | None) -> Run:
    """The run's row, made now where there is none. Raises NoRun."""
    if run is not None:
        first_budgets.follow(project.pk)
        Run.objects.get_or_create(
            project=project, key=key, defaults={"panel_id": run.panel_id, "edge_id": run.edge_id}
        )
    row = _row(project, key)
    if row is None:
        raise NoRun(key)
    return row


class _Arriving:
    """Facts on their way in, one after the other: each knows those before it."""

    def __init__(
        self, row: Run | None, run: RunPlan | None, known: list[Fact], person: Person, system: System,
        now: datetime, device: str,
    ) -> None:  # fmt: skip
        self.row, self.run, self.person, self.system, self.now = row, run, person, system, now
        self.device = device.encode("utf-8", "ignore").decode().replace("\x00", "")[:40]
        self.known = known
        self.ops = {fact.op for fact in known}
        self.elsewhere: set[str] = set()
        self.new: list[BenchFact] = []
        self.refused: list[Refused] = []
        self.instructed = [fact for fact in known if fact.kind in INSTRUCTS]

    def take_all(self, facts: Sequence[object]) -> None:
        """One after the other; one query, however many."""
        ops = {op for given in facts if (op := _known_as(given)) and op not in self.ops}
        found = BenchFact.objects.filter(op__in=ops).values_list("op", flat=True) if ops else ()
        self.elsewhere = {str(op) for op in found}
        for given in facts:
            self._take(given)

    def _take(self, given: object) -> None:
        try:
            op = str(op_of(given))
            if op in self.ops:
                return
            if op in self.elsewhere:
                raise Refused(op, "This tap belongs to another run.")
            fact = read_fact(given, self.run, self.system, self.now)  # type: ignore[arg-type]
            if fact.kind == "undo" and str(fact.undoes) not in self.ops:
                raise Refused(op, "What is to be taken back is not here.")
            if fact.kind == "check" and self.run is not None and fact.unit not in self._sewn():
                name = f"{self.run.one.capitalize()} {fact.unit}"
                raise Refused(op, f"{name} is not sewn yet: measure after one that is.")
        except Refused as refused:
            self.refused.append(refused)
            return
        fact.person, fact.device = self.person, self.device
        if self.row is not None:
            fact.run = self.row
        # Where the device's clock is ahead, what counts is when it arrived: in the order in which it did.
        fact.at = self.now + timedelta(microseconds=len(self.new))
        self._remember(fact)
        self.ops.add(op)
        self.new.append(fact)
        if fact.kind in INSTRUCTS:
            self.instructed.append(_unsaved(fact))

    def _sewn(self) -> Collection[int]:
        """Every unit that is sewn, whatever any clock says."""
        return fold([*self.known, *map(_unsaved, self.new)]).sewn.keys()

    def _remember(self, fact: BenchFact) -> None:
        """Keep with it what was asked at that moment: by which plan, depths beyond it, what a check should
        read."""
        if fact.kind in SEWS:
            fact.asked = {"plan": self.run.fingerprint} if self.run else {}
            if any(one.kind != "undo" for one in self.instructed):
                state = _before(self.instructed, fact)
                beyond = {str(n): state.beyond(n) for n in (fact.unit, *fact.also) if state.beyond(n)}
                fact.asked["beyond"] = beyond
        elif fact.kind == "check" and self.run is not None:
            plan = next((check for check in self.run.checks if check.tuck == fact.unit), None)
            state = _before([*self.known, *map(_unsaved, self.new)], fact)
            near, far = readings_at(self.run, fact.unit, {*state.sewn, fact.unit}, plan)
            fact.asked = {"near": near, "far": far, "band": band_of(self.run, state, fact.unit)}


def _known_as(given: object) -> str:
    """The id of what arrives; empty where it has none."""
    try:
        return str(op_of(given))
    except Refused:
        return ""


def _before(facts: Iterable[Fact], fact: BenchFact) -> State:
    """What facts came to when another one happened."""
    place = _unsaved(fact).place
    return fold(one for one in facts if one.place < place)


def _unsaved(fact: BenchFact) -> Fact:
    return _fact({**{name: getattr(fact, name) for name in COLUMNS}, "id": 0})


@transaction.atomic
def place_by(*, project: Project, key: str, placing: str) -> Run:
    """Say what the seams of a run are placed by. Raises NoRun, ValidationError."""
    row = _locked(project, key, run_for(project, key))
    if placing not in dict(Run.PLACINGS):
        raise ValidationError("Choose what the seams are placed by.")
    Run.objects.filter(pk=row.pk).update(placing=placing)
    row.placing = placing
    return row
