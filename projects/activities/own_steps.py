"""The studio's own stages, and steps that its projects get: made, changed, placed, removed."""

from secrets import token_hex
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from projects.models import Deletion, OwnStage, Person, StepTemplate
from projects.planning.stages import FIRST, all_stages

from . import deleting, revising


@transaction.atomic
def add_stage(*, title: str, after: str) -> OwnStage:
    """A stage behind another, or before all of them. Raises ValidationError naming the field."""
    row = OwnStage(key=new_key(), title=title.strip(), after=after)
    _check_stage(row)
    row.save()
    return row


def new_key() -> str:
    """What steps and hours name a new stage by."""
    return f"own-{token_hex(4)}"


@transaction.atomic
def change_stage(row: OwnStage, *, revision: int, values: dict[str, Any]) -> OwnStage:
    """Call it otherwise or put it elsewhere; its steps and hours go along. Raises Stale."""
    wanted = OwnStage(pk=row.pk, key=row.key, title=row.title, after=row.after)
    for name, value in values.items():
        setattr(wanted, name, value)
    _check_stage(wanted)
    return revising.save_changes(row, revision=revision, changes=values)


def _check_stage(row: OwnStage) -> None:
    others = [stage for stage in all_stages() if stage.key != row.key]
    if row.after != FIRST and row.after not in {s.key for s in others if not s.gone}:
        raise ValidationError({"after": "Choose a stage it comes after."})
    if row.after in behind(row.key):
        raise ValidationError({"after": "That stage comes after this one; choose another."})
    if row.title.casefold() in {stage.title.casefold() for stage in others if not stage.gone}:
        raise ValidationError({"title": f"There is a stage called {row.title} already."})
    row.full_clean(exclude=["key"], validate_unique=False)


def behind(key: str) -> set[str]:
    """The keys of a stage and of those behind it, at whatever distance: it can't come after them."""
    after = dict(OwnStage.objects.values_list("key", "after"))
    found = {key}
    while more := {one for one, before in after.items() if before in found} - found:
        found |= more
    return found


@transaction.atomic
def remove_stage(row: OwnStage, *, person: Person) -> Deletion:
    """Take a stage away with the steps that projects get in it. What is done or logged in it keeps its
    title, and stages behind it stay where they are."""
    templates = StepTemplate.objects.live().filter(stage=row.key)
    return deleting.delete([row, *templates], what=f"the stage {row.title}", person=person)


@transaction.atomic
def add_template(*, values: dict[str, Any]) -> StepTemplate:
    """A step that every project of a kind gets, behind the others. Raises ValidationError."""
    last = StepTemplate.objects.aggregate(last=Max("order"))["last"]
    row = StepTemplate(**values, order=0 if last is None else last + 1)
    _check_template(row.stage)
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def change_template(row: StepTemplate, *, revision: int, values: dict[str, Any]) -> StepTemplate:
    """Projects have it as changed from now on; what is done keeps the words it had. Raises Stale."""
    if "stage" in values and values["stage"] != row.stage:
        _check_template(values["stage"])
    return revising.save_changes(row, revision=revision, changes=values)


def _check_template(stage: str) -> None:
    if stage not in {known.key for known in all_stages() if not known.gone}:
        raise ValidationError({"stage": "Choose one of the stages."})


@transaction.atomic
def move_template(row: StepTemplate, *, up: bool) -> None:
    """One place up or down among all of them; at its end it stays."""
    rows = list(StepTemplate.objects.live().select_for_update().order_by("order", "pk"))
    at = next((number for number, one in enumerate(rows) if one.pk == row.pk), None)
    if at is None or not 0 <= (to := at - 1 if up else at + 1) < len(rows):
        return
    rows[at], rows[to] = rows[to], rows[at]
    for number, one in enumerate(rows):
        if one.order != number:
            StepTemplate.objects.filter(pk=one.pk).update(order=number)


@transaction.atomic
def remove_template(row: StepTemplate, *, person: Person) -> Deletion:
    """Projects no longer get it; where it is done, skipped or has hours it stays."""
    return deleting.delete([row], what=f"the step {row.title}", person=person)
