"""The hours pages: the week, logs by hand, the timer, and who sees whose."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from projects.activities import timing
from projects.models import LabourLog
from tests import make

LONDON = ZoneInfo("Europe/London")


def form(**values):
    return {"project": "", "stage": "texture", "date": "2026-03-02", "minutes": "1h20", "note": "", **values}


def test_hours_by_hand_are_logged_once_however_often_the_form_is_sent(maker_page, maker):
    coat = make.project()
    data = form(project=coat.pk, op="5f6bdd0c-6d5a-4c3f-8e0e-0d6f2f6f7a11")
    first = maker_page.post("/hours/new/", data)
    again = maker_page.post("/hours/new/", data)
    assert (first.status_code, again.status_code) == (303, 303)
    assert first["Location"] == again["Location"] == "/hours/?week=2026-03-02"
    log = LabourLog.objects.get()
    assert (log.minutes, log.person, log.entered_by, log.project) == (80, maker, maker, coat)


@pytest.mark.parametrize("minutes", ["", "soon", "-5", "0", "25 h", "1h90", "9" * 400])
def test_time_that_cannot_be_right_is_said_at_the_field_and_kept(maker_page, minutes):
    answer = maker_page.post("/hours/new/", form(minutes=minutes, note="the cuffs again"))
    assert answer.status_code == 422
    assert answer.context["form"].errors["minutes"]
    assert "the cuffs again" in answer.content.decode()
    assert not LabourLog.objects.exists()


def test_what_cannot_be_read_as_time_is_answered_with_a_span_too(maker_page):
    page = maker_page.post("/hours/new/", form(minutes="soon")).content.decode()
    assert "or from when to when: 9:10-10:25." in page


def test_a_day_that_has_not_come_is_refused(maker_page):
    ahead = timezone.localdate() + timedelta(days=3)
    answer = maker_page.post("/hours/new/", form(date=ahead.isoformat()))
    assert answer.status_code == 422
    assert "has not come yet" in answer.content.decode()


def test_a_maker_sees_and_changes_own_hours_only(maker_page, maker, owner):
    coat = make.project()
    make.log(owner, coat, note="cutting with the owner", date=date(2026, 3, 3))
    mine = make.log(maker, coat, note="my own tucks", date=date(2026, 3, 3))
    others = LabourLog.objects.exclude(pk=mine.pk).get()
    for address in ("/hours/?week=2026-03-02&person=all", f"/projects/{coat.pk}/hours/"):
        shown = maker_page.get(address).content.decode()
        assert "my own tucks" in shown
        assert "cutting with the owner" not in shown
    assert maker_page.get(f"/hours/{others.pk}/edit/").status_code == 403
    assert maker_page.post(f"/hours/{others.pk}/delete/").status_code == 403
    assert LabourLog.objects.get(pk=others.pk).removed_at is None


def test_an_owner_logs_for_somebody_else_and_both_are_kept(owner_page, owner, maker):
    owner_page.post("/hours/new/", form(person=maker.pk))
    log = LabourLog.objects.get()
    assert (log.person, log.entered_by) == (maker, owner)


def test_two_edits_of_one_log_show_both(maker_page, maker):
    log = make.log(maker, make.project(), note="as it was")
    data = form(revision=1, minutes="30 min", note="as I typed it", reason="miscounted")
    LabourLog.objects.filter(pk=log.pk).update(revision=2, note="as somebody saved it")
    answer = maker_page.post(f"/hours/{log.pk}/edit/", data)
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert "as somebody saved it" in shown
    assert "as I typed it" in shown


def test_removed_hours_can_be_put_back(maker_page, maker):
    log = make.log(maker, None)
    maker_page.post(f"/hours/{log.pk}/delete/")
    assert "Put back" in maker_page.get("/hours/?week=2026-03-02").content.decode()
    maker_page.post(f"/hours/{log.pk}/delete/", {"back": "1"})
    assert LabourLog.objects.get().removed_at is None


def test_start_and_stop_from_any_page_lead_back_to_it(maker_page, maker):
    coat = make.project()
    answer = maker_page.post("/hours/start/", {"project": coat.pk, "stage": "cut", "back": "/projects/"})
    assert answer["Location"] == "/projects/"
    assert LabourLog.objects.get().ended_at is None
    LabourLog.objects.update(started_at=timezone.now() - timedelta(minutes=1))
    answer = maker_page.post("/hours/stop/", {"back": "//elsewhere.example/"})
    assert answer["Location"] == "/hours/"
    assert LabourLog.objects.get().minutes == 1


def test_a_running_timer_cannot_be_edited_as_a_log(maker_page):
    maker_page.post("/hours/start/", {})
    log = LabourLog.objects.get()
    assert maker_page.get(f"/hours/{log.pk}/edit/").status_code == 403


def asked(page, address: str) -> int:
    page.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert page.get(address).status_code == 200
    return len(seen)


def test_the_week_and_a_project_ask_as_often_for_many_logs_as_for_few(owner_page, owner):
    coat = make.project()
    addresses = ("/hours/?week=2026-03-02&person=all", f"/projects/{coat.pk}/hours/")
    for _ in range(3):
        make.log(owner, coat)
    few = [asked(owner_page, address) for address in addresses]
    for _ in range(90):
        make.log(owner, coat)
    assert [asked(owner_page, address) for address in addresses] == few


def test_old_logs_are_reached_stretch_by_stretch_and_none_twice(owner_page, owner):
    coat = make.project()
    made = {make.log(owner, coat, date=date(2026, 3, 2) - timedelta(days=n % 9)).pk for n in range(120)}
    seen, address = [], f"/projects/{coat.pk}/hours/"
    while address:
        page = owner_page.get(address).context["page"]
        seen += [log.pk for log in page.logs]
        address = f"/projects/{coat.pk}/hours/?before={page.earlier}" if page.earlier else ""
    assert len(seen) == len(made)
    assert set(seen) == made


@pytest.mark.parametrize(
    "query", ["week=soon", "week=9999-99-99", "before=x", "before=2026-03-02.x", "person=none"]
)
def test_an_address_that_cannot_be_read_shows_this_week(owner_page, query):
    assert owner_page.get(f"/hours/?{query}").status_code == 200


def test_an_error_about_a_silence_names_and_leads_to_its_field(maker_page, maker):
    timing.start(person=maker, project=make.project(), now=timezone.now() - timedelta(hours=4), zone=LONDON)
    timing.seen(person=maker, now=timezone.now() - timedelta(minutes=1))
    page = maker_page.post("/hours/silence/", {"was": "typed", "at": "soon"}).content.decode()
    assert '<a href="#gap-at">Up to</a>' in page and 'id="gap-at"' in page
    assert "At another time" not in page


def test_the_timer_is_offered_for_the_project_last_worked_on(maker_page, maker, owner):
    coat, capelet = make.project(), make.project("Capelet")
    make.log(maker, capelet, date=date(2026, 3, 1))
    make.log(maker, coat, date=date(2026, 3, 3))
    make.log(owner, capelet, date=date(2026, 3, 4))
    assert maker_page.get("/hours/").context["start_form"]["project"].value() == coat.pk
    coat.state = "finished"
    coat.save()
    assert maker_page.get("/hours/").context["start_form"]["project"].value() is None
