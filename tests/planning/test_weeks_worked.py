"""The share of hours that go into projects is learned on days on which any project had work left."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.calc.promise import Share
from projects.calc.working_days import Worker
from projects.models import LabourLog, Person, Project
from projects.planning.promises import calendar_on, look_ahead
from projects.planning.weeks_worked import learned_share
from tests import make

TODAY = date(2026, 3, 2)
LAST_WEEK = TODAY - timedelta(days=7)
pytestmark = pytest.mark.django_db


@pytest.fixture
def worker(maker: Person) -> Worker:
    make.week_hours(maker)
    return calendar_on(TODAY).workers[0]


def worked(who: Person, project: Project, days: int, minutes: int, monday: date = LAST_WEEK) -> None:
    for day in range(days):
        make.log(who, project, date=monday + timedelta(days=day), minutes=minutes)


def shape(project: Project, **values: Any) -> Project:
    Project.objects.filter(pk=project.pk).update(**values)
    return project


def share(worker: Worker, *nothing_left: int) -> Share:
    return learned_share([worker], TODAY, nothing_left)


def in_hand(since: date, **values: Any) -> Project:
    return shape(make.project(state="in_hand"), in_hand_from=since, **values)


def test_a_week_that_ran_out_of_work_makes_nobody_slower(maker: Person, worker: Worker) -> None:
    coat = in_hand(LAST_WEEK - timedelta(days=9))
    worked(maker, coat, 4, sum(worker.week[:5]) // 5)
    slow = share(worker)
    shape(coat, state="finished")
    found = share(worker)
    assert found.mean > slow.mean + 0.02
    assert abs(found.mean - 1) < 0.001 and found.weeks == 1


def test_in_hand_with_nothing_left_is_over_with_the_last_hours_or_tick(maker: Person, worker: Worker) -> None:
    coat = in_hand(LAST_WEEK - timedelta(days=9))
    worked(maker, coat, 3, sum(worker.week[:5]) // 5)
    assert share(worker, coat.pk).weeks == 0, "two whole days are too little of a week"
    at = datetime.combine(LAST_WEEK + timedelta(days=4), time(12), UTC)
    make.step(coat, key="k", state="done", done_at=at)
    ticked = share(worker, coat.pk)
    assert ticked.weeks == 1 and ticked.mean < 1, "work was left until Friday, and hours fell short"


def test_what_waited_untouched_in_hand_counts_against_it(maker: Person, worker: Worker) -> None:
    worked(maker, in_hand(LAST_WEEK - timedelta(days=9), state="finished"), 4, 300)
    alone = share(worker)
    in_hand(LAST_WEEK - timedelta(days=9))
    assert share(worker).mean < alone.mean


def test_before_it_was_kept_a_project_counts_from_when_it_was_written_down(
    maker: Person, worker: Worker
) -> None:
    first = LAST_WEEK + timedelta(days=3)
    coat = shape(make.project(state="in_hand"), in_hand_from=None)
    worked(maker, coat, 1, 300, first)
    assert share(worker).weeks == 0, "in hand since Thursday"
    long_ago = datetime.combine(LAST_WEEK - timedelta(days=20), time(12), UTC)
    shape(coat, created_at=long_ago)
    assert share(worker).weeks == 1


def test_deleted_and_waiting_projects_end_with_their_last_hours(maker: Person, worker: Worker) -> None:
    coat = in_hand(LAST_WEEK - timedelta(days=9))
    worked(maker, coat, 4, 300)
    going_on = share(worker)
    gone = {"state": "in_hand", "deleted_at": datetime(2026, 3, 1, tzinfo=UTC)}
    for values in ({"state": "waiting"}, gone):
        shape(coat, **values)
        assert share(worker).mean > going_on.mean, values


def test_idle_weeks_give_no_later_dates(maker: Person, worker: Worker) -> None:
    """Two studios as quick as one another, one with work for three days a week: the same date."""

    def promised(days: int) -> date:
        Project.objects.all().update(deleted_at=datetime(2026, 3, 1, tzinfo=UTC))
        for week in range(1, 7):
            monday = TODAY - timedelta(days=7 * week)
            coat = in_hand(monday - timedelta(days=1), state="finished")
            worked(maker, coat, days, 240, monday)
        found = look_ahead([], today=TODAY).promise(6_000)
        assert found and found.safe
        LabourLog.objects.all().delete()
        return found.safe

    idle, busy = promised(4), promised(5)
    assert abs((idle - busy).days) <= 1


def test_three_queries_however_many_projects(maker: Person, worker: Worker) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as captured:
            share(worker)
        return len(captured)

    worked(maker, in_hand(LAST_WEEK), 2, 100)
    assert asked() == 3
    for n in range(5):
        coat = in_hand(LAST_WEEK, state="finished")
        worked(maker, coat, 2, 100)
        make.step(coat, key=f"k{n}", state="done", done_at=datetime(2026, 2, 25, 12, tzinfo=UTC))
    assert asked() == 3
    assert learned_share([], TODAY, ()) == Share()
