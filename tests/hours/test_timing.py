"""The timer and the log: one timer a person, right minutes, sums that move with the log."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError

from projects.activities import logs, timing
from projects.activities.revising import Stale
from projects.models import LabourLog, LabourTotal
from tests import make

LONDON = ZoneInfo("Europe/London")
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def begin(person, project=None, now=NOON, **values):
    return timing.start(person=person, project=project, now=now, zone=LONDON, **values)


def total(project) -> int:
    return sum(LabourTotal.objects.filter(project=project).values_list("minutes", flat=True))


def test_a_timer_logs_its_minutes_to_the_project(maker):
    coat = make.project()
    begin(maker, coat, stage="texture")
    log = timing.stop(person=maker, now=NOON + timedelta(minutes=42, seconds=31))
    assert (log.minutes, total(coat)) == (43, 43)


def test_the_same_start_again_leaves_the_timer_as_it_is(maker):
    coat = make.project()
    first = begin(maker, coat)
    again = begin(maker, coat, now=NOON + timedelta(minutes=5))
    assert first.pk == again.pk
    assert LabourLog.objects.get().started_at == NOON


def test_another_start_logs_the_timer_that_ran(maker):
    coat, cape = make.project(), make.project("Capelet")
    begin(maker, coat)
    begin(maker, cape, now=NOON + timedelta(minutes=10))
    assert total(coat) == 10
    assert timing.running(maker).project == cape


def test_the_database_itself_refuses_a_second_open_timer(maker):
    begin(maker)
    with pytest.raises(IntegrityError):
        LabourLog.objects.create(person=maker, entered_by=maker, date=date(2026, 3, 2), started_at=NOON)


def test_a_race_lost_to_another_tap_gives_the_timer_that_won(maker, monkeypatch):
    coat = make.project()
    winner = begin(maker, coat)
    seen = iter([None, winner])
    monkeypatch.setattr(timing, "running", lambda person: next(seen))
    monkeypatch.setattr(timing, "stop", lambda **_: None)
    assert begin(maker, coat).pk == winner.pk


def test_stopping_when_nothing_runs_changes_nothing(maker):
    assert timing.stop(person=maker, now=NOON) is None
    assert not LabourLog.objects.exists()


def test_the_night_the_clocks_change_counts_real_minutes(maker):
    start = datetime(2026, 3, 29, 0, 30, tzinfo=UTC)
    begin(maker, now=start)
    assert timing.stop(person=maker, now=start + timedelta(hours=2)).minutes == 120


def test_a_log_over_midnight_belongs_to_the_day_it_began(maker):
    late = datetime(2026, 6, 1, 22, 50, tzinfo=UTC)  # 23:50 in London
    begin(maker, now=late)
    log = timing.stop(person=maker, now=late + timedelta(minutes=40))
    assert (log.date, log.minutes) == (date(2026, 6, 1), 40)


def test_a_clock_that_was_put_back_never_gives_negative_minutes(maker):
    begin(maker)
    assert timing.stop(person=maker, now=NOON - timedelta(hours=1)).minutes == 0


def log_by_hand(person, project, minutes=60, stage="texture"):
    return logs.log_by_hand(
        person=person, entered_by=person, project=project, stage=stage, on=date(2026, 3, 2), minutes=minutes
    )


def test_changing_a_log_moves_its_minutes_between_sums(maker):
    coat, cape = make.project(), make.project("Capelet")
    log = log_by_hand(maker, coat)
    logs.change(log=log, revision=1, changes={"project": cape, "minutes": 45})
    assert (total(coat), total(cape)) == (0, 45)


def test_a_stale_change_is_refused_and_the_sums_stay(maker):
    coat = make.project()
    log = log_by_hand(maker, coat)
    logs.change(log=log, revision=1, changes={"minutes": 45})
    with pytest.raises(Stale):
        logs.change(log=log, revision=1, changes={"minutes": 30})
    assert total(coat) == 45


def test_a_change_that_changes_nothing_keeps_the_revision(maker):
    log = log_by_hand(maker, make.project())
    assert logs.change(log=log, revision=1, changes={"minutes": 60}).revision == 1


def test_removing_and_putting_back_is_counted_once_each(maker):
    coat = make.project()
    log = log_by_hand(maker, coat)
    logs.remove(log=log, now=NOON)
    logs.remove(log=log, now=NOON)
    assert total(coat) == 0
    logs.put_back(log=log)
    logs.put_back(log=log)
    assert total(coat) == 60


def test_time_of_no_project_is_logged_without_a_sum(maker):
    log_by_hand(maker, None)
    assert not LabourTotal.objects.exists()


def test_stored_sums_equal_the_logs_after_any_changes(maker, owner):
    import random

    chance = random.Random(7)
    projects = [make.project(f"Piece {n}") for n in range(3)]
    for _ in range(120):
        rows = list(LabourLog.objects.all())
        pick = chance.choice(rows) if rows else None
        act = chance.randrange(4)
        if pick is None or act == 0:
            log_by_hand(chance.choice([maker, owner]), chance.choice(projects), chance.randrange(1, 90))
        elif act == 1:
            changes = {"minutes": chance.randrange(1, 90), "project": chance.choice(projects)}
            if pick.removed_at is None:
                logs.change(log=pick, revision=pick.revision, changes=changes)
        elif act == 2:
            logs.remove(log=pick, now=NOON)
        else:
            logs.put_back(log=pick)
    for project in projects:
        living = LabourLog.objects.filter(project=project, removed_at=None)
        assert total(project) == sum(living.values_list("minutes", flat=True))


def test_a_removed_log_that_is_changed_stays_out_of_the_sums(maker):
    coat = make.project()
    log = log_by_hand(maker, coat)
    logs.remove(log=log, now=NOON)
    logs.change(log=log, revision=2, changes={"minutes": 45})
    assert total(coat) == 0
    logs.put_back(log=log)
    assert total(coat) == 45


def test_a_log_stays_with_somebody_who_was_switched_off(owner_page, maker):
    log = log_by_hand(maker, make.project())
    type(maker).objects.filter(pk=maker.pk).update(is_active=False)
    page = owner_page.get(f"/hours/{log.pk}/edit/").content.decode()
    assert f'<option value="{maker.pk}" selected>' in page
    data = {"minutes": "45 min", "date": "2026-03-02", "project": log.project_id, "revision": 1}
    data["reason"] = "the kettle was on"
    for extra in ({"person": maker.pk}, {}):
        assert owner_page.post(f"/hours/{log.pk}/edit/", {**data, **extra}).status_code == 303
    log.refresh_from_db()
    assert (log.person, log.minutes) == (maker, 45)


def test_the_night_the_clocks_are_put_back_counts_real_minutes(maker):
    start = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)  # 0:30 in London, summer time
    begin(maker, now=start)
    log = timing.stop(person=maker, now=start + timedelta(hours=2))  # 1:30, no longer summer time
    assert (log.minutes, log.date) == (120, date(2026, 10, 25))


@pytest.mark.parametrize("day", [date(2026, 3, 28), date(2026, 10, 24), date(2026, 6, 1)])
def test_midnight_is_midnight_when_clocks_change_too(maker, day):
    late = datetime(day.year, day.month, day.day, 23, 50, tzinfo=LONDON)
    log = begin(maker, now=late)
    assert timing.asks_from(log, LONDON) - late == timedelta(minutes=30)
    early = datetime(day.year, day.month, day.day, 22, 50, tzinfo=LONDON)
    LabourLog.objects.filter(pk=log.pk).update(started_at=early)
    log.refresh_from_db()
    assert timing.asks_from(log, LONDON) == early + timedelta(minutes=70)
