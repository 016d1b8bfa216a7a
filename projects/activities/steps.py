"""What people do with steps: tick, skip, move, add their own. A generated step gets its row when touched."""

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone

from projects.models import Person, Project, Step
from projects.planning import plan_project
from projects.planning.plan import PlannedStep
from projects.planning.stages import stages
from projects.planning.steps import OWN

from . import lay_cutting, learning, revising


class StepGone(LookupError):
    """Neither the plan nor the project's rows hold this step."""


Tell = Callable[[lay_cutting.Booked], object]
"""Is told what became of a panel and of the length it lies on."""


@transaction.atomic
def tick(*, project: Project, key: str, person: Person, now: datetime, tell: Tell | None = None) -> Step:
    """Done. Ticking the step that cuts a panel books it as cut, with its cloth. Ticked already: nothing
    changes."""
    step = _row(project, key)
    if _cuts(step) and step.panel.cut_at is None:
        _told(lay_cutting.mark_cut(panel=step.panel, person=person, now=now), tell)
    if step.state == "done":
        return step
    learning.follow(step.pk)
    return _save(step, state="done", reason="", done_at=now, done_by=person)


@transaction.atomic
def untick(
    *,
    project: Project,
    key: str,
    person: Person | None = None,
    now: datetime | None = None,
    tell: Tell | None = None,
) -> Step:
    """To do again, whether done or skipped; an unticked cut is no longer booked, and its cloth goes back."""
    step = _row(project, key)
    if _cuts(step) and step.panel.cut_at is not None:
        _told(lay_cutting.mark_uncut(panel=step.panel, person=person, now=now or timezone.now()), tell)
    if step.state == "open":
        return step
    learning.follow(step.pk)
    return _save(step, state="open", reason="", done_at=None, done_by=None)


def _told(booked: lay_cutting.Booked, tell: Tell | None) -> None:
    if tell is not None:
        tell(booked)


@transaction.atomic
def skip(*, project: Project, key: str, reason: str, person: Person, now: datetime) -> Step:
    """Not to be done, and why. Raises ValidationError without a reason."""
    reason = reason.strip()
    if not reason:
        raise ValidationError({"reason": "Say in a few words why it is skipped."})
    if "\x00" in reason:
        raise ValidationError({"reason": "There is a character in it that can't be kept. Type it again."})
    step = _row(project, key)
    if step.state == "done":
        raise ValidationError("This step is ticked as done. Untick it first, then skip it.")
    step.reason = reason
    step.clean_fields(exclude=["project", "panel", "done_by"])
    return _save(step, state="skipped", reason=reason, done_at=now, done_by=person)


@transaction.atomic
def move(*, project: Project, key: str, up: bool) -> Step | None:
    """One place up or down among the steps of the project; None when it stands at that end already."""
    steps = plan_project(project).steps
    at = _index(steps, key)
    other = at - 1 if up else at + 1
    if not 0 <= other < len(steps):
        return None
    beyond = other - 1 if up else other + 1
    there = steps[other].place
    edge = steps[beyond].place if 0 <= beyond < len(steps) else there + (-1.0 if up else 1.0)
    return _save(_row(project, key, steps), place=_between(project, steps, there, edge, other, up))


def _between(
    project: Project, steps: tuple[PlannedStep, ...], there: float, edge: float, other: int, up: bool
) -> float:
    """Halfway between two neighbours; where no number is left between them, all are given room first."""
    middle = (there + edge) / 2
    if middle not in (there, edge):
        return middle
    for number, step in enumerate(steps):
        _save(_row(project, step.key, steps), place=float(number))
    return other - 0.5 if up else other + 0.5


@transaction.atomic
def add_own(
    *,
    project: Project,
    title: str,
    stage: str,
    detail: str = "",
    minutes: Decimal | None = None,
    after: str = "",
) -> Step:
    """A step of one's own, after the step with the key ``after`` or at the end of its stage."""
    steps = plan_project(project).steps
    step = Step(project=project, title=title.strip(), stage=_stage(stage), detail=detail, minutes=minutes)
    step.place = _place_after(steps, after or _last_of(steps, stage))
    step.full_clean()
    step.save()
    return step


