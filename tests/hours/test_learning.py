"""Finished steps teach how long work takes: what is kept of each, and the rates worked out from them."""

import threading
from collections.abc import Callable
from decimal import Decimal
from importlib import import_module
from io import StringIO
from typing import Any

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from projects.activities import learning, logs, steps, workroom
from projects.models import LabourLog, LearnedRate, Person, Project, StepTime
from projects.planning import plan_project
from projects.planning.learned_rates import base_minutes, minutes_of, rates_for, work_of
from projects.planning.plan import PlannedStep
from tests import make

Committed = Callable[..., Any]


@pytest.fixture
def project(maker: Person) -> Project:
    found = make.project()
    make.piece(found, count=4, fabric=make.fabric(), version=make.version())
    return found


@pytest.fixture
def committed(django_capture_on_commit_callbacks: Any) -> Committed:
    """Does something and all that follows once it is safe."""

    def run(do: Callable[..., Any], **values: Any) -> Any:
        with django_capture_on_commit_callbacks(execute=True):
            return do(**values)

    return run


def of_kind(project: Project, kind: str) -> list[PlannedStep]:
    return [step for step in plan_project(project).steps if step.kind == kind]


def log(project: Project, step: PlannedStep, person: Person, minutes: int, **values: Any) -> LabourLog:
    row = steps.row_for(project=project, key=step.key)
    return logs.log_by_hand(
        person=person, entered_by=person, project=project, stage=row.stage, step=row,
        on=timezone.localdate(), minutes=minutes, **values,
    )  # fmt: skip


def tick(project: Project, step: PlannedStep, person: Person) -> None:
    steps.tick(project=project, key=step.key, person=person, now=timezone.now())


def test_a_ticked_step_with_hours_moves_the_plan_towards_them(
    project: Project, maker: Person, committed: Committed
) -> None:
    first, second = of_kind(project, "sew")[:2]
    before = plan_project(project)
    log(project, first, maker, int(first.minutes * 2))
    committed(tick, project=project, step=first, person=maker)
    row = StepTime.objects.get()
    assert (row.person, row.minutes, row.technique, row.repeat) == (maker, int(first.minutes * 2), "tucks", 1)
    assert abs(row.planned - first.minutes) < Decimal("0.05")
    after = plan_project(project)
    assert second.minutes < after.step(second.key).minutes < 2 * second.minutes
    assert after.minutes > before.minutes
    mark = of_kind(project, "mark")[0]
    assert mark.minutes == before.step(mark.key).minutes, "marking taught nothing"
    texture = next(stage for stage in after.budget if stage.stage == "texture")
    assert not texture.starting and next(s for s in after.budget if s.stage == "mark").starting


def test_many_steps_bring_the_rate_to_what_they_took(
    project: Project, maker: Person, committed: Committed
) -> None:
    version, cloth = make.version(), make.fabric("Lawn")
    for _ in range(6):
        other = make.project()
        make.piece(other, count=3, fabric=cloth, version=version)
        for step in of_kind(other, "sew"):
            planned = base_minutes(work_of(step), {})
            log(other, step, maker, round(planned * Decimal("1.5")))
            committed(tick, project=other, step=step, person=maker)
    last = of_kind(project, "sew")[-1]
    assert Decimal("1.25") < last.minutes / base_minutes(work_of(last), {}) < Decimal("1.55")
    assert rates_for().steps("tucks", "tucks") == 18
    assert minutes_of(last, rates_for(maker.pk)) == pytest.approx(last.minutes, rel=Decimal("0.1"))
    assert sorted(StepTime.objects.values_list("repeat", flat=True)) == sorted([1, 2, 3] * 6)


def test_rework_removed_logs_and_steps_without_hours_teach_nothing(
    project: Project, maker: Person, committed: Committed
) -> None:
    first, second, third = of_kind(project, "sew")[:3]
    log(project, first, maker, 200, rework=True)
    logs.remove(log=log(project, second, maker, 200), by=maker, now=timezone.now())
    for step in (first, second, third):
        committed(tick, project=project, step=step, person=maker)
    assert not StepTime.objects.exists() and not LearnedRate.objects.exists()


def test_unticking_takes_back_what_a_step_taught(
    project: Project, maker: Person, committed: Committed
) -> None:
    first, before = of_kind(project, "sew")[0], plan_project(project)
    log(project, first, maker, 300)
    committed(tick, project=project, step=first, person=maker)
    assert LearnedRate.objects.exists()
    committed(steps.untick, project=project, key=first.key)
    assert not StepTime.objects.exists() and not LearnedRate.objects.exists()
    assert plan_project(project).minutes == before.minutes


