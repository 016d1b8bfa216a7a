"""What is done of a project, what is left, and where it will end beside its time budget. Minutes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache

from django.db.models import Exists, OuterRef, Sum

from projects.calc import forecast as calc
from projects.calc.bench_state import Fact, State, fold
from projects.calc.labour import pace
from projects.calc.learned import Factor, Learned, Parts, moved
from projects.models import BenchFact, LabourLog, LabourTotal, Project, Step

from .first_budget import FirstBudget, read_budget
from .learned_rates import Rates, work_of
from .load import Rows
from .plan import Plan, PlannedStep
from .runs import runs_of

AS_TYPED = Factor(variance=0.0)
"""Minutes somebody set for a step: nothing is learned of them."""


@dataclass(frozen=True, slots=True)
class Spent:
    """Minutes logged on a project: in all, and without rework by step (its row) and, on no step, by stage.
    ``begun`` holds what was sewn of runs whose steps are open, by the step's key."""

    total: int = 0
    on_steps: Mapping[int, int] = field(default_factory=dict)
    on_stages: Mapping[str, int] = field(default_factory=dict)
    begun: Mapping[str, State] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Forecast:
    """``left`` is likely still to come, with the range that holds it 8 times of 10; ``end`` is likely in all.
    ``budget`` is what is planned now; ``over`` what the end is likely beyond the budget it is ``held_to``,
    below 0 within it. The spreads are those of the logarithm of what is left, see ``calc.forecast``.
    ``planned`` is what the plan alone gives what is left; ``pace`` how many times its plan the work took that
    is done and has hours, drawn to 1 while that is little.
    """

    done: int
    left: Decimal
    low: Decimal
    high: Decimal
    end: Decimal
    budget: Decimal
    own_sd: float
    common_sd: float
    planned: Decimal
    pace: Decimal
    first: FirstBudget | None = None
    """What was planned when work began, where that was kept."""
    stages: Mapping[str, calc.Range80] = field(default_factory=dict)
    """By stage what is left of it; of stages that have anything left, where it was asked for."""

    @property
    def held_to(self) -> Decimal:
        """What the end is compared with: the budget at the start, else that of today's plan."""
        return self.first.minutes if self.first else self.budget

    @property
    def moved(self) -> bool:
        """Whether the plan of today is another than at the start, by more than a quarter of an hour."""
        return abs(self.budget - self.held_to) > 15

    @property
    def least(self) -> Decimal:
        """All minutes in the end, in one case of ten less."""
        return self.done + self.low

    @property
    def most(self) -> Decimal:
        """All minutes in the end, in one case of ten more."""
        return self.done + self.high

    @property
    def slower(self) -> bool:
        """Whether what is done took so much longer than planned that it lengthens what is left."""
        return self.pace >= Decimal("1.1")

    @property
    def over(self) -> Decimal:
        return self.end - self.held_to

    @property
    def under(self) -> Decimal:
        return -self.over

    @property
    def near(self) -> bool:
        """Whether the likely end is as good as the budget: within 5 % or a quarter of an hour."""
        return abs(self.over) <= max(Decimal(15), self.held_to / 20)


def forecast_of(rows: Rows, plan: Plan) -> Forecast | None:
    """The forecast of a project whose rows and plan are at hand, also by stage; three queries. None once it
    is over."""
    project = rows.project
    if project.state in ("finished", "set_aside"):
        return None
    spent = spent_on([project])[project.pk]
    return forecast(plan, rows.rates, spent, read_budget(project.first_budget), by_stage=True)


def spent_on(projects: Iterable[Project]) -> dict[int, Spent]:
    """What was spent on each project, in three queries however many there are."""
    keys = [project.pk for project in projects]
    totals = LabourTotal.objects.filter(project__in=keys).order_by().values_list("project_id")
    all_of = dict(totals.annotate(Sum("minutes")))
    on_steps: dict[int, dict[int, int]] = defaultdict(dict)
    on_stages: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    logs = LabourLog.objects.filter(project__in=keys, removed_at=None, rework=False, minutes__gt=0)
    grouped = logs.order_by().values_list("project_id", "step_id", "stage").annotate(Sum("minutes"))
    for project, step, stage, minutes in grouped:
        if step is None:
            on_stages[project][stage] += minutes
        else:
            on_steps[project][step] = on_steps[project].get(step, 0) + minutes
    begun = _begun(keys)
    return {
        key: Spent(all_of.get(key, 0), on_steps[key], dict(on_stages[key]), begun.get(key, {}))
        for key in keys
    }


def _begun(projects: Sequence[int]) -> dict[int, dict[str, State]]:
    """What taps come to, of runs whose steps are not done; one query."""
    done = Step.objects.filter(project=OuterRef("run__project"), key=OuterRef("run__key"), state="done")
    facts = BenchFact.objects.filter(run__project__in=projects, kind__in=("sewn", "resew", "undo"))
    rows = facts.exclude(Exists(done)).order_by("run_id", "pk").values_list(
        "run__project_id", "run__key", "op", "kind", "device_at", "at", "person_id", "unit", "also", "undoes"
    )
    found: dict[tuple[int, str], list[Fact]] = defaultdict(list)
    for project, key, op, kind, tapped, came, person, unit, also, undoes in rows:
        # As at the bench, none counts as later than it arrived.
        at = min(tapped, came).isoformat(timespec="microseconds")
        undone = str(undoes) if undoes else None
        found[project, key].append(
            Fact(str(op), kind, at, unit, tuple(also), undoes=undone, person=person)
        )
    begun: dict[int, dict[str, State]] = defaultdict(dict)
    for (project, key), of_run in found.items():
        begun[project][key] = fold(of_run)
    return begun


