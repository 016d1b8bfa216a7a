"""Hours a week and days off: each person's own, everybody's for owners."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import calendar
from projects.models import DayOff, Person
from tests import make
from tests.browser import looks_wrong


def post_week(page: Client, where: str, **days: str) -> object:
    shown = page.get(where).context["form"]
    return page.post(where, {"seen": shown.initial["seen"], **days})


def test_hours_are_typed_as_people_write_them(maker_page: Client, maker: Person) -> None:
    typed = {"day0": "6 h", "day1": "4:30", "day2": "", "day3": "0", "day4": "90 min"}
    answer = post_week(maker_page, reverse("calendar"), **typed)
    assert answer.status_code == 303
    assert calendar.week_of(maker) == (360, 270, 0, 0, 90, 0, 0)
    page = maker_page.get(reverse("calendar")).content.decode()
    assert "12 h a week" in page and 'value="4 h 30 min"' in page
    post_week(maker_page, reverse("calendar"), day0="5 h")
    assert calendar.week_of(maker) == (300, 0, 0, 0, 0, 0, 0)


def test_a_number_alone_is_hours(maker_page: Client, maker: Person) -> None:
    assert "a number alone is hours" in maker_page.get(reverse("calendar")).content.decode()
    post_week(maker_page, reverse("calendar"), day0="2", day1="4.5", day2="7,25")
    assert calendar.week_of(maker) == (120, 270, 435, 0, 0, 0, 0)
    answer = post_week(maker_page, reverse("calendar"), day0="40", day1="sixish")
    page = answer.content.decode()
    assert answer.status_code == 422 and 'value="40"' in page
    assert "without a unit is hours, and more than 24 h. Type a time such as 6 h, 4 h 30 min" in page
    assert "1h20" not in page and calendar.week_of(maker)[0] == 120


def test_what_cant_be_read_is_kept_and_explained(maker_page: Client, maker: Person) -> None:
    answer = post_week(maker_page, reverse("calendar"), day0="six", day1="30 h", day2="4 h")
    page = answer.content.decode()
    assert answer.status_code == 422 and "can&#x27;t be read as a time" in page and "longer than 24 h" in page
    assert 'value="six"' in page and calendar.week_of(maker) == (0,) * 7


def test_two_people_changing_one_week(owner_page: Client, owner: Person, maker: Person) -> None:
    where = reverse("calendar_of", args=[maker.pk])
    shown = owner_page.get(where).context["form"].initial["seen"]
    calendar.set_week(person=maker, minutes={0: 60})
    answer = owner_page.post(where, {"seen": shown, "day1": "2 h"})
    assert answer.status_code == 409 and "Monday 1 h" in answer.content.decode()
    assert calendar.week_of(maker)[0] == 60
    again = answer.context["form"].data["seen"]
    assert owner_page.post(where, {"seen": again, "day1": "2 h"}).status_code == 303
    assert calendar.week_of(maker)[:2] == (0, 120)


def test_days_off_come_and_go_and_come_back(maker_page: Client, maker: Person) -> None:
    first = timezone.localdate() + timedelta(days=3)
    data = {"off-first": first.isoformat(), "off-last": "", "off-note": "A fair"}
    assert maker_page.post(reverse("day_off_new"), data).status_code == 303
    row = DayOff.objects.get()
    assert (row.person, row.first, row.last) == (maker, first, first)
    maker_page.post(reverse("day_off_remove", args=[row.pk]))
    page = maker_page.get(reverse("calendar"))
    assert not page.context["days_off"] and page.context["removed"] == [row]
    maker_page.post(reverse("day_off_remove", args=[row.pk]), {"back": "1"})
    assert maker_page.get(reverse("calendar")).context["days_off"] == [row]


@pytest.mark.parametrize(
    "first, last, said",
    [("2026-12-24", "2026-12-01", "before the first"), ("2026-12-24", "2028-12-24", "more than a year"),
     ("1026-12-24", "", "no day of this century"), ("soon", "", "date")],
)  # fmt: skip
def test_days_that_cant_be_are_refused(maker_page: Client, first: str, last: str, said: str) -> None:
    answer = maker_page.post(reverse("day_off_new"), {"off-first": first, "off-last": last})
    assert answer.status_code == 422 and said in answer.content.decode()
    assert f'value="{first}"' in answer.content.decode() and not DayOff.objects.exists()


def test_the_studios_days_are_for_owners(
    owner_page: Client, maker_page: Client, owner: Person, maker: Person
) -> None:
    day = (timezone.localdate() + timedelta(days=9)).isoformat()
    maker_page.post(reverse("day_off_new"), {"off-first": day, "off-whose": "studio"})
    assert DayOff.objects.get().person == maker
    owner_page.post(reverse("day_off_of", args=[maker.pk]), {"off-first": day, "off-whose": "studio"})
    row = DayOff.objects.get(person=None)
    assert row in maker_page.get(reverse("calendar")).context["days_off"]
    assert maker_page.post(reverse("day_off_remove", args=[row.pk])).status_code == 403
    other = make.day_off(owner)
    assert other not in maker_page.get(reverse("calendar")).context["days_off"]
    assert maker_page.post(reverse("day_off_remove", args=[other.pk])).status_code == 403


def test_as_many_queries_for_many_people_and_days(owner_page: Client, owner: Person) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as captured:
            owner_page.get(reverse("calendar"))
        return len(captured)

    asked()
    few = asked()
    for _ in range(6):
        make.week_hours(make.person())
        make.day_off(owner)
        make.day_off()
    assert asked() == few


@pytest.mark.parametrize("width", [360, 1280])
def test_it_looks_right(browser_page: object, owner: Person, width: int) -> None:
    make.week_hours(owner)
    make.day_off(owner, note="A fair")
    make.day_off(removed_at=timezone.now())
    page = browser_page(width, person=owner)
    page.goto(reverse("calendar"))
    assert not looks_wrong(page, phone=width < 700)
