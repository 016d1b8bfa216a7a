"""Where a project will end: what is done, what is left, beside its time budget."""

import re
import uuid
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from projects.activities import steps
from projects.calc.labour import format_minutes, total_minutes
from projects.models import BenchFact, Person, Project, Run
from projects.planning import load_rows, plan_rows
from projects.planning.forecasts import Forecast, forecast_of
from projects.planning.plan import PlannedStep
from tests import make


@pytest.fixture
def project(maker: Person) -> Project:
    found = make.project()
    make.piece(found, count=4, fabric=make.fabric(), version=make.version())
    return found


def ends(project: Project) -> Forecast:
    rows = load_rows(project)
    found = forecast_of(rows, plan_rows(rows))
    assert found is not None
    return found


def of_kind(project: Project, kind: str) -> list[PlannedStep]:
    return [step for step in plan_rows(load_rows(project)).steps if step.kind == kind]


def log(project: Project, step: PlannedStep, who: Person, minutes: int) -> None:
    row = steps.row_for(project=project, key=step.key)
    make.log(who, project, step=row, stage=row.stage, minutes=minutes)


def fact(run: Run, kind: str, **values: object) -> None:
    BenchFact.objects.create(run=run, op=uuid.uuid4(), kind=kind, device_at=timezone.now(), **values)


def test_nothing_done_yet_is_all_left(project: Project) -> None:
    found = ends(project)
    assert found.done == 0 and found.near
    assert abs(found.left - found.budget) < found.budget / 10
    assert found.low < found.left < found.high


def test_slow_steps_make_the_rest_longer(project: Project, maker: Person) -> None:
    before = ends(project)
    for step in of_kind(project, "mark"):
        log(project, step, maker, round(step.minutes * 2))
        steps.tick(project=project, key=step.key, person=maker, now=timezone.now())
    found = ends(project)
    marking = sum(s.minutes for s in of_kind(project, "mark"))
    assert found.left > before.left - marking, "the pace so far holds for the rest too"
    assert found.over > 0


def test_units_sewn_at_the_bench_are_done_in_part(project: Project, maker: Person) -> None:
    before, step = ends(project), of_kind(project, "sew")[0]
    run = Run.objects.create(project=project, key=step.key)
    for unit in range(1, 9):
        fact(run, "sewn", unit=unit)
    found = ends(project)
    assert found.left < before.left
    last = BenchFact.objects.latest("pk")
    fact(run, "undo", undoes=last.op)
    assert found.left < ends(project).left < before.left


def test_a_step_begun_by_the_clock_is_never_quite_done(project: Project, maker: Person) -> None:
    step = of_kind(project, "sew")[0]
    before = ends(project)
    log(project, step, maker, 10_000)
    found = ends(project)
    assert found.left > before.left - step.minutes
    assert found.low > 0


def test_skipped_steps_are_neither_left_nor_planned(project: Project, maker: Person) -> None:
    before, step = ends(project), of_kind(project, "sew")[0]
    steps.skip(project=project, key=step.key, reason="Sold plain", person=maker, now=timezone.now())
    found = ends(project)
    assert found.budget < before.budget and found.left < before.left


def test_what_is_left_by_stage_comes_to_the_whole(project: Project, maker: Person) -> None:
    """Medians don't add up exactly, and ranges add up to more than that of the whole."""
    for step in of_kind(project, "mark"):
        log(project, step, maker, round(step.minutes * 2))
        steps.tick(project=project, key=step.key, person=maker, now=timezone.now())
    found = ends(project)
    open_stages = {s.stage for s in plan_rows(load_rows(project)).steps if s.state == "open" and s.minutes}
    assert set(found.stages) == open_stages and "mark" not in open_stages
    assert abs(sum(one.middle for one in found.stages.values()) - found.left) < found.left / 20
    assert sum(one.low for one in found.stages.values()) < found.low
    assert sum(one.high for one in found.stages.values()) > found.high
    planned = {b.stage: b.planned for b in plan_rows(load_rows(project)).budget}
    assert all(one.middle > planned[stage] for stage, one in found.stages.items()), "all at the slower pace"


def test_the_end_is_held_to_the_budget_at_the_start(project: Project, maker: Person) -> None:
    before = ends(project)
    assert before.first is None and before.held_to == before.budget and not before.moved
    kept = {"format": 1, "on": "2026-03-02", "minutes": str(before.budget - 120), "stages": {}}
    Project.objects.filter(pk=project.pk).update(first_budget=kept)
    project.refresh_from_db()
    found = ends(project)
    assert found.moved and found.over == before.over + 120
    assert (found.least, found.most) == (found.done + found.low, found.done + found.high)


def test_none_without_a_plan_or_once_it_is_over(project: Project) -> None:
    rows = load_rows(make.project())
    assert forecast_of(rows, plan_rows(rows)) is None
    project.state = "finished"
    rows = load_rows(project)
    assert forecast_of(rows, plan_rows(rows)) is None


def test_near_the_budget_is_as_planned() -> None:
    found = Forecast(
        0, Decimal(100), Decimal(80), Decimal(130), Decimal(104), Decimal(100), 0.3, 0.1,
        planned=Decimal(100), pace=Decimal(1),
    )  # fmt: skip
    assert found.near and found.over == 4 and found.under == -4


def test_a_likely_end_near_the_budget_is_not_called_within_it(owner_page: Client, project: Project) -> None:
    """It may be a little over; and what is planned is one figure wherever it stands."""
    assert ends(project).near
    page = owner_page.get(f"/projects/{project.pk}/").content.decode()
    assert "about the budget" in page and "within the budget" not in page
    planned = format_minutes(total_minutes([ends(project).budget]))
    text = re.sub(r"<[^>]+>", "", page)
    assert f"as planned {planned})" in text and f"Time budget: {planned}" in text