def test_a_log_changed_later_teaches_again(project: Project, maker: Person, committed: Committed) -> None:
    first = of_kind(project, "sew")[0]
    row = log(project, first, maker, 300)
    committed(tick, project=project, step=first, person=maker)
    slow, planned = rates_for()["tucks"], StepTime.objects.get().planned
    changes = {"minutes": 30}
    committed(logs.change, log=row, revision=row.revision, changes=changes, by=maker, reason="typed wrong")
    kept = StepTime.objects.get()
    assert (kept.minutes, kept.planned) == (30, planned)
    assert rates_for()["tucks"] < slow


def test_two_people_on_one_step_share_what_was_planned(
    project: Project, maker: Person, committed: Committed
) -> None:
    other = make.person()
    first = of_kind(project, "sew")[0]
    log(project, first, maker, 60)
    log(project, first, other, 30)
    committed(tick, project=project, step=first, person=maker)
    rows = {row.person_id: row for row in StepTime.objects.all()}
    assert rows[maker.pk].minutes == 60 and rows[other.pk].minutes == 30
    assert {row.of_minutes for row in rows.values()} == {90}
    assert all(abs(row.planned - first.minutes) < Decimal("0.05") for row in rows.values())
    alone, together = rates_for()["tucks"], rates_for(maker.pk)["tucks"]
    assert together == pytest.approx(alone, rel=Decimal("0.05")), "both worked at the same pace"


@pytest.mark.parametrize(("share", "teaches"), [("0.01", False), ("0.09", False), ("0.2", True)])
def test_a_step_done_in_next_to_no_time_teaches_nothing(
    project: Project, maker: Person, committed: Committed, share: str, teaches: bool
) -> None:
    first = of_kind(project, "sew")[0]
    log(project, first, maker, max(1, int(first.minutes * Decimal(share))))
    committed(tick, project=project, step=first, person=maker)
    assert StepTime.objects.exists() == LearnedRate.objects.exists() == teaches


def changed_four_times(log: LabourLog, committed: Committed) -> list[tuple[Decimal, dict[str, str]]]:
    """What is kept of the whole step after each change of a log by a minute."""
    found = []
    for _ in range(4):
        log.refresh_from_db()
        changes = {"minutes": (log.minutes or 0) + 1}
        committed(logs.change, log=log, revision=log.revision, changes=changes)
        row = StepTime.objects.order_by("pk")[0]
        found.append((row.planned, row.work))
    return found


def test_hours_that_came_with_a_file_never_shrink_what_a_step_was_planned_to_take(
    project: Project, maker: Person, committed: Committed
) -> None:
    first = of_kind(project, "sew")[0]
    own = log(project, first, maker, 60)
    LabourLog.objects.create(
        worker="Marta", project=project, stage=own.stage, step=own.step, date=own.date, minutes=60
    )
    committed(tick, project=project, step=first, person=maker)
    row = StepTime.objects.get()
    rate = rates_for()["tucks"]
    assert (row.minutes, row.of_minutes) == (60, 120) and abs(row.planned - first.minutes) < Decimal("0.05")
    assert changed_four_times(own, committed) == [(row.planned, row.work)] * 4
    assert rates_for()["tucks"] == pytest.approx(rate, rel=Decimal("0.05"))


def test_a_tiny_share_does_not_wear_away_the_work_of_a_step(
    project: Project, maker: Person, committed: Committed
) -> None:
    first = of_kind(project, "sew")[0]
    log(project, first, maker, 1)
    long = log(project, first, make.person(), 1400)
    committed(tick, project=project, step=first, person=maker)
    row = StepTime.objects.order_by("pk")[0]
    assert changed_four_times(long, committed) == [(row.planned, row.work)] * 4


def test_shares_kept_by_an_earlier_version_become_whole_steps(
    project: Project, maker: Person, committed: Committed
) -> None:
    first = of_kind(project, "sew")[0]
    log(project, first, maker, 60)
    log(project, first, make.person(), 30)
    committed(tick, project=project, step=first, person=maker)
    figures = ("minutes", "of_minutes", "planned", "technique")
    whole = list(StepTime.objects.order_by("pk").values_list(*figures))
    work = StepTime.objects.order_by("pk")[0].work
    for row in StepTime.objects.all():
        row.work = {driver: str(Decimal(count) * row.minutes / 90) for driver, count in work.items()}
        row.planned, row.of_minutes = row.planned * row.minutes / 90, 1
        row.save()
    import_module("projects.migrations.0012_whole_steps").make_whole(apps, None)
    found = list(StepTime.objects.order_by("pk").values_list(*figures))
    assert [row[:2] for row in found] == [row[:2] for row in whole]
    assert all(abs(a[2] - b[2]) <= Decimal("0.02") for a, b in zip(found, whole, strict=True))
    for driver, count in StepTime.objects.order_by("pk")[0].work.items():
        assert Decimal(count) == pytest.approx(Decimal(work[driver]), rel=Decimal("1e-9"))


