"""The pages of hours in a browser: what a timer asks, with and without scripts, wide and narrow."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from projects.activities import logs, pins, timing
from projects.models import LabourLog
from tests import make
from tests.browser import looks_wrong

LONDON = ZoneInfo("Europe/London")


def ago(**values):
    return timezone.now() - timedelta(**values)


def begin(person, **values):
    coat, now = make.project(), ago(**values)
    return timing.start(person=person, project=coat, stage="texture", now=now, zone=LONDON)


@pytest.mark.parametrize("width", [360, 1280])
def test_every_state_of_the_timer_is_fit_to_use(browser_page, owner, maker, width):
    pins.set_pin(owner, pin="4071")
    page = browser_page(width, person=maker)
    begin(maker, hours=7)
    log = logs.log_by_hand(
        person=maker, entered_by=owner, project=make.project(), stage="cut", on=timezone.localdate(),
        minutes=40, started_at=ago(hours=3), ended_at=ago(hours=2), rework=True,
    )  # fmt: skip
    logs.change(log=log, revision=1, changes={"minutes": 35}, by=owner, reason="counted twice")
    for address in ("/", "/hours/", "/hours/stopped/"):
        page.goto(address)
        assert page.get_by_role("button", name="Still at it").count() == 1
        assert looks_wrong(page, phone=width == 360) == []
    timing.seen(person=maker, now=ago(minutes=70))
    timing.seen(person=maker, now=ago(minutes=1))
    for address in ("/hours/", "/hours/silence/"):
        page.goto(address)
        assert page.get_by_role("button", name="Yes, count all of it").count() == 1
        assert looks_wrong(page, phone=width == 360) == []
    page.goto("/hours/")
    assert page.get_by_text("without a break").is_visible()
    for address in (f"/hours/{log.pk}/edit/", "/account/", f"/bench/person/{owner.pk}/"):
        page.goto(address)
        assert looks_wrong(page, phone=width == 360) == []


def test_a_forgotten_timer_is_answered_without_scripts(browser_page, maker):
    begin(maker, hours=5)
    page = browser_page(360, person=maker, javascript=False)
    page.goto("/hours/")
    page.get_by_label("At another time").fill("soon")
    page.get_by_role("button", name="Stopped then").click()
    assert page.get_by_label("At another time").input_value() == "soon"
    at = timezone.localtime(ago(hours=4))
    page.get_by_label("At another time").fill(f"{at:%H:%M}")
    page.get_by_role("button", name="Stopped then").click()
    page.get_by_role("heading", name="Hours", exact=True).wait_for()
    assert LabourLog.objects.get().minutes in (59, 60)


def test_somebody_takes_over_by_a_name_and_a_pin_without_scripts(browser_page, owner, maker):
    pins.set_pin(owner, pin="4071")
    page = browser_page(360, person=maker, javascript=False)
    page.goto("/hours/")
    page.get_by_role("link", name="Change to Wren").click()
    page.get_by_label("PIN").fill("4071")
    page.get_by_label("PIN").press("Enter")
    page.get_by_text("(signed in: Moss)").wait_for()
    page.get_by_role("button", name="Start the timer").click()
    assert timing.running(owner) and not timing.running(maker)
    page.get_by_role("button", name="Back to Moss").click()
    page.get_by_role("button", name="Start the timer").wait_for()


@pytest.mark.usefixtures("midday")
def test_a_reminder_shows_by_itself_when_it_is_time(browser_page, maker):
    page = browser_page(1280, person=maker)
    page.clock.install(time=timezone.now())
    begin(maker, minutes=45)
    page.goto("/hours/")
    reminder = page.get_by_text("Time to rest")
    assert not reminder.is_visible()
    page.clock.run_for(6 * 60_000)
    assert reminder.is_visible()
    assert not page.get_by_text("Still at it?").is_visible()
    page.clock.run_for(45 * 60_000)
    assert page.get_by_text("Still at it?").is_visible()
