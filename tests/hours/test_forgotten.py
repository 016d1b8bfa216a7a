"""A timer that was forgotten asks; a silence is never counted, and never lost, by itself."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from projects.activities import logs, people, timing
from projects.calc.clock import parse_clock
from projects.forms.timer import moment_between
from projects.models import LabourLog, LabourTotal, Workroom
from tests import make

LONDON = ZoneInfo("Europe/London")
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return NOON + timedelta(minutes=minutes)


def begin(person, project=None, now=NOON, **values):
    return timing.start(person=person, project=project, now=now, zone=LONDON, **values)


def asks(person, now) -> bool:
    return timing.forgotten(timing.running(person), now=now, zone=LONDON)


def total() -> int:
    return sum(LabourTotal.objects.values_list("minutes", flat=True))


def test_it_asks_after_a_silence_and_a_sign_of_work_puts_that_off(maker):
    begin(maker)
    assert not asks(maker, at(89))
    assert asks(maker, at(90))
    timing.seen(person=maker, now=at(60))
    assert not asks(maker, at(149))
    assert asks(maker, at(150))


def test_over_midnight_it_asks_sooner(maker):
    late = datetime(2026, 6, 1, 22, 50, tzinfo=UTC)  # 23:50 in London
    begin(maker, now=late)
    assert not asks(maker, late + timedelta(minutes=29))
    assert asks(maker, late + timedelta(minutes=30))


def test_midnight_is_that_of_the_studio(maker):
    begin(maker, now=datetime(2026, 6, 1, 23, 40, tzinfo=UTC))  # 0:40 in London, the day after
    assert not asks(maker, datetime(2026, 6, 2, 0, 20, tzinfo=UTC))


def test_other_work_waits_for_the_answer_and_nothing_is_lost(maker):
    coat, cape = make.project(), make.project("Capelet")
    begin(maker, coat)
    with pytest.raises(timing.Forgotten):
        begin(maker, cape, now=at(300))
    log = LabourLog.objects.get()
    assert (log.project, log.minutes, log.ended_at) == (coat, None, None)


@pytest.mark.parametrize(("minutes", "counted"), [(1, 1), (70, 70), (300, 300)])
def test_it_ends_when_its_person_says(maker, minutes, counted):
    log = begin(maker, make.project())
    timing.answer(person=maker, log=log.pk, at=at(minutes), now=at(300))
    log.refresh_from_db()
    assert (log.minutes, log.ended_at, total()) == (counted, at(minutes), counted)


@pytest.mark.parametrize("minutes", [-5, 305])
def test_a_moment_that_cannot_be_is_refused(maker, minutes):
    log = begin(maker)
    with pytest.raises(timing.BadMoment):
        timing.answer(person=maker, log=log.pk, at=at(minutes), now=at(300))
    assert timing.running(maker) == log


def test_two_answers_are_one(maker):
    log = begin(maker, make.project())
    assert timing.answer(person=maker, log=log.pk, at=at(20), now=at(300))
    assert timing.answer(person=maker, log=log.pk, at=at(90), now=at(301)) is None
    assert total() == 20


def test_an_answer_on_another_device_does_not_stop_the_next_timer(maker):
    log = begin(maker)
    timing.answer(person=maker, log=log.pk, at=at(20), now=at(300))
    begin(maker, now=at(301))
    assert timing.answer(person=maker, log=log.pk, at=at(20), now=at(302)) is None
    assert timing.running(maker)


def test_still_at_it_counts_the_silence(maker):
    begin(maker)
    timing.still_at_it(person=maker, now=at(200))
    assert not asks(maker, at(210))
    assert timing.stop(person=maker, now=at(210)).minutes == 210


def test_work_taken_up_after_a_silence_begins_anew_and_asks_what_the_silence_was(maker):
    coat = make.project()
    begin(maker, coat, stage="texture")
    timing.seen(person=maker, now=at(30))
    timing.seen(person=maker, now=at(300))
    first, second = LabourLog.objects.order_by("pk")
    assert (first.ended_at, first.minutes) == (at(30), 30)
    assert (second.started_at, second.gap_from) == (at(300), at(30))
    assert (second.project, second.stage) == (coat, "texture")
    assert (timing.running(maker), total()) == (second, 30)


@pytest.mark.parametrize(("until", "more", "counted"), [(None, 0, 30), (100, 70, 100), (300, 270, 300)])
def test_a_silence_counts_as_its_person_says(maker, until, more, counted):
    begin(maker, make.project())
    timing.seen(person=maker, now=at(30))
    timing.seen(person=maker, now=at(300))
    log = timing.running(maker)
    said = at(until) if until else None
    assert timing.answer_gap(person=maker, log=log.pk, until=said) == more
    assert timing.answer_gap(person=maker, log=log.pk, until=said) == 0
    assert (total(), timing.running(maker).gap_from) == (counted, None)


def test_a_silence_counts_on_its_own_where_the_log_before_it_was_changed(maker):
    begin(maker, make.project())
    timing.seen(person=maker, now=at(20))
    timing.seen(person=maker, now=at(300))
    first = LabourLog.objects.order_by("pk").first()
    LabourLog.objects.filter(pk=first.pk).update(started_at=None, ended_at=None, minutes=25)
    log = timing.running(maker)
    assert timing.answer_gap(person=maker, log=log.pk, until=at(60)) == 40
    assert timing.running(maker) == log


def test_late_and_doubled_signs_of_work_change_nothing(maker):
    begin(maker)
    for minutes in (40, 10, 40, 39):
        timing.seen(person=maker, now=at(minutes))
    assert LabourLog.objects.get().seen_at == at(40)
    timing.seen(person=make.person(), now=at(50))
    assert LabourLog.objects.count() == 1


def test_signs_that_came_late_from_a_device_leave_no_silence(maker):
    begin(maker)
    for minutes in range(20, 320, 20):
        timing.seen(person=maker, now=at(minutes))
    assert LabourLog.objects.count() == 1


def test_a_sign_of_work_is_one_query(maker, django_assert_num_queries):
    begin(maker)
    with django_assert_num_queries(1):
        timing.seen(person=maker, now=at(10))


def test_switched_off_with_a_forgotten_timer_counts_to_the_last_sign(owner, maker):
    begin(maker)
    timing.seen(person=maker, now=at(45))
    people.switch_off(maker)
    assert LabourLog.objects.get().minutes == 45


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("17:40", datetime(2026, 3, 2, 17, 40, tzinfo=UTC)),
        ("13:10", datetime(2026, 3, 2, 13, 10, tzinfo=UTC)),
        ("0:30", datetime(2026, 3, 3, 0, 30, tzinfo=UTC)),
        ("8:15", datetime(2026, 3, 3, 8, 15, tzinfo=UTC)),
    ],
)
def test_a_typed_time_is_the_one_nearest_after_the_last_sign(text, found):
    last, now = datetime(2026, 3, 2, 16, 0, tzinfo=UTC), datetime(2026, 3, 5, 9, 0, tzinfo=UTC)
    assert moment_between(parse_clock(text), NOON, now, last, LONDON) == found


# Pages


def forgotten_page(page, person, hours=5, **values):
    """A timer of ``person`` that was last seen ``hours`` ago."""
    start = timezone.now() - timedelta(hours=hours, minutes=30)
    log = begin(person, make.project(), now=start, **values)
    timing.seen(person=person, now=start + timedelta(minutes=30))
    return log


def test_every_page_with_a_timer_asks(maker_page, maker):
    forgotten_page(maker_page, maker)
    for address in ("/", "/hours/"):
        shown = maker_page.get(address).content.decode()
        assert "did you stop?" in shown
        assert 'id="timer-stop"' not in shown


def test_stopping_leads_to_the_question_and_each_answer_back(maker_page, maker):
    log = forgotten_page(maker_page, maker)
    answer = maker_page.post("/hours/stop/", {"back": "/projects/"})
    assert answer["Location"] == "/hours/stopped/?back=%2Fprojects%2F"
    assert "did you stop?" in maker_page.get(answer["Location"]).content.decode()
    answer = maker_page.post("/hours/stopped/", {"when": "last", "log": log.pk, "back": "/projects/"})
    assert answer["Location"] == "/projects/"
    log.refresh_from_db()
    assert log.minutes == 30


def test_a_typed_time_that_cannot_be_is_said_and_kept(maker_page, maker):
    log = forgotten_page(maker_page, maker)
    for typed in ("soon", "", (timezone.localtime() + timedelta(hours=2)).strftime("%H:%M")):
        answer = maker_page.post("/hours/stopped/", {"when": "typed", "at": typed, "log": log.pk})
        assert answer.status_code == 422
        assert f'value="{typed}"' in answer.content.decode()
    assert timing.running(maker)


def test_other_work_starts_after_the_answer(maker_page, maker):
    forgotten_page(maker_page, maker)
    cape = make.project("Capelet")
    asked = maker_page.post("/hours/start/", {"project": cape.pk, "stage": "cut", "back": "/"})["Location"]
    assert asked.startswith("/hours/stopped/?then=1")
    page = maker_page.get(asked)
    assert f'name="project" value="{cape.pk}"' in page.content.decode()
    data = {"when": "now", "then": "1", "project": cape.pk, "stage": "cut", "back": "/"}
    assert maker_page.post("/hours/stopped/", data)["Location"] == "/"
    assert timing.running(maker).project == cape
    assert LabourLog.objects.exclude(minutes=None).get().minutes == 330


def test_a_step_waits_too(maker_page, maker):
    forgotten_page(maker_page, maker)
    step = make.step()
    answer = maker_page.post(f"/projects/{step.project_id}/steps/time/", {"key": f"own:{step.pk}"})
    asked = maker_page.get(answer["Location"]).context["asked"]
    data = {**asked.dict(), "when": "last"}
    maker_page.post("/hours/stopped/", data)
    assert timing.running(maker).step == step


def test_more_than_a_day_is_never_counted_by_one_tap(maker_page, maker):
    log = forgotten_page(maker_page, maker, hours=40)
    assert 'value="now"' not in maker_page.get("/hours/").content.decode()
    for when in ("now", "still"):
        assert maker_page.post("/hours/stopped/", {"when": when, "log": log.pk}).status_code == 422
    assert timing.running(maker) == log


def test_the_silence_is_asked_about_on_the_page(maker_page, maker):
    begin(maker, make.project(), now=timezone.now() - timedelta(hours=3))
    timing.seen(person=maker, now=timezone.now() - timedelta(minutes=5))
    assert "there was no sign of work" in maker_page.get("/").content.decode()
    log = timing.running(maker)
    assert maker_page.post("/hours/silence/", {"was": "typed", "at": "x", "log": log.pk}).status_code == 422
    maker_page.post("/hours/silence/", {"was": "all", "log": log.pk})
    assert LabourLog.objects.exclude(minutes=None).get().minutes == 175
    assert "there was no sign of work" not in maker_page.get("/").content.decode()


def test_a_tick_is_a_sign_of_work(maker_page, maker):
    begin(maker, now=timezone.now() - timedelta(minutes=80))
    step = make.step()
    maker_page.post(f"/projects/{step.project_id}/steps/tick/", {"key": f"own:{step.pk}"})
    assert LabourLog.objects.get().seen_at is not None


def test_taps_that_arrive_together_are_signs_of_when_they_were_made(maker, django_assert_num_queries):
    begin(maker)
    taps = [at(minutes) for minutes in range(300, 5, -5)]
    timing.seen_at(person=maker, moments=taps, now=at(310))
    log = LabourLog.objects.get()
    assert (log.seen_at, log.minutes) == (at(300), None)
    with django_assert_num_queries(2):
        timing.seen_at(person=maker, moments=[at(301), at(303), at(999)], now=at(304))
    assert timing.running(maker).seen_at == at(304)


def test_a_silence_between_taps_that_arrive_together_is_one(maker):
    begin(maker)
    timing.seen_at(person=maker, moments=[at(m) for m in (10, 20, 200, 210)], now=at(211))
    first, second = LabourLog.objects.order_by("pk")
    assert (first.minutes, second.gap_from) == (20, at(20))
    assert (second.started_at, second.seen_at) == (at(200), at(210))


def over_midnight(*minutes: int) -> list[datetime]:
    """Moments so long after 23:20 by the studio's clock."""
    zone = Workroom.load().zone
    return [datetime(2026, 3, 2, 23, 20, tzinfo=zone) + timedelta(minutes=m) for m in minutes]


