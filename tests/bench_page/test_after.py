"""After the last unit: what was finished, its hours, the next run, and where ticking leads."""

import re
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import timing
from projects.activities.panels import sync_panels
from projects.models import LabourLog, Person, Piece, Step
from projects.planning.run_source import runs_by_key
from tests import make
from tests.bench_page.runs import key_of, page_of, piece, sew
from tests.bench_page.test_page import text_of
from tests.browser import looks_wrong
from tests.conftest import signed_in


@pytest.fixture
def front(db: None) -> Piece:
    """Two panels of tucks, so that one run follows another."""
    make.workroom()
    return piece(count=2)


def finish(page: Client, row: Piece, number: int = 1) -> None:
    key = key_of(row, number)
    sew(page, row, *[unit.number for unit in runs_by_key(row.project)[key].units], key=key)


def tick(page: Client, row: Piece, number: int = 1, **more: str) -> Any:
    where = reverse("step_tick", args=[row.project_id])
    return page.post(where, {"key": key_of(row, number), "bench": "1", **more})


def test_it_says_what_was_finished_and_what_is_next(maker_page: Client, maker: Person, front: Piece) -> None:
    finish(maker_page, front)
    assert "No hours are logged on this step yet" in text_of(maker_page.get(page_of(front)))
    maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key_of(front)})
    maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key_of(front), "state": "open"})
    step = Step.objects.get(key=key_of(front))
    make.log(maker, front.project, step=step, stage=step.stage, minutes=95)
    shown = text_of(maker_page.get(page_of(front)))
    count = len(runs_by_key(front.project)[key_of(front)].units)
    assert re.search(rf"Front 1, across: {count} tucks ?, tapped on 2 March", shown)
    assert "1 h 35 min logged on this step" in shown
    after = maker_page.get(page_of(front)).context["after"]
    assert after.run["run"].key == key_of(front, 2)
    assert [step.kind for step in after.missing] == ["cut", "mark"] and after.more
    assert f"Tick the step as done. Next: {after.step.title}" in shown
    assert ", to do, not cut and not marked yet . Before it" in shown
    assert "Tick it, and on to" in shown


def test_ticking_goes_on_to_the_run_that_was_offered(maker_page: Client, front: Piece) -> None:
    finish(maker_page, front)
    answer = tick(maker_page, front, on=key_of(front, 2))
    assert answer["Location"] == f"{page_of(front, key_of(front, 2))}#bench"
    assert Step.objects.get(key=key_of(front)).state == "done"
    assert "Ticked as done: Sew Front 1 across" in text_of(maker_page.get(answer["Location"]))
    over = text_of(maker_page.get(page_of(front)))
    assert "The step is ticked as done." in over and "Tick the step as done" not in over


def test_ticking_alone_leads_to_the_next_step(maker_page: Client, front: Piece) -> None:
    finish(maker_page, front)
    plan_next = maker_page.get(page_of(front)).context["after"].step
    assert not plan_next.at_bench
    assert tick(maker_page, front)["Location"] == f"/projects/{front.project_id}/steps/#step-{plan_next.key}"
    # With all before it out of the way the next step is at the bench, and so is where one lands.
    while not (after := maker_page.get(page_of(front)).context["after"]).at_once:
        maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": after.step.key})
    maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key_of(front), "state": "open"})
    assert tick(maker_page, front)["Location"] == f"{page_of(front, key_of(front, 2))}#bench"


def test_a_run_that_is_not_there_is_not_led_to(maker_page: Client, front: Piece) -> None:
    finish(maker_page, front)
    steps = f"/projects/{front.project_id}/steps/"
    for wrong in ("9.9:sew:across:1", "//elsewhere.example/", "x" * 400):
        assert tick(maker_page, front, on=wrong)["Location"].startswith(steps)


def test_the_last_run_leads_to_the_steps(maker_page: Client, front: Piece) -> None:
    for number in (1, 2):
        finish(maker_page, front, number)
        tick(maker_page, front, number)
    shown = text_of(maker_page.get(page_of(front, key_of(front, 2))))
    assert "Nothing more at the bench" in shown and "To the steps" in shown


def test_a_timer_that_runs_on_it_is_said(maker_page: Client, maker: Person, front: Piece) -> None:
    maker_page.post(f"{page_of(front)}time/")
    finish(maker_page, front)
    assert "The timer still runs on it, since" in text_of(maker_page.get(page_of(front)))


def running_on(maker: Person) -> str:
    log = timing.running(maker)
    return log.step.key if log and log.step else ""


def timed(page: Client, maker: Person, row: Piece) -> None:
    """Finished with the timer on it, for long enough to be logged."""
    page.post(f"{page_of(row)}time/")
    finish(page, row)
    before = timezone.now() - timedelta(minutes=20)
    LabourLog.objects.filter(person=maker, ended_at=None).update(started_at=before)


@pytest.mark.usefixtures("midday")
def test_the_timer_goes_along_to_what_one_goes_on_with(
    maker_page: Client, maker: Person, front: Piece
) -> None:
    timed(maker_page, maker, front)
    shown = text_of(maker_page.get(page_of(front)))
    assert "goes along to what comes next" in shown and "Tick it and stop the timer" in shown
    tick(maker_page, front, on=key_of(front, 2))
    assert running_on(maker) == key_of(front, 2)
    assert LabourLog.objects.get(step__key=key_of(front)).minutes == 20


