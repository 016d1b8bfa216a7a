"""The time budget a project begins with is kept, whatever the plan becomes afterwards."""

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date, timedelta
from decimal import Decimal
from importlib import import_module
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.apps import apps
from django.utils import timezone

from projects.activities import bench, first_budgets, logs, projects, steps, timing
from projects.activities.exchange import project_text
from projects.models import LabourRate, Person, Piece, Project, Run
from projects.planning import plan_project
from projects.planning.first_budget import LET_GO, UNKNOWN, FirstBudget, read_budget
from projects.views.project_page import stage_lines
from tests import make

pytestmark = pytest.mark.usefixtures("midday")
ZONE = ZoneInfo("Europe/Berlin")
Committed = Callable[[], AbstractContextManager[Any]]


@pytest.fixture
def committed(django_capture_on_commit_callbacks: Any) -> Committed:
    """What follows a change happens once it is safe."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


@pytest.fixture
def project(maker: Person) -> Project:
    found = make.project()
    make.piece(found, count=4, fabric=make.fabric(), version=make.version())
    return found


def kept(project: Project) -> FirstBudget | None:
    return read_budget(Project.objects.get(pk=project.pk).first_budget)


def log(project: Project, who: Person, **values: Any) -> Any:
    given = {"stage": "cut", "on": date(2026, 3, 2), "minutes": 30, **values}
    return logs.log_by_hand(person=who, entered_by=who, project=project, **given)


def test_the_plan_of_the_first_hours_is_kept_and_stays(
    project: Project, maker: Person, committed: Committed
) -> None:
    before = plan_project(project)
    assert kept(project) is None
    with committed():
        log(project, maker)
    found = kept(project)
    assert found and found.minutes == before.minutes and found.on == timezone.localdate()
    assert sum(found.stages.values()) == before.minutes
    assert found.stages["texture"] == next(s.planned for s in before.budget if s.stage == "texture")
    LabourRate.objects.create(driver="metres_sewn", minutes=Decimal(40), from_date=date(2026, 1, 1))
    with committed():
        log(project, maker)
    assert plan_project(project).minutes != before.minutes
    assert kept(project) == found


def test_a_timer_and_a_run_begin_it_too(maker: Person, committed: Committed) -> None:
    now = timezone.now()
    for begin in ("timer", "run"):
        found = make.project()
        make.piece(found, count=2, fabric=make.fabric(), version=make.version())
        with committed():
            if begin == "timer":
                timing.start(person=maker, project=found, now=now, zone=ZONE)
            else:
                key = next(step.key for step in plan_project(found).steps if step.at_bench)
                fact = {
                    "op": "a3f7c1de-0000-4000-8000-000000000001",
                    "kind": "sewn",
                    "unit": 1,
                    "at": now.isoformat(),
                }
                done = bench.record(project=found, key=key, facts=[fact], person=maker, now=now)
                assert done.new and not done.refused
        assert kept(found), begin


def test_a_slip_leaves_nothing(project: Project, maker: Person, committed: Committed) -> None:
    now = timezone.now()
    with committed():
        timing.start(person=maker, project=project, now=now, zone=ZONE)
    assert kept(project)
    with committed():
        timing.stop(person=maker, now=now + timedelta(seconds=10))
    assert kept(project) is None
    with committed():
        wrong = log(project, maker)
    assert kept(project)
    with committed():
        logs.remove(log=wrong, now=now)
    assert kept(project) is None


def test_the_hours_that_begin_it_do_not_move_it(
    project: Project, maker: Person, committed: Committed
) -> None:
    """A step that is ticked teaches as soon as it has hours; the budget is that of before."""
    step = next(s for s in plan_project(project).steps if s.minutes and s.work)
    with committed():
        row = steps.tick(project=project, key=step.key, person=maker, now=timezone.now())
    before = plan_project(project).minutes
    with committed():
        log(project, maker, stage=step.stage, step=row, minutes=round(step.minutes * 5))
    assert plan_project(project).minutes > before, "these hours teach"
    found = kept(project)
    assert found and found.minutes == before


def test_hours_put_back_bring_their_budget_back(
    project: Project, maker: Person, committed: Committed
) -> None:
    with committed():
        wrong = log(project, maker)
    first = kept(project)
    Piece.objects.filter(project=project).update(count=9)
    with committed():
        logs.remove(log=wrong, now=timezone.now())
    assert kept(project) is None
    file = json.loads(project_text(Project.objects.get(pk=project.pk)))
    assert file["project"]["first_budget"] is None, "no work has begun"
    with committed():
        logs.put_back(log=wrong)
    assert kept(project) == first and first
    with committed():
        logs.remove(log=wrong, now=timezone.now())
    with committed():
        log(project, maker)
    found = kept(project)
    assert found and found.minutes == plan_project(project).minutes > first.minutes, "begun anew"
    assert LET_GO not in (Project.objects.get(pk=project.pk).first_budget or {})


def test_removed_hours_did_not_begin_it_before_budgets_were_kept(project: Project, maker: Person) -> None:
    migration = import_module("projects.migrations.0014_first_budgets")
    hours = make.log(maker, project, minutes=20)
    logs.remove(log=hours, now=timezone.now())
    migration.work_began_before(apps, None)
    assert Project.objects.get(pk=project.pk).first_budget is None
    logs.put_back(log=hours)
    migration.work_began_before(apps, None)
    assert Project.objects.get(pk=project.pk).first_budget == UNKNOWN


def test_what_was_planned_at_the_start_sums_to_its_total(project: Project, maker: Person) -> None:
    """Also what a stage had that nothing is planned in any more."""
    first = FirstBudget(date(2026, 3, 2), Decimal(150), {"cut": Decimal(60), "gone": Decimal(90)})
    lines = stage_lines(plan_project(project), project, maker, None, first)
    assert sum(line.first for line in lines) == first.minutes
    assert [(line.title, line.first) for line in lines][-1] == ("No longer planned", 90)


def test_hours_moved_to_another_project_begin_that_one(
    project: Project, maker: Person, committed: Committed
) -> None:
    other = make.project()
    make.piece(other, fabric=make.fabric(), version=make.version())
    with committed():
        wrong = log(project, maker)
    with committed():
        logs.change(log=wrong, revision=wrong.revision, changes={"project": other})
    assert kept(project) is None and kept(other)


def test_while_nothing_is_planned_the_next_hours_ask_again(maker: Person, committed: Committed) -> None:
    project = make.project()
    with committed():
        log(project, maker)
    assert Project.objects.get(pk=project.pk).first_budget is None
    make.piece(project, fabric=make.fabric(), version=make.version())
    with committed():
        log(project, maker)
    assert kept(project)


def test_what_was_begun_elsewhere_or_before_has_none(project: Project, maker: Person) -> None:
    came = {"format": 1, "used": False, "came": "2026-03-01", "settings": {}, "rates": {}}
    Project.objects.filter(pk=project.pk).update(own_settings=came)
    first_budgets.settle(project.pk)
    assert Project.objects.get(pk=project.pk).first_budget is None, "no work yet: it may begin here"
    hours = make.log(maker, project, minutes=20)
    type(hours).objects.filter(pk=hours.pk).update(person=None, worker="A cutter")
    first_budgets.settle(project.pk)
    assert Project.objects.get(pk=project.pk).first_budget == UNKNOWN
    make.log(maker, project, minutes=20)
    first_budgets.settle(project.pk)
    assert kept(project) is None


def test_once_kept_it_costs_a_look(
    project: Project, maker: Person, django_assert_num_queries: Any
) -> None:
    Run.objects.create(project=project, key="k")
    first_budgets.settle(project.pk)
    assert kept(project)
    Project.objects.filter(pk=project.pk).update(first_budget=UNKNOWN)
    with django_assert_num_queries(1):
        first_budgets.settle(project.pk)
    first_budgets.settle(0)


@pytest.mark.parametrize(
    "strange",
    [None, {}, {"format": 2}, {"format": 1}, {"format": 1, "on": "soon", "minutes": "3", "stages": {}},
     {"format": 1, "on": "2026-03-02", "minutes": "many", "stages": {}},
     {"format": 1, "on": "2026-03-02", "minutes": "3", "stages": []}],
)  # fmt: skip
def test_what_cannot_be_read_is_none(strange: Any) -> None:
    assert read_budget(strange) is None


def test_since_when_it_is_in_hand_is_kept(maker: Person) -> None:
    today = timezone.localdate()
    begun = projects.create_project(values={"title": "Capelet", "state": "in_hand"}, person=maker)
    asked = projects.create_project(values={"title": "Coat", "state": "asked"}, person=maker)
    assert begun.in_hand_from == today and asked.in_hand_from is None
    Project.objects.filter(pk=begun.pk).update(in_hand_from=date(2026, 1, 5))
    begun = projects.set_state(begun, state="in_hand")
    assert begun.in_hand_from == date(2026, 1, 5), "it was in hand all along"
    assert projects.set_state(begun, state="finished").in_hand_from == date(2026, 1, 5)
    back = projects.set_state(begun, state="in_hand")
    assert back.in_hand_from == date(2026, 1, 5), "finished by mistake, and back the same day"
    assert projects.set_state(begun, state="waiting").in_hand_until == today
    Project.objects.filter(pk=begun.pk).update(in_hand_until=today - timedelta(days=1))
    assert projects.set_state(begun, state="in_hand").in_hand_from == today
    values = {"state": "in_hand"}
    changed = projects.change_project(asked, values=values, revision=asked.revision, person=maker)
    assert changed.in_hand_from == today