def test_a_sign_after_half_an_hour_over_midnight_leaves_that_as_a_question(maker):
    start, last, later, end = over_midnight(0, 20, 105, 110)
    begin(maker, now=start)
    timing.seen(person=maker, now=last)
    log = timing.running(maker)
    assert timing.forgotten(log, now=later, zone=Workroom.load().zone)
    timing.seen(person=maker, now=later)
    first, second = LabourLog.objects.order_by("pk")
    assert (first.minutes, first.ended_at, second.gap_from) == (20, last, last)
    assert timing.stop(person=maker, now=end).minutes == 5


def test_a_sign_sooner_over_midnight_or_later_by_day_is_none(maker):
    start, last, over, longer = over_midnight(0, 20, 49, 49 + 89)
    begin(maker, now=start)
    for moment in (last, over, longer):
        timing.seen(person=maker, now=moment)
    assert LabourLog.objects.get().seen_at == longer


def test_taps_that_arrive_together_keep_their_silence_over_midnight(maker):
    start, *taps = over_midnight(0, 10, 25, 39, 72, 80)
    begin(maker, now=start)
    timing.seen_at(person=maker, moments=taps, now=taps[-1])
    first, second = LabourLog.objects.order_by("pk")
    assert (first.minutes, second.gap_from, second.started_at) == (39, taps[2], taps[3])


