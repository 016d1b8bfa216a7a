"""The week by project, stage and person, its table for a spreadsheet; many rows ask no oftener than few."""

import csv
import io
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.models import LogChange
from tests import make

WEEK = "/hours/?week=2026-03-02"


@pytest.fixture
def busy(owner, maker):
    coat, cape = make.project(), make.project("Capelet")
    make.log(owner, coat, minutes=30, stage="cut")
    make.log(maker, coat, minutes=60, stage="texture")
    make.log(maker, coat, minutes=15, stage="texture", rework=True)
    make.log(maker, cape, minutes=20, stage="cut")
    make.log(maker, None, minutes=5, stage="")
    make.log(maker, coat, minutes=999, date=date(2026, 3, 9))
    return coat


def sums(page, by: str) -> dict[str, tuple[int, dict[str, int]]]:
    shown = page.get(f"{WEEK}&person=all&by={by}")
    return {
        row.title: (row.minutes, {part.title: part.minutes for part in row.parts})
        for row in shown.context["sums"]
    }


def test_by_project(owner_page, busy):
    assert sums(owner_page, "project") == {
        "Capelet": (20, {"Cut the panels": 20}),
        "Concert coat": (105, {"Cut the panels": 30, "Sew the texture": 75}),
        "No project": (5, {"No stage": 5}),
    }


def test_two_projects_of_one_title_are_told_apart(owner_page, owner):
    for number in (7, 9):
        make.log(owner, make.project("Capelet", number=number))
    page = owner_page.get("/hours/?week=2026-03-02").content.decode()
    assert "Capelet, number 7" in page and "Capelet, number 9" in page


def test_by_stage_in_working_order(owner_page, busy):
    found = sums(owner_page, "stage")
    assert list(found) == ["Cut the panels", "Sew the texture", "No stage"]
    assert found["Cut the panels"] == (50, {"Capelet": 20, "Concert coat": 30})


def test_by_person(owner_page, busy):
    found = sums(owner_page, "person")
    assert {name: minutes for name, (minutes, _) in found.items()} == {"Moss": 100, "Wren": 30}


def test_every_grouping_comes_to_the_same_and_so_do_the_days(owner_page, busy):
    for by in ("project", "stage", "person"):
        assert sum(minutes for minutes, _ in sums(owner_page, by).values()) == 130
    shown = owner_page.get(f"{WEEK}&person=all").context
    assert (shown["total"], shown["again"], sum(day.minutes for day in shown["days"])) == (130, 15, 130)


def test_a_maker_has_own_sums_only(maker_page, busy):
    assert sum(minutes for minutes, _ in sums(maker_page, "person").values()) == 100


def table(page, address) -> list[dict[str, str]]:
    text = b"".join(page.get(address).streaming_content).decode("utf-8-sig")
    assert "\r\n" in text
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_table_is_what_the_week_shows(owner_page, maker_page, maker, busy):
    shown = owner_page.get(f"{WEEK}&person={maker.pk}").content.decode()
    address = f"/hours/csv/?from=2026-03-02&to=2026-03-08&person={maker.pk}"
    assert address.replace("&", "&amp;") in shown
    rows = table(owner_page, address)
    assert sum(int(row["Minutes"]) for row in rows) == 100
    assert [row["Done again"] for row in rows].count("yes") == 1
    assert table(maker_page, address) == rows
    assert len(table(maker_page, "/hours/csv/?person=all&from=2026-03-02&to=2026-03-08")) == 4


def test_the_table_has_the_studio_s_clock_and_the_days_asked_for_in_its_name(maker_page, maker):
    make.workroom(time_zone="Europe/Rome")
    nine = datetime(2026, 6, 2, 7, 0, tzinfo=UTC)
    make.log(maker, date=nine.date(), started_at=nine, ended_at=nine + timedelta(hours=1))
    address = "/hours/csv/?from=2026-06-01&to=2026-06-07"
    row = table(maker_page, address)[0]
    assert (row["Start"], row["End"], row["Clock"]) == ("2026-06-02 09:00", "2026-06-02 10:00", "Europe/Rome")
    named = maker_page.get(address)["Content-Disposition"]
    assert named == 'attachment; filename="hours-from-2026-06-01-to-2026-06-07.csv"'
    answer = maker_page.get("/hours/csv/?from=2026-06-07&to=2026-06-01")
    assert answer.status_code == 400 and "earlier day first" in answer.content.decode()


def test_a_text_that_would_be_a_formula_is_no_formula(owner_page, owner):
    make.log(owner, make.project('=HYPERLINK("x")'), note="@SUM(A1)\r\n, and “more”")
    row = table(owner_page, "/hours/csv/")[0]
    assert (row["Project"], row["Note"][:2]) == ("'=HYPERLINK(\"x\")", "'@")


@pytest.mark.parametrize("person", ["x", "999999", "9" * 30, "-1"])
def test_a_table_of_nobody_is_404(owner_page, person):
    assert owner_page.get(f"/hours/csv/?person={person}").status_code == 404


def asked(page, address: str) -> int:
    page.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert page.get(address).status_code == 200
    return len(seen)


def add(number: int, by) -> None:
    """A person with overlapping, changed logs on a project and a step of their own."""
    who, step = make.person(), make.step()
    start = datetime(2026, 3, 2, 9, 0, tzinfo=UTC) + timedelta(minutes=number)
    for _ in range(2):
        log = make.log(
            who, step.project, step=step, entered_by=by, started_at=start, ended_at=start + timedelta(hours=1)
        )
        LogChange.objects.create(log=log, by=by, before={"minutes": 5}, after={"minutes": 60})


def test_a_page_asks_as_often_for_fifty_people_as_for_one(owner_page, owner):
    addresses = [f"{WEEK}&person=all&by={by}" for by in ("project", "stage", "person")] + ["/", "/hours/"]
    owner_page.post("/hours/start/", {})
    add(0, owner)
    few = [asked(owner_page, address) for address in addresses]
    for number in range(1, 50):
        add(number, owner)
    assert [asked(owner_page, address) for address in addresses[:3]] == few[:3]
    assert asked(owner_page, "/hours/") == few[4]


def test_the_changes_of_a_log_ask_once_however_many(owner_page, owner):
    log = make.log(owner, None)
    address = f"/hours/{log.pk}/edit/"
    counts = []
    for many in (1, 40):
        for _ in range(many):
            LogChange.objects.create(log=log, by=owner, before={"minutes": 5}, after={"minutes": 60})
        counts.append(asked(owner_page, address))
    assert counts[0] == counts[1]