@pytest.mark.usefixtures("midday")
def test_the_timer_goes_along_to_a_step_away_from_the_bench_or_stops(
    maker_page: Client, maker: Person, front: Piece
) -> None:
    timed(maker_page, maker, front)
    following = maker_page.get(page_of(front)).context["after"].step
    tick(maker_page, front)
    assert running_on(maker) == following.key
    maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key_of(front), "state": "open"})
    maker_page.post(f"{page_of(front)}time/")
    assert tick(maker_page, front, timer="stop")["Location"].endswith(f"#step-{following.key}")
    assert timing.running(maker) is None


def test_a_timer_elsewhere_is_let_run_and_stands_in_the_head(
    maker_page: Client, maker: Person, front: Piece
) -> None:
    other = make.project("Shawl")
    timing.start(person=maker, project=other, now=timezone.now(), zone=ZoneInfo("UTC"))
    finish(maker_page, front)
    tick(maker_page, front, on=key_of(front, 2))
    assert timing.running(maker).project == other
    shown = maker_page.get(page_of(front, key_of(front, 2)))
    assert "The timer runs for work without a step , Shawl." in text_of(shown)
    assert "Start the timer" not in text_of(shown) and "Stop the timer" in shown.content.decode()
    maker_page.post(f"{page_of(front, key_of(front, 2))}time/")
    assert running_on(maker) == key_of(front, 2)
    assert "The timer runs for work" not in text_of(maker_page.get(page_of(front, key_of(front, 2))))


def test_the_bench_and_the_list_say_that_a_panel_is_not_cut(maker_page: Client, front: Piece) -> None:
    said = "By its steps this panel is not cut and not marked yet : Cut Front 1 comes before."
    assert said in text_of(maker_page.get(page_of(front)))
    listed = text_of(maker_page.get(f"/projects/{front.project_id}/bench/"))
    assert "First: Cut Front 1" in listed and "tucks, to do, not cut and not marked yet" in listed
    sew(maker_page, front, 1)
    assert "By its steps" not in text_of(maker_page.get(page_of(front)))
    for kind, direction in (("cut", ""), ("mark", "across")):
        key = key_of(front, 2, direction, kind)
        maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key})
    assert "By its steps" not in text_of(maker_page.get(page_of(front, key_of(front, 2))))


def test_the_fragment_is_the_pages_own_and_leads_to_it(maker_page: Client, front: Piece) -> None:
    finish(maker_page, front)
    address = f"{page_of(front)}after/"
    part = maker_page.get(address, HTTP_HX_REQUEST="true")
    assert "<html" not in part.content.decode() and "Tick it, and on to" in text_of(part)
    assert maker_page.get(address)["Location"] == page_of(front)
    assert maker_page.get(f"{page_of(front, '9.9:sew:across:1')}after/").status_code == 404


@pytest.mark.parametrize("width", [360, 1280])
def test_a_device_that_taps_the_last_unit_is_told(
    width: int, browser_page: Any, maker: Person, front: Piece
) -> None:
    units = [unit.number for unit in runs_by_key(front.project)[key_of(front)].units]
    sew(signed_in(maker), front, *units[:-1])
    page = browser_page(width, person=maker)
    page.goto(page_of(front))
    page.locator("[data-bench=number]", has_text=str(units[-1])).wait_for()
    page.get_by_role("button", name="Sewn").first.click()
    on = page.get_by_role("button", name="Tick it, and on to")
    on.wait_for()
    assert page.get_by_text("Next at the bench:").is_visible()
    assert looks_wrong(page, phone=width < 760) == []
    on.click()
    page.wait_for_url(lambda url: key_of(front, 2) in url)
    page.locator("[data-bench=number]", has_text="1").wait_for()
    assert Step.objects.get(key=key_of(front)).state == "done"


def test_the_list_offers_what_was_begun(maker_page: Client, front: Piece) -> None:
    address = f"/projects/{front.project_id}/bench/"
    assert "Begin Front 1, across" in text_of(maker_page.get(address))
    sew(maker_page, front, 1, 2, key=key_of(front, 2))
    shown = maker_page.get(address)
    assert "Go on with Front 2, across" in text_of(shown)
    assert shown.context["next"]["left"] == shown.context["next"]["run"].count - 2
    for number in (1, 2):
        finish(maker_page, front, number)
    assert maker_page.get(address).context["next"] is None


def test_the_list_asks_as_often_for_many_runs_as_for_one(maker_page: Client, front: Piece) -> None:
    address = f"/projects/{front.project_id}/bench/"
    sew(maker_page, front, 1, 2)
    maker_page.get(address)
    with CaptureQueriesContext(connection) as few:
        maker_page.get(address)
    front.count = 6
    front.save()
    sync_panels(front)
    for number in range(2, 7):
        sew(maker_page, front, 1, 2, key=key_of(front, number))
    maker_page.get(address)
    with CaptureQueriesContext(connection) as many:
        assert len(maker_page.get(address).context["rows"]) == 6
    assert len(many) == len(few)