def test_a_silence_under_half_an_hour_is_forgotten_at_no_hour_of_the_day():
    """What a sign of work is first asked about, in one query, never says otherwise than the rule."""
    for minutes in range(0, 24 * 60, 7):
        log = LabourLog(started_at=at(minutes))
        assert not timing.forgotten(log, now=at(minutes + 29.9), zone=LONDON)
        assert timing.forgotten(log, now=at(minutes + 90), zone=LONDON)


# A silence after the timer was stopped


def silence(person, project=None, ago=180, until=5):
    """A timer that ran without a sign of work from so many minutes ago, and was then taken up again."""
    now = timezone.now()
    begin(person, project, now=now - timedelta(minutes=ago))
    timing.seen(person=person, now=now - timedelta(minutes=until))
    return timing.running(person)


def counted() -> int:
    return sum(minutes or 0 for minutes in LabourLog.objects.values_list("minutes", flat=True))


def test_stopping_asks_what_the_silence_was(maker_page, maker):
    log = silence(maker, make.project())
    answer = maker_page.post("/hours/stop/", {"back": "/projects/"})
    assert answer["Location"] == f"/hours/silence/?log={log.pk}&back=%2Fprojects%2F"
    assert "Was it work?" in maker_page.get(answer["Location"]).content.decode()
    answer = maker_page.post("/hours/silence/", {"was": "all", "log": log.pk, "back": "/projects/"})
    assert (answer["Location"], counted()) == ("/projects/", 180)
    maker_page.post("/hours/silence/", {"was": "all", "log": log.pk})
    assert counted() == 180, "answered once"


