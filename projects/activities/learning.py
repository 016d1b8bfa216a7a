"""What finished steps teach about time: a row a step and person, and the rates worked out anew from them.

A step teaches once it is done, by the minutes logged on it; rework and removed logs are left out, and so are
steps of one's own, which count nothing. What is learned follows each tick and each change of a log, after the
change itself is safe: should the studio be stopped in between, ``manage.py learn_rates`` works all out anew.
"""

from collections.abc import Iterable
from decimal import Decimal
from functools import partial
from typing import Any, NamedTuple

from django.db import transaction
from django.db.models import Count, Max, Q, Sum
from django.utils import timezone

from projects.calc.labour import DRIVERS, SETUP
from projects.calc.learned import Learned, Observation, learn
from projects.calc.learning_curve import learning_curve
from projects.calc.mixed import Spreads
from projects.models import LabourLog, LearnedRate, Project, Step, StepTime, Workroom
from projects.planning import plan_project
from projects.planning.learned_rates import CENT, CURVE, SPREADS, base_minutes, base_of, rates_on, work_of
from projects.planning.plan import Plan

LOOKED_AT = 120
"""So many of the latest steps of a stage teach; older ones have been overtaken by them."""
SPREADS_OF = 4
"""With more people than this, how far steps stray is taken as kept, and learned only by the command."""
TRIES = 3
LEAST_MINUTES, LEAST_SHARE = 2, Decimal("0.1")
"""A step that took fewer minutes, or less of what was planned, was timed by a slip or in part: it teaches
nothing. Starting values."""


def follow(step_id: int | None) -> None:
    """Take up what a step teaches once the change that is under way is safe."""
    if step_id is not None:
        transaction.on_commit(partial(take_up, step_id), robust=True)


def take_up(step_id: int) -> None:
    """Keep what one step teaches now, and learn anew where that differs from what was kept."""
    step = Step.objects.filter(pk=step_id).select_related("project", "panel__piece").first()
    if step is not None and keep_times(step):
        learn_stage(step.stage)


class Taught(NamedTuple):
    """What a whole step took by the plan: minutes before anything learned, work by driver, its technique."""

    planned: Decimal
    work: dict[str, str]
    technique: str


def keep_times(step: Step, plan: Plan | None = None) -> bool:
    """Make the rows of a step what its state and logs say; whether anything changed. ``plan`` where known.

    Planned before anything is locked. Who ticks meanwhile has the step taken up once more.
    """
    kept = list(StepTime.objects.filter(step=step))
    taught = _planned(step, plan) if _minutes_on(step) and not _same(step, kept) else None
    return _keep(step.pk, taught)


@transaction.atomic
def _keep(pk: int, taught: Taught | None) -> bool:
    """``taught`` counts for a step of which nothing is kept since it was ticked."""
    Step.objects.select_for_update().filter(pk=pk).first()
    step = Step.objects.select_related("panel__piece").filter(pk=pk).first()
    if step is None:
        return False
    kept = {row.person_id: row for row in StepTime.objects.filter(step=step)}
    spent = _minutes_on(step)
    taught = _same(step, kept.values()) or taught
    wanted = _rows(step, spent, taught) if taught else {}
    changed = [row for person, row in wanted.items() if _differs(kept.get(person), row)]
    gone = [row.pk for person, row in kept.items() if person not in wanted]
    StepTime.objects.filter(pk__in=gone).delete()
    for row in changed:
        StepTime.objects.update_or_create(step=step, person_id=row.person_id, defaults=_figures(row))
    if changed or gone:
        _count_repeats(step)
    return bool(changed or gone)


def _minutes_on(step: Step) -> dict[int | None, int]:
    """Minutes by person on a step that is done; those of people who came with a file stand under None."""
    if step.state != "done" or not step.key:
        return {}
    logs = LabourLog.objects.filter(step=step, removed_at=None, rework=False, minutes__gt=0)
    return dict(logs.order_by().values_list("person_id").annotate(Sum("minutes")))


def _same(step: Step, kept: Iterable[StepTime]) -> Taught | None:
    """What was kept when the step was ticked: a plan that changed since says nothing of what was done."""
    found = next((row for row in kept if row.finished_at == step.done_at), None)
    return Taught(found.planned, found.work, found.technique) if found else None