def forecast(
    plan: Plan, rates: Rates, spent: Spent, first: FirstBudget | None = None, *, by_stage: bool = False
) -> Forecast | None:
    """Where a project will end; None where nothing is planned. ``first`` is what it began with."""
    budget = plan.minutes
    if not budget:
        return None
    done, to_do = _work(plan, rates, spent)
    spreads = (rates.learned.shared_sd, rates.learned.step_sd)
    found = _reckoned(done, tuple(left for _, left in to_do), spent.total, spreads)
    return Forecast(
        spent.total, found.left.middle, found.left.low, found.left.high, found.in_all.middle, budget,
        found.own_sd, found.common_sd,
        sum((step.minutes * (1 - left.share_done) for step, left in to_do), Decimal(0)),
        _pace(done), first, _by_stage(done, to_do, Learned({}, *spreads)) if by_stage else {},
    )  # fmt: skip


def _by_stage(
    done: Sequence[calc.Done], to_do: Iterable[tuple[PlannedStep, calc.Left]], learned: Learned
) -> dict[str, calc.Range80]:
    """Minutes left of each stage that has any, by the pace of all that is done."""
    groups: dict[str, list[calc.Left]] = defaultdict(list)
    for step, left in to_do:
        groups[step.stage].append(left)
    return dict(zip(groups, calc.left_by_group(done, list(groups.values()), learned=learned), strict=True))


def _work(
    plan: Plan, rates: Rates, spent: Spent
) -> tuple[tuple[calc.Done, ...], list[tuple[PlannedStep, calc.Left]]]:
    """What is done and has hours, and each step that is open with what is left of it."""
    wanted = [step for step in plan.steps if step.in_plan and step.state != "skipped"]
    shares = _shares(plan, spent)
    open_steps = [(s, _left(s, rates, spent, shares)) for s in wanted if s.state == "open"]
    return tuple(_done(wanted, rates, spent)), [(step, left) for step, left in open_steps if left]


def _pace(done: Iterable[calc.Done]) -> Decimal:
    """Steps without hours say nothing of it; the plan is that of today."""
    planned = sum((Decimal(moved(parts)) for one in done for parts in one.steps), Decimal(0))
    return pace(sum((one.minutes for one in done), Decimal(0)), planned)


@lru_cache(maxsize=128)
def _reckoned(
    done: tuple[calc.Done, ...], left: tuple[calc.Left, ...], spent: int, spreads: tuple[float, float]
) -> calc.Forecast:
    """Pure given these values; Today asks for the same ones again and again."""
    return calc.forecast(done, left, spent=Decimal(spent), learned=Learned({}, *spreads))


def parts_of(step: PlannedStep, rates: Rates) -> Parts:
    """A step's minutes before anything learned, each with its factor."""
    if step.work:
        parts = rates.parts(work_of(step), step.technique)
        return parts if step.pace == 1 else tuple((step.pace * minutes, factor) for minutes, factor in parts)
    return ((step.minutes, AS_TYPED),) if step.minutes else ()


def _done(steps: Sequence[PlannedStep], rates: Rates, spent: Spent) -> Iterator[calc.Done]:
    """Steps done with hours of their own; and of each stage that is done, the others with what was logged on
    the stage alone."""
    over: dict[str, list[PlannedStep]] = defaultdict(list)
    unfinished = {step.stage for step in steps if step.state == "open"}
    for step in steps:
        parts = parts_of(step, rates) if step.state == "done" else ()
        minutes = spent.on_steps.get(step.step_id, 0) if step.step_id else 0
        if parts and minutes:
            yield calc.Done((parts,), Decimal(minutes))
        elif parts and step.stage not in unfinished:
            over[step.stage].append(step)
    for stage, together in over.items():
        minutes = spent.on_stages.get(stage, 0)
        if minutes:
            yield calc.Done(tuple(parts_of(step, rates) for step in together), Decimal(minutes))


MOST_DONE = Decimal("0.9")
"""A step that is not ticked has this share of it done at most, by its hours or its units."""


def _shares(plan: Plan, spent: Spent) -> dict[str, Decimal]:
    """What share of its units is sewn, by the key of each run that was begun at the bench."""
    sewn = {key: len(state.sewn) for key, state in spent.begun.items() if state.sewn}
    runs = (run for run in (runs_of(plan) if sewn else ()) if run.key in sewn and run.count)
    return {run.key: Decimal(sewn[run.key]) / run.count for run in runs}


def _left(
    step: PlannedStep, rates: Rates, spent: Spent, shares: Mapping[str, Decimal]
) -> calc.Left | None:
    """Done in part by the units sewn at the bench, which tells its pace too; else by the minutes logged of
    those planned, which tells none."""
    parts = parts_of(step, rates)
    if not parts:
        return None
    minutes = Decimal(spent.on_steps.get(step.step_id, 0) if step.step_id else 0)
    if step.key in shares:
        return calc.Left(parts, min(MOST_DONE, shares[step.key]), minutes)
    by_hours = minutes / step.minutes if step.minutes else Decimal(0)
    return calc.Left(parts, min(MOST_DONE, by_hours))