def test_a_silence_stays_to_be_answered_beside_its_log(maker_page, owner_page, maker):
    log = silence(maker, make.project())
    maker_page.post("/hours/start/", {"back": "/"})
    ask = f"/hours/silence/?log={log.pk}&amp;back="
    assert ask in maker_page.get("/hours/").content.decode()
    assert ask not in owner_page.get("/hours/?person=all").content.decode()
    owner_page.post("/hours/silence/", {"was": "all", "log": log.pk})
    assert counted() == 5, "nobody else can say what it was"
    maker_page.post("/hours/silence/", {"was": "none", "log": log.pk})
    assert ask not in maker_page.get("/hours/").content.decode() and counted() == 5


def test_a_removed_log_and_one_typed_anew_ask_nothing(maker_page, maker):
    log = silence(maker)
    timing.stop(person=maker, now=timezone.now())
    log.refresh_from_db()
    logs.change(log=log, revision=log.revision, changes={"minutes": 60, "started_at": None, "ended_at": None})
    maker_page.post("/hours/silence/", {"was": "all", "log": log.pk})
    assert counted() == 60
    other = silence(maker, ago=600)
    timing.stop(person=maker, now=timezone.now())
    logs.remove(log=other, now=timezone.now())
    assert timing.with_silence(maker, other.pk) is None


