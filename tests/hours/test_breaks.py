"""A quiet reminder of a break, which can be put off, set, and turned off."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from projects.activities import breaks, timing

LONDON = ZoneInfo("Europe/London")
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
WORDS = "stretch your back"


def begin(person, minutes=0, now=NOON, **values):
    at = now + timedelta(minutes=minutes)
    return timing.start(person=person, project=None, now=at, zone=LONDON, **values)


def test_work_without_a_pause_is_counted_over_what_it_was_logged_on(maker):
    begin(maker)
    begin(maker, 20, stage="cut")
    timing.stop(person=maker, now=NOON + timedelta(minutes=30))
    log = begin(maker, 34, stage="mark")
    assert breaks.sitting_since(log) == NOON
    assert breaks.due_at(log, maker) == NOON + timedelta(minutes=50)


def test_five_minutes_are_a_pause(maker):
    begin(maker)
    timing.stop(person=maker, now=NOON + timedelta(minutes=30))
    log = begin(maker, 35)
    assert breaks.sitting_since(log) == log.started_at


def test_others_work_is_not_counted(maker, owner):
    begin(owner)
    timing.stop(person=owner, now=NOON + timedelta(minutes=30))
    log = begin(maker, 30)
    assert breaks.sitting_since(log) == log.started_at


def shown(page, address="/") -> str:
    return page.get(address).content.decode()



@pytest.mark.parametrize("address", ["/", "/hours/"])
def test_the_page_reminds_when_it_is_time(maker_page, maker, address):
    begin(maker, now=timezone.now() - timedelta(minutes=40))
    assert "without a break" not in shown(maker_page, address)
    timing.stop(person=maker, now=timezone.now() - timedelta(minutes=20))
    begin(maker, now=timezone.now() - timedelta(minutes=60))
    assert "1 h without a break" in shown(maker_page, address)


def test_it_can_be_put_off(maker_page, maker):
    begin(maker, now=timezone.now() - timedelta(minutes=60))
    assert maker_page.post("/hours/break/", {"back": "/"})["Location"] == "/"
    assert "without a break" not in shown(maker_page)


def test_it_can_be_set_and_turned_off(maker_page, maker):
    begin(maker, now=timezone.now() - timedelta(minutes=60))
    maker_page.post("/account/break/", {"break_after": "80"})
    assert "without a break" not in shown(maker_page)
    assert WORDS in shown(maker_page)
    maker_page.post("/account/break/", {"break_after": ""})
    maker.refresh_from_db()
    assert maker.break_after is None
    assert WORDS not in shown(maker_page)
    for wrong in ("5", "900", "often"):
        answer = maker_page.post("/account/break/", {"break_after": wrong})
        assert answer.status_code == 422
        assert f'value="{wrong}"' in answer.content.decode()