def test_a_step_is_planned_before_anything_is_locked(
    project: Project, maker: Person, committed: Committed, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = of_kind(project, "sew")[0]
    log(project, first, maker, 60)
    depth, found = len(connection.savepoint_ids), []

    def plan(given: Project) -> Any:
        found.append(len(connection.savepoint_ids) - depth)
        return plan_project(given)

    monkeypatch.setattr(learning, "plan_project", plan)
    committed(tick, project=project, step=first, person=maker)
    assert found == [0]


def test_learning_starts_from_the_studios_own_rate(
    project: Project, maker: Person, committed: Committed
) -> None:
    first = of_kind(project, "mark")[0]
    log(project, first, maker, round(first.minutes))
    committed(tick, project=project, step=first, person=maker)
    near = rates_for()["marks"]
    today = timezone.localdate()
    committed(workroom.set_rate, driver="marks", minutes=Decimal(4), from_date=today)
    assert rates_for()["marks"] > near, "the own figure counts"
    assert rates_for()["marks"] < 4, "and the hours still pull it down"


def test_the_command_comes_to_the_same(project: Project, maker: Person, committed: Committed) -> None:
    for step in of_kind(project, "sew")[:3]:
        log(project, step, maker, 100)
        committed(tick, project=project, step=step, person=maker)
    figures = ("person_id", "technique", "driver", "mean", "variance", "steps")
    kept = sorted(LearnedRate.objects.values_list(*figures), key=str)
    LearnedRate.objects.all().delete()
    StepTime.objects.all().delete()
    said = StringIO()
    call_command("learn_rates", stdout=said)
    assert sorted(LearnedRate.objects.values_list(*figures), key=str) == kept
    assert said.getvalue() == "3 finished steps with hours; 3 differed from what was kept.\n"


def test_learning_asks_as_often_after_many_steps_as_after_few(project: Project, maker: Person) -> None:
    make.piece(project, name="Back", count=10, fabric=make.fabric("Lawn"), version=make.version())
    asked = []
    for at, step in enumerate(of_kind(project, "sew")[:10]):
        log(project, step, maker, 100 + at)
        tick(project, step, maker)
        row = steps.row_for(project=project, key=step.key)
        with CaptureQueriesContext(connection) as captured:
            learning.take_up(row.pk)
        asked.append(len(captured))
    assert asked[-1] == asked[2], asked


@pytest.mark.django_db(transaction=True)
def test_two_ticks_at_once_both_teach(project: Project, maker: Person) -> None:
    chosen = of_kind(project, "sew")[:2]
    for step in chosen:
        log(project, step, maker, 100)
    gate, errors = threading.Barrier(2), []

    def one(step: PlannedStep) -> None:
        gate.wait()
        try:
            tick(project, step, maker)
        except Exception as error:
            errors.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(step,)) for step in chosen]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not errors
    assert StepTime.objects.count() == 2 and rates_for().steps("tucks", "tucks") == 2


def test_repeats_are_planned_by_the_learning_curve_where_there_is_one(project: Project) -> None:
    before = of_kind(project, "sew")
    LearnedRate.objects.create(driver="curve", technique="texture", mean=0.8, variance=0, steps=20)
    plan = plan_project(project)
    after = [step for step in plan.steps if step.kind == "sew"]
    shares = [now.minutes / was.minutes for now, was in zip(after, before, strict=True)]
    assert shares[0] == 1 and abs(shares[1] - Decimal("0.8")) < Decimal("0.01")
    assert abs(shares[3] - Decimal("0.64")) < Decimal("0.01")
    assert all(minutes_of(step, rates_for()) == step.minutes for step in after)
    assert sum(s.minutes for s in plan.steps if s.stage == "texture") == next(
        stage.planned for stage in plan.budget if stage.stage == "texture"
    )
    marks = [step for step in plan.steps if step.kind == "mark"]
    assert all(step.pace == 1 for step in marks)


def test_a_curve_that_hours_show_is_kept(project: Project, maker: Person, committed: Committed) -> None:
    version, cloth = make.version(), make.fabric("Lawn")
    for slow in (80, 95, 110, 90):
        other = make.project()
        make.piece(other, count=8, fabric=cloth, version=version)
        for at, step in enumerate(of_kind(other, "sew"), 1):
            log(other, step, maker, round(slow * at**-0.4))
            tick(other, step, maker)
    learning.learn_all()
    row = LearnedRate.objects.get(driver="curve")
    assert row.technique == "texture" and 0.6 < row.mean < 0.95
    assert rates_for().curves == {"texture": row.mean}
