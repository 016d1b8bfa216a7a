"""When all that is in hand will be done, and by when new work can be promised."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import logs
from projects.models import Person, Project
from projects.planning import plan_project
from projects.planning.promises import calendar_on, look_ahead
from projects.templatetags.estimates import about
from tests import make
from tests.browser import looks_wrong

TODAY = date(2026, 3, 2)


def coat(days: int, **values: object) -> Project:
    found = make.project(due=timezone.localdate() + timedelta(days=days), **values)
    make.piece(found, count=2, fabric=make.fabric(), version=make.version())
    return found


def test_without_hours_a_week_no_date_is_given(maker: Person) -> None:
    ahead = look_ahead([coat(20)], today=TODAY)
    assert not ahead.calendar.known and not ahead.outlooks and ahead.promise(600) is None


def test_more_hours_and_fewer_days_off_bring_it_nearer(maker: Person) -> None:
    works = [coat(20), coat(40)]
    make.week_hours(maker, 120, 120, 120, 120, 120)
    slow = look_ahead(works, today=TODAY)
    assert slow.outlooks[works[0].pk].safe < slow.outlooks[works[1].pk].safe, "what is due first comes first"
    make.week_hours(other := make.person())
    quick = look_ahead(works, today=TODAY)
    assert quick.outlooks[works[1].pk].safe < slow.outlooks[works[1].pk].safe
    for_all = make.day_off(first=TODAY, last=TODAY + timedelta(days=20))
    closed = look_ahead(works, today=TODAY)
    assert closed.outlooks[works[0].pk].likely > for_all.last
    for_all.removed_at = timezone.now()
    for_all.save()
    other.is_active = False
    other.save()
    assert look_ahead(works, today=TODAY).outlooks[works[1].pk].safe == slow.outlooks[works[1].pk].safe


def test_new_work_comes_after_what_is_in_hand(maker: Person) -> None:
    make.week_hours(maker)
    none, much = look_ahead([], today=TODAY), look_ahead([coat(20), coat(30)], today=TODAY)
    short, long = much.promise(60), much.promise(6_000)
    assert none.promise(60).safe <= short.safe < long.safe
    assert short.likely <= short.safe


def test_the_share_of_hours_that_go_into_projects_is_learned(maker: Person) -> None:
    make.week_hours(maker)
    usual = calendar_on(TODAY).share
    project = make.project()
    for week in range(1, 7):
        for day in range(3):
            on = TODAY - timedelta(days=7 * week - day)
            make.log(maker, project, date=on, minutes=300)
    found = calendar_on(TODAY).share
    assert found.weeks and found.mean < usual.mean


def test_as_many_queries_for_many_projects_people_and_days(maker: Person) -> None:
    def asked(works: list[Project]) -> int:
        with CaptureQueriesContext(connection) as captured:
            look_ahead(works, today=TODAY).promise(600)
        return len(captured)

    works = [coat(20), coat(30)]
    make.week_hours(maker)
    make.day_off()
    make.log(maker, works[0], minutes=30)
    few = asked(works)
    for n in range(6):
        works.append(coat(40 + n))
        make.week_hours(who := make.person())
        make.day_off(who)
        make.log(who, works[-1], minutes=30, step=make.step(works[-1], key=f"k{n}"))
    assert asked(works) == few


def test_today_says_when_and_by_when(owner_page: Client, owner: Person) -> None:
    late = coat(0, title="Velvet bag")
    assert "no date can be given" in owner_page.get(reverse("today")).content.decode()
    make.week_hours(owner, 60)
    page = owner_page.get(reverse("today"), {"new": "20"}).content.decode()
    assert "Will be done" in page and "late" in page and "20 h of new work can be promised for" in page
    live = owner_page.get(reverse("today"), {"new": "1h20"}, HTTP_HX_REQUEST="true").content.decode()
    assert live.startswith("<p>1 h 20 min of new work") and "<html" not in live
    wrong = owner_page.get(reverse("today"), {"new": "soon"}).content.decode()
    assert "can’t be read" in wrong or "can&#x27;t be read" in wrong
    assert 'value="soon"' in wrong
    shown = owner_page.get(reverse("project_promise", args=[late.pk])).content.decode()
    assert "Will be done" in shown and "late" in shown


def test_a_promise_says_what_waits_and_is_not_counted(owner_page: Client, owner: Person) -> None:
    def said() -> str:
        page = owner_page.get(reverse("today"), {"new": "20"}, HTTP_HX_REQUEST="true")
        return page.content.decode()

    make.week_hours(owner, 240)
    assert "Not counted" not in said()
    waits = coat(30, title="Capelet", state="waiting")
    left = look_ahead([waits], today=TODAY).projects[waits.pk].forecast
    assert left
    assert f'1 project that waits</a>, <span class="nowrap">{about(left.left)}</span> left.' in said()
    make.project(state="waiting")
    assert "2 projects that wait</a>" in said() and "1 of them with no time planned yet." in said()
    waits.state = "finished"
    waits.save()
    assert "1 project that waits</a>, with no time planned yet." in said()


def test_today_gives_what_is_left_a_range_of_its_own(owner_page: Client, owner: Person) -> None:
    found = coat(30)
    left = look_ahead([found], today=timezone.localdate()).projects[found.pk].forecast
    page = owner_page.get(reverse("today")).content.decode()
    cell = page.split('data-label="Left to do">')[1].split("</td>")[0]
    assert left and [about(one) in cell for one in (left.left, left.low, left.high)] == [True] * 3
    assert "In all" not in cell, "no budget was kept"


def test_what_comes_next_leads_to_its_step(owner_page: Client) -> None:
    found = coat(30)
    page = owner_page.get(reverse("project", args=[found.pk])).content.decode()
    step = plan_project(found).next_steps(1)[0]
    assert f'{reverse("steps", args=[found.pk])}#step-{step.key}">{step.title}</a>' in page


def test_the_page_of_a_promise_shows_what_comes_before_it(owner_page: Client, owner: Person) -> None:
    later, sooner = coat(40, title="Capelet"), coat(20, title="Velvet bag")
    make.week_hours(owner, 240)
    page = owner_page.get(reverse("project_promise", args=[later.pk])).content.decode()
    table = page[page.index("What comes when") :]
    assert table.index("Velvet bag") < table.index("Capelet") < table.index("this one")
    assert "4 h together" in table and reverse("project", args=[sooner.pk]) in table
    live = owner_page.get(reverse("project_promise", args=[later.pk]), HTTP_HX_REQUEST="true")
    assert "What comes before it" in live.content.decode() and "queue" not in live.content.decode()


def test_the_project_says_where_it_will_end(
    owner_page: Client, maker_page: Client, owner: Person, maker: Person
) -> None:
    project = coat(30)
    logs.log_by_hand(
        person=owner, entered_by=owner, project=project, stage="texture", on=TODAY, minutes=1_400
    )  # fmt: skip
    for name in ("project", "project_hours"):
        page = owner_page.get(reverse(name, args=[project.pk])).content.decode()
        assert "23 h 20 min done" in page and " over</strong> the budget" in page
        assert "Time budget: <strong" in page and "now expected: <strong" in page
        theirs = maker_page.get(reverse(name, args=[project.pk])).content.decode()
        assert "</span> left at the pace so far (" in page and "</strong> in all, likely " in page
        assert " left at the pace so far (" in theirs and "in all" not in theirs
        assert "23 h" not in theirs and "the budget" not in theirs


def test_the_budget_at_the_start_stands_beside_what_is_expected_now(
    owner_page: Client, maker_page: Client, owner: Person, maker: Person
) -> None:
    project = coat(30)
    make.log(owner, project, stage="texture", minutes=60)
    make.log(maker, project, stage="cut", minutes=25)
    kept = {
        "format": 1, "on": "2026-03-02", "minutes": "1880", "stages": {"texture": "1201", "cut": "83"},
    }  # fmt: skip
    Project.objects.filter(pk=project.pk).update(first_budget=kept)
    make.week_hours(owner)
    for name in ("project", "project_hours", "project_promise"):
        page = owner_page.get(reverse(name, args=[project.pk])).content.decode()
        assert "Time budget at the start, on 2 March" in page
        assert ">31 h 20 min</strong>; now expected:" in page
        assert "Planned now: " in page
        theirs = maker_page.get(reverse(name, args=[project.pk])).content.decode()
        assert ">31 h 20 min</strong>." in theirs and "expected" not in theirs
    today = owner_page.get(reverse("today")).content.decode()
    assert 'budget at the start <span class="nowrap">31 h 20 min</span>' in today
    assert "budget at the start" not in maker_page.get(reverse("today")).content.decode()


def test_each_stage_shows_what_is_left(owner_page: Client, maker_page: Client, maker: Person) -> None:
    project = coat(30)
    logs.log_by_hand(person=maker, entered_by=maker, project=project, stage="cut", on=TODAY, minutes=25)
    kept = {"format": 1, "on": "2026-03-02", "minutes": "1880", "stages": {"cut": "83"}}
    Project.objects.filter(pk=project.pk).update(first_budget=kept)
    for page in (owner_page, maker_page):
        text = page.get(reverse("project", args=[project.pk])).content.decode()
        row = text[text.index(">Cut the panels</th>") :].split("</tr>")[0]
        assert 'data-label="At the start"><span class="nowrap">1 h 23 min<' in row
        assert 'data-label="Logged"><span class="nowrap">25 min<' in row
        assert 'data-label="Left">' in row and " to " in row.split('data-label="In 8 of 10 cases">')[1]
        assert text.index(" left at the pace so far (") < text.index("<th scope=\"col\">Stage</th>")
    Project.objects.filter(pk=project.pk).update(state="finished")
    text = owner_page.get(reverse("project", args=[project.pk])).content.decode()
    assert 'data-label="Left"' not in text and "In 8 of 10 cases" in text
    assert "Time budget at the start" in text and "now expected" not in text


@pytest.mark.parametrize("width", [360, 1280])
def test_it_looks_right(browser_page: object, owner: Person, width: int) -> None:
    project = coat(3)
    make.week_hours(owner)
    page = browser_page(width, person=owner)
    page.goto(reverse("today"))
    page.fill("#new-hours", "12")
    page.wait_for_selector("#promise strong")
    assert not looks_wrong(page, phone=width < 700)
    page.goto(reverse("project", args=[project.pk]))
    page.wait_for_selector("#promise[role=status]")
    assert not looks_wrong(page, phone=width < 700)
