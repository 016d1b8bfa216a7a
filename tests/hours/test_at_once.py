"""Two taps on start at once are one timer, and two stops log once, on every database."""

import threading
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection

from projects.activities import timing
from projects.models import LabourLog, LabourTotal
from tests import make

LONDON = ZoneInfo("Europe/London")
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
TAPS = 6


def at_once(do) -> list[object]:
    """What each of ``TAPS`` threads got from ``do(number)``, all let go together; an error fails the test."""
    gate, found = threading.Barrier(TAPS), []

    def tap(number: int) -> None:
        gate.wait()
        try:
            found.append(do(number))
        except Exception as error:
            found.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=tap, args=(number,)) for number in range(TAPS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not [error for error in found if isinstance(error, Exception)], found
    return found


@pytest.mark.django_db(transaction=True)
def test_taps_on_start_at_once_are_one_timer(maker):
    coat = make.project()
    got = at_once(lambda _: timing.start(person=maker, project=coat, now=NOON, zone=LONDON).pk)
    assert len(set(got)) == 1
    assert LabourLog.objects.get().pk == got[0]


@pytest.mark.django_db(transaction=True)
def test_starts_of_different_work_at_once_leave_one_timer_running(maker):
    projects = [make.project(f"Piece {number}") for number in range(TAPS)]
    at_once(lambda n: timing.start(person=maker, project=projects[n], now=NOON, zone=LONDON))
    assert LabourLog.objects.filter(person=maker, minutes=None).count() == 1


@pytest.mark.django_db(transaction=True)
def test_stops_at_once_log_the_minutes_once(maker):
    timing.start(person=maker, project=make.project(), now=NOON, zone=LONDON)
    at_once(lambda _: timing.stop(person=maker, now=NOON + timedelta(minutes=40)))
    assert LabourTotal.objects.get().minutes == 40


@pytest.mark.django_db(transaction=True)
def test_signs_after_a_silence_at_once_begin_one_log(maker):
    timing.start(person=maker, project=make.project(), now=NOON, zone=LONDON)
    timing.seen(person=maker, now=NOON + timedelta(minutes=5))
    at_once(lambda n: timing.seen(person=maker, now=NOON + timedelta(hours=5, seconds=n)))
    assert LabourLog.objects.filter(minutes=None).count() == 1
    assert LabourLog.objects.count() == 2