def _last_of(steps: tuple[PlannedStep, ...], stage: str) -> str:
    """The last step of a stage, or of the nearest stage before it that has any."""
    order = [key for key, _ in stages()]
    before = order[: order.index(stage) + 1] if stage in order else order
    found = [step.key for step in steps if step.stage in before]
    here = [step.key for step in steps if step.stage == stage]
    return (here or found or [""])[-1]


def _place_after(steps: tuple[PlannedStep, ...], key: str) -> float:
    if not steps:
        return 0.0
    at = next((i for i, step in enumerate(steps) if step.key == key), None)
    if at is None:
        return steps[0].place - 1.0
    if at == len(steps) - 1:
        return steps[at].place + 1.0
    return (steps[at].place + steps[at + 1].place) / 2


def _stage(stage: str) -> str:
    if stage not in dict(stages()):
        raise ValidationError({"stage": "Choose one of the stages."})
    return stage


@transaction.atomic
def change_own(step: Step, *, revision: int, values: dict[str, Any]) -> Step:
    """Change one's own step. Raises Stale when somebody saved first."""
    _own_only(step)
    if values.get("stage", step.stage) != step.stage:
        _stage(values["stage"])
    return revising.save_changes(step, revision=revision, changes=values)


@transaction.atomic
def remove_own(step: Step, *, now: datetime) -> Step:
    """Take one's own step out; ``restore_own`` brings it back. Doing it twice is no mistake."""
    _own_only(step)
    return step if step.removed_at else _save(step, removed_at=now)


@transaction.atomic
def restore_own(step: Step) -> Step:
    _own_only(step)
    return _save(step, removed_at=None)


def _own_only(step: Step) -> None:
    if step.key is not None:
        raise ValidationError("This step comes from the plan: skip it with a reason instead.")


def _cuts(step: Step) -> bool:
    return step.panel_id is not None and step.key is not None and ":cut:" in step.key


def row_for(*, project: Project, key: str) -> Step:
    """The row of a step, made when nobody touched it yet: for logging time on it. Raises StepGone."""
    with transaction.atomic():
        return _row(project, key)


def _row(project: Project, key: str, steps: tuple[PlannedStep, ...] | None = None) -> Step:
    """The step's row, locked; a generated step that has none is given one with the plan's words."""
    found = _find(project, key)
    if found is not None:
        return found
    if key.startswith(OWN):
        raise StepGone(key)
    steps = plan_project(project).steps if steps is None else steps
    planned = steps[_index(steps, key)]
    made, _ = Step.objects.get_or_create(project=project, key=key, defaults=_words(planned))
    return made


def look_up(*, project: Project, key: str) -> tuple[Step | None, str]:
    """A step's row, where somebody touched it, and what the step is called. Raises StepGone."""
    found = _known(project, key).first()
    if found is not None:
        return found, found.title
    steps = plan_project(project).steps
    return None, steps[_index(steps, key)].title


def _find(project: Project, key: str) -> Step | None:
    return _known(project, key).select_for_update(of=("self",)).select_related("panel").first()


def _known(project: Project, key: str) -> QuerySet[Step]:
    """The row of a step, if it has one."""
    rows = Step.objects.filter(project=project)
    if not key.startswith(OWN):
        return rows.filter(key=key) if key and "\x00" not in key else rows.none()
    number = key.removeprefix(OWN)
    return rows.filter(pk=int(number), key=None) if number.isdecimal() and len(number) < 19 else rows.none()


def _index(steps: tuple[PlannedStep, ...], key: str) -> int:
    for at, step in enumerate(steps):
        if step.key == key:
            return at
    raise StepGone(key)


def _words(planned: PlannedStep) -> dict[str, Any]:
    return {
        "panel_id": planned.panel_id,
        "stage": planned.stage,
        "title": planned.title[:300],
        "detail": planned.detail[:2000],
        "minutes": planned.minutes,
    }


def _save(step: Step, **changes: Any) -> Step:
    for name, value in changes.items():
        setattr(step, name, value)
    Step.objects.filter(pk=step.pk).update(**changes, revision=F("revision") + 1)
    step.revision += 1
    return step