def _planned(step: Step, plan: Plan | None) -> Taught | None:
    """What the plan says of a step; None where it counts nothing."""
    found = (plan or plan_project(step.project)).step(step.key)
    if found is None or not found.in_plan or not found.work:
        return None
    work = work_of(found)
    planned = base_minutes(work, rates_on(timezone.localdate())).quantize(CENT)
    return Taught(planned, {driver: str(count) for driver, count in work}, found.technique)


def _rows(step: Step, spent: dict[int | None, int], taught: Taught) -> dict[int | None, StepTime]:
    """A row for each person of the studio; hours of people who came with a file only make shares smaller."""
    total = sum(spent.values())
    if total < LEAST_MINUTES or total < LEAST_SHARE * taught.planned:
        return {}
    version = step.panel.piece.version_id if step.panel_id else None
    return {
        person: StepTime(
            step=step,
            person_id=person,
            technique=taught.technique,
            version_id=version,
            work=taught.work,
            planned=taught.planned,
            minutes=minutes,
            of_minutes=total,
            finished_at=step.done_at,
        )
        for person, minutes in spent.items()
        if person is not None
    }


def _figures(row: StepTime) -> dict[str, Any]:
    names = ("technique", "version_id", "work", "planned", "minutes", "of_minutes", "finished_at")
    return {name: getattr(row, name) for name in names}


def _differs(kept: StepTime | None, row: StepTime) -> bool:
    return kept is None or _figures(kept) != _figures(row)


def series_of(key: str, version: int | None) -> str:
    """Steps that repeat one another: the same kind of work in the same direction, by the same recipe."""
    parts = key.split(":")
    return ":".join((*parts[1:3], str(version or "")))


def _count_repeats(step: Step) -> None:
    """Number the repeats of a step anew within its project, by person."""
    rows = StepTime.objects.filter(step__project=step.project_id).order_by("finished_at", "pk")
    counts: dict[tuple[int | None, str], int] = {}
    for pk, key, person, version, repeat in rows.values_list(
        "pk", "step__key", "person_id", "version_id", "repeat"
    ):
        at = (person, series_of(key or "", version))
        counts[at] = counts.get(at, 0) + 1
        if repeat != counts[at]:
            StepTime.objects.filter(pk=pk).update(repeat=counts[at])


def learn_stage(stage: str, *, spreads: bool = False) -> None:
    """Work out anew what the latest steps of a stage teach of its drivers.

    Reckoned before anything is locked; where others ticked meanwhile it is reckoned once more.
    """
    for attempt in range(TRIES):
        mark = _mark(stage)
        found = _learned(stage, spreads)
        with transaction.atomic():
            Workroom.objects.select_for_update().filter(pk=Workroom.load().pk).first()
            if attempt == TRIES - 1:
                found = _learned(stage, spreads)  # the last word, while nobody else can write
            elif _mark(stage) != mark:
                continue
            _write(stage, *found)
            return


def _mark(stage: str) -> dict[str, Any]:
    """What changes whenever any row of a stage does."""
    rows = StepTime.objects.filter(step__stage=stage)
    sums = [Sum(name) for name in ("minutes", "of_minutes", "planned")]
    return rows.aggregate(Count("pk"), Max("pk"), Max("finished_at"), *sums)


def _learned(stage: str, spreads: bool) -> tuple[Learned, Decimal]:
    """What the latest steps of a stage teach, each at the rates that hold today, and their learning curve."""
    rows = StepTime.objects.filter(step__stage=stage).order_by("-finished_at", "-pk")
    fields = (
        "person_id", "step__project_id", "technique", "work", "minutes", "of_minutes", "repeat", "step__key",
        "version_id",
    )  # fmt: skip
    own = rates_on(timezone.localdate())
    seen = [found for row in rows.values_list(*fields)[:LOOKED_AT] if (found := _seen(own, *row))]
    people = {one.person for one in seen}
    known = None if spreads or len(people) <= SPREADS_OF else _kept_spreads(stage)
    curve = learning_curve(seen)
    return learn(seen, curve, known=known), curve