def test_a_silence_of_days_is_never_counted_by_one_tap(maker_page, maker):
    log = silence(maker, make.project(), ago=3 * 24 * 60)
    assert 'value="all"' not in maker_page.get("/hours/").content.decode()
    assert maker_page.post("/hours/silence/", {"was": "all", "log": log.pk}).status_code == 422


@pytest.mark.parametrize("number", ["x", "9" * 30, "-1", "12345"])
def test_a_silence_nobody_knows_leads_back(maker_page, number):
    assert maker_page.get(f"/hours/silence/?log={number}")["Location"] == "/hours/"


# A slip of the finger


def test_a_timer_of_a_few_seconds_logs_nothing_and_says_so(maker_page, maker):
    coat, cape = make.project(), make.project("Capelet")
    for project in (coat, cape):
        maker_page.post("/hours/start/", {"project": project.pk, "back": "/"})
    said = maker_page.get("/hours/").content.decode()
    assert "nothing was logged" in said and timing.running(maker).project == cape
    maker_page.post("/hours/stop/", {"back": "/"})
    assert "Less than half a minute for Capelet: nothing was logged." in maker_page.get("/").content.decode()
    assert not LabourLog.objects.exists() and total() == 0


@pytest.mark.parametrize(("seconds", "minutes"), [(0, 0), (29, 0), (30, 1), (89, 1), (90, 2)])
def test_minutes_are_rounded_half_up(maker, seconds, minutes):
    begin(maker, make.project())
    assert timing.stop(person=maker, now=NOON + timedelta(seconds=seconds)).minutes == minutes
    assert (LabourLog.objects.count(), total()) == (min(1, minutes), minutes)


def test_a_timer_that_runs_is_not_taken_out(maker_page, maker):
    log = begin(maker, make.project())
    assert maker_page.post(f"/hours/{log.pk}/delete/").status_code == 403
    assert maker_page.post(f"/hours/{log.pk}/delete/", {"back": "1"}).status_code == 403
    with pytest.raises(logs.StillRuns):
        logs.remove(log=log, now=at(5))
    assert timing.running(maker) == log


def test_a_timer_that_runs_for_a_step_that_is_done_says_so(maker_page, maker):
    step = make.step()
    maker_page.post(f"/projects/{step.project_id}/steps/time/", {"key": f"own:{step.pk}"})
    said = "is done, and the timer still runs for it"
    assert said not in maker_page.get("/hours/").content.decode()
    maker_page.post(f"/projects/{step.project_id}/steps/tick/", {"key": f"own:{step.pk}"})
    for address in ("/", "/hours/"):
        assert said in maker_page.get(address).content.decode()


def test_pages_lead_to_what_explains_them(owner_page):
    make.project()
    for address, page in (("/hours/", "hours"), ("/studio/rates/", "estimates")):
        assert f'href="/help/{page}/"' in owner_page.get(address).content.decode()


def test_a_silence_of_a_night_is_not_counted_by_one_tap(maker_page, maker):
    begin(maker, make.project(), now=timezone.now() - timedelta(hours=13))
    page = maker_page.get("/hours/").content.decode()
    assert "the last sign" in page and "Still at it</button>" not in page and "Just now</button>" not in page
    assert "At another time" in page
