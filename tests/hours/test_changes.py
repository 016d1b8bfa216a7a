"""By hand: from when to when, work done again, overlaps, and changes that keep their reason."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from projects.activities import logs, overlaps
from projects.models import LabourLog, LogChange
from tests import make


def form(**values):
    usual = {"project": "", "stage": "texture", "date": "2026-03-02", "minutes": "1h20", "note": ""}
    return {**usual, **values}


@pytest.fixture(autouse=True)
def london(workroom):
    make.workroom(time_zone="Europe/London")


def utc(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 3, day, hour, minute, tzinfo=UTC)


def timed(who, start, end, of=None, **values):
    minutes = int((end - start).total_seconds()) // 60
    return make.log(who, of, started_at=start, ended_at=end, minutes=minutes, date=start.date(), **values)


def test_from_one_time_to_another_sets_start_and_end(maker_page):
    assert maker_page.post("/hours/new/", form(minutes="9:10-10:25")).status_code == 303
    log = LabourLog.objects.get()
    assert (log.minutes, log.started_at, log.ended_at) == (75, utc(2, 9, 10), utc(2, 10, 25))


def test_over_midnight_it_counts_on_the_day_it_began(maker_page):
    maker_page.post("/hours/new/", form(minutes="22:30-0:15", date="2026-03-08"))
    log = LabourLog.objects.get()
    assert (log.minutes, log.ended_at, log.date.isoformat()) == (105, utc(9, 0, 15), "2026-03-08")
    week, after = (maker_page.get(f"/hours/?week=2026-03-{day}").context for day in ("08", "09"))
    assert (week["total"], after["total"]) == (105, 0)
    assert sum(day.minutes for day in week["days"]) == 105
    assert "22:30 to 0:15 on 9 Mar" in maker_page.get("/hours/?week=2026-03-08").content.decode()


@pytest.mark.parametrize(
    ("minutes", "on", "said"),
    [
        ("1:30-3:00", "2026-03-29", "There is no 1:30 on 29 March 2026"),
        ("0:30-1:30", "2025-10-26", "comes twice"),
        ("10:25-9:10", "2026-03-02", "earlier time first"),
        ("25:00-26:00", "2026-03-02", "no clock shows"),
    ],
)
def test_times_that_cannot_be_are_said_and_kept(maker_page, minutes, on, said):
    answer = maker_page.post("/hours/new/", form(minutes=minutes, date=on))
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert said in shown
    assert f'value="{minutes}"' in shown


def test_a_time_that_has_not_come_is_refused(maker_page):
    later = timezone.localtime() + timedelta(hours=2)
    span = f"{later:%H:%M}-{later + timedelta(minutes=30):%H:%M}"
    answer = maker_page.post("/hours/new/", form(minutes=span, date=later.date().isoformat()))
    assert answer.status_code == 422
    assert "has not come yet" in answer.content.decode()


def test_a_change_asks_for_a_reason_and_keeps_what_stood_there(maker_page, maker):
    log = make.log(maker, make.project(), note="cuffs")
    data = form(project=log.project_id, minutes="45 min", note="cuffs", revision=1)
    answer = maker_page.post(f"/hours/{log.pk}/edit/", data)
    assert answer.status_code == 422
    assert answer.context["form"].errors["reason"]
    maker_page.post(f"/hours/{log.pk}/edit/", {**data, "reason": "the kettle was on"})
    kept = LogChange.objects.get()
    assert (kept.by, kept.reason, kept.before, kept.after) == (
        maker, "the kettle was on", {"minutes": 60}, {"minutes": 45},
    )  # fmt: skip
    shown = maker_page.get(f"/hours/{log.pk}/edit/").content.decode()
    assert "the kettle was on" in shown
    assert "<del>1 h</del> <ins>45 min</ins>" in shown


def test_a_change_that_changes_nothing_is_none(maker_page, maker):
    log = timed(maker, utc(2, 9) + timedelta(seconds=31), utc(2, 10) + timedelta(seconds=12))
    initial = maker_page.get(f"/hours/{log.pk}/edit/").context["form"].initial
    assert initial["minutes"] == "9:00-10:00"
    data = {**form(minutes="9:00-10:00"), "revision": 1, "reason": "looked at it"}
    maker_page.post(f"/hours/{log.pk}/edit/", data)
    log.refresh_from_db()
    assert (log.started_at, log.revision) == (utc(2, 9) + timedelta(seconds=31), 1)
    assert not LogChange.objects.exists()


def test_a_length_of_time_in_place_of_start_and_end_takes_them_away(maker_page, maker):
    log = timed(maker, utc(2, 9), utc(2, 10))
    data = {**form(minutes="40 min"), "revision": 1, "reason": "a visitor"}
    maker_page.post(f"/hours/{log.pk}/edit/", data)
    log.refresh_from_db()
    assert (log.minutes, log.started_at, log.ended_at) == (40, None, None)
    assert LogChange.objects.get().before["started_at"] == "2026-03-02T09:00:00+00:00"


def test_an_owner_changes_somebody_elses_hours_and_is_seen_to(owner_page, owner, maker):
    log = make.log(maker, None)
    assert "These are the hours of Moss" in owner_page.get(f"/hours/{log.pk}/edit/").content.decode()
    data = {**form(minutes="30 min"), "person": maker.pk, "revision": 1, "reason": "agreed"}
    owner_page.post(f"/hours/{log.pk}/edit/", data)
    shown = owner_page.get(f"/hours/?week=2026-03-02&person={maker.pk}").content.decode()
    assert "changed by Wren" in shown
    assert LogChange.objects.get().by == owner


def test_removing_and_putting_back_is_kept_too(maker_page, maker):
    log = make.log(maker, None)
    maker_page.post(f"/hours/{log.pk}/delete/")
    maker_page.post(f"/hours/{log.pk}/delete/", {"back": "1"})
    assert [change.after for change in LogChange.objects.all()] == [{"removed": True}, {"removed": False}]


def test_overlaps_are_shown_and_saved(maker_page, maker, owner):
    timed(maker, utc(2, 9), utc(2, 10), make.project())
    timed(owner, utc(2, 9), utc(2, 10))
    answer = maker_page.post("/hours/new/", form(minutes="9:30-10:30"), follow=True)
    shown = answer.content.decode()
    assert "It overlaps with 9:00 to 10:00 (Concert coat). Both are counted." in shown
    assert shown.count("overlaps</span>") == 1
    maker_page.post("/hours/new/", form(minutes="10:30-11:00"))
    assert len(overlaps.among(LabourLog.objects.filter(person=maker))) == 2


def test_one_log_over_three_others_says_so_in_one_line(maker_page, maker):
    for start in (0, 5, 10, 30):
        timed(maker, utc(2, 9, start), utc(2, 10))
    shown = maker_page.get("/hours/?week=2026-03-02").content.decode()
    assert shown.count("overlaps</span>") == 3
    assert shown.count("overlaps</span> 9:00 to 10:00 (no project) and 2 more") == 1


def test_logs_that_only_touch_do_not_overlap(maker):
    timed(maker, utc(2, 9), utc(2, 10))
    at_once = timed(maker, utc(2, 9, 5), utc(2, 9, 5) + timedelta(seconds=2))
    after = timed(maker, utc(2, 10) - timedelta(seconds=30), utc(2, 11))
    assert overlaps.with_log(at_once) == overlaps.with_log(after) == []


def test_a_running_timer_overlaps_from_its_start_on(maker):
    running = make.log(maker, None, minutes=None, started_at=utc(2, 9))
    later, before = timed(maker, utc(2, 11), utc(2, 12)), timed(maker, utc(2, 8), utc(2, 9))
    assert overlaps.with_log(later) == [running]
    assert overlaps.with_log(before) == []


def test_work_done_again_is_marked_and_summed_apart(maker_page):
    coat = make.project()
    maker_page.post("/hours/new/", form(project=coat.pk, minutes="1 h"))
    maker_page.post("/hours/new/", form(project=coat.pk, minutes="40 min", rework="on"))
    shown = maker_page.get("/hours/?week=2026-03-02").content.decode()
    assert "1 h 40 min, of it 40 min again" in shown
    assert "done again" in shown
    assert "of it 40 min again" in maker_page.get(f"/projects/{coat.pk}/hours/").content.decode()


def test_a_step_can_be_chosen_where_the_project_is_known_and_stays_with_it(maker_page, maker):
    step = make.step()
    address = f"/hours/new/?project={step.project_id}"
    assert "Sew on the buttons" in maker_page.get(address).content.decode()
    maker_page.post(address, form(project=step.project_id, stage="", step=f"own:{step.pk}"))
    log = LabourLog.objects.get()
    assert (log.step, log.stage) == (step, "finish")
    other = make.project("Capelet")
    data = {**form(project=other.pk), "step": f"own:{step.pk}", "revision": 1, "reason": "wrong one"}
    asked = maker_page.post(f"/hours/{log.pk}/edit/", data)
    log.refresh_from_db()
    assert (asked.status_code, log.project, log.step) == (422, step.project, step)
    maker_page.post(f"/hours/{log.pk}/edit/", {**data, "step": ""})
    log.refresh_from_db()
    assert (log.project, log.step) == (other, None)


def test_an_activity_without_somebody_keeps_no_change(maker):
    log = make.log(maker, None)
    logs.change(log=log, revision=1, changes={"minutes": 10})
    assert not LogChange.objects.exists()