def _seen(
    own: dict[str, Decimal], person: int, project: int, technique: str, work: dict[str, str], minutes: int,
    of_minutes: int, repeat: int, key: str, version: int | None,
) -> Observation | None:  # fmt: skip
    """A row as calc takes it, with the person's share of the step's work; drivers of a later version of the
    program are passed over."""
    share = Decimal(minutes) / max(minutes, of_minutes)
    known = {d: share * Decimal(count) for d, count in work.items() if d in DRIVERS or d.startswith(SETUP)}
    parts = {d: count * base_of(d, own) for d, count in known.items()}
    parts = {d: planned for d, planned in parts.items() if planned > 0}
    planned = sum(parts.values(), Decimal(0))
    if not planned:
        return None
    return Observation(person, project, technique, parts, planned, minutes, repeat, series_of(key, version))


def _kept_spreads(stage: str) -> Spreads:
    kept = dict(LearnedRate.objects.filter(driver__in=SPREADS, technique=stage).values_list("driver", "mean"))
    shared, step = (kept.get(name) for name in SPREADS)
    usual = Learned()
    return Spreads(1.0, (shared or usual.shared_sd) ** 2, (step or usual.step_sd) ** 2)


def _write(stage: str, found: Learned, curve: Decimal) -> None:
    """Keep what differs of the drivers of a stage, and drop what nothing teaches any more."""
    mine = Q(driver__in=[d.key for d in DRIVERS.values() if d.stage == stage] + [SETUP + stage])
    rows = LearnedRate.objects.filter(mine | Q(driver__in=[*SPREADS, CURVE], technique=stage))
    kept = {(row.driver, row.technique, row.person_id): row for row in rows}
    wanted = {row[:3]: row[3:] for row in _wanted(stage, found, curve)}
    LearnedRate.objects.filter(pk__in=[row.pk for key, row in kept.items() if key not in wanted]).delete()
    new, changed = [], []
    for key, figures in wanted.items():
        row = kept.get(key) or LearnedRate(driver=key[0], technique=key[1], person_id=key[2])
        if (row.mean, row.variance, row.steps) != figures:
            row.mean, row.variance, row.steps = figures
            (changed if row.pk else new).append(row)
    LearnedRate.objects.bulk_create(new)
    LearnedRate.objects.bulk_update(changed, ["mean", "variance", "steps"])


def _wanted(
    stage: str, found: Learned, curve: Decimal
) -> Iterable[tuple[str, str, int | None, float, float, int]]:
    steps = 0
    for factor in found.rows():
        driver, technique, person = factor.key
        if driver == SETUP + stage or (driver in DRIVERS and DRIVERS[driver].stage == stage):
            steps = max(steps, factor.steps)
            yield driver, technique, person, factor.mean, factor.variance, factor.steps
    if steps:
        for name, attribute in SPREADS.items():
            yield name, stage, None, getattr(found, attribute), 0.0, steps
        if curve < 1:
            yield CURVE, stage, None, float(curve), 0.0, steps


def learn_all() -> int:
    """Keep every finished step's times anew and work all rates out from them; how many steps changed."""
    changed = 0
    done = Step.objects.filter(Q(state="done", labour__isnull=False) | Q(times__isnull=False)).distinct()
    for project in Project.objects.filter(steps__in=done).distinct().order_by("pk"):
        plan = plan_project(project)
        rows = done.filter(project=project).select_related("project", "panel__piece")
        changed += sum(keep_times(step, plan) for step in rows.order_by("done_at", "pk"))
    LearnedRate.objects.exclude(driver__in=[*DRIVERS, *SPREADS, CURVE, *_setups()]).delete()
    for stage in {d.stage for d in DRIVERS.values()}:
        learn_stage(stage, spreads=True)
    return changed


def _setups() -> list[str]:
    return [SETUP + stage for stage in {d.stage for d in DRIVERS.values()}]


def rate_changed(driver: str) -> None:
    """Learn a stage anew after the studio set or cleared its own minutes for one of its drivers."""
    stage = driver.removeprefix(SETUP) if driver.startswith(SETUP) else DRIVERS[driver].stage
    transaction.on_commit(partial(learn_stage, stage), robust=True)
