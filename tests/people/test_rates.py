"""How long work takes: starting values, the studio's own figures from a day on, and back."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from projects.activities.pieces import create_piece
from projects.calc.labour import DRIVERS, STARTING_SETUP
from projects.models import LabourRate
from projects.planning import plan_project
from tests import make


def save(page: Client, **changes: str):
    shown = page.get("/studio/rates/tucks/").context["form"]
    data = {"minutes": "1.2", "from_date": str(timezone.localdate()), "seen": shown.initial["seen"]}
    return page.post("/studio/rates/tucks/", {**data, **changes})


def test_every_driver_is_listed_as_a_starting_value(owner_page: Client) -> None:
    page = owner_page.get("/studio/rates/").content.decode()
    assert page.count("starting value</span>") == len(DRIVERS) + len(STARTING_SETUP)
    assert page.count("Setting up, once a project</th>") == len(STARTING_SETUP)
    for driver in DRIVERS.values():
        assert driver.counts[1:] in page


@pytest.mark.parametrize(("text", "minutes"), [("1.2", "1.2"), ("1,25", "1.25"), ("0", "0"), (" 3 ", "3")])
def test_an_own_figure_replaces_the_starting_value(owner_page: Client, text: str, minutes: str) -> None:
    assert save(owner_page, minutes=text)["Location"] == "/studio/rates/"
    assert LabourRate.objects.get().minutes == Decimal(minutes)
    assert "our own, from" in owner_page.get("/studio/rates/").content.decode()


def test_a_figure_of_tomorrow_does_not_count_today(owner_page: Client) -> None:
    save(owner_page, from_date=str(timezone.localdate() + timedelta(days=1)))
    assert "our own, from" not in owner_page.get("/studio/rates/").content.decode()
    assert b"1.2" in owner_page.get("/studio/rates/tucks/").content


def test_later_figures_are_added_and_the_same_day_replaces(owner_page: Client) -> None:
    save(owner_page, from_date="2026-01-01")
    save(owner_page, minutes="1.4", from_date="2026-02-01")
    save(owner_page, minutes="1.5", from_date="2026-02-01")
    kept = list(LabourRate.objects.order_by("from_date").values_list("from_date", "minutes"))
    assert kept == [(date(2026, 1, 1), Decimal("1.2")), (date(2026, 2, 1), Decimal("1.5"))]


def test_back_to_the_starting_value(owner_page: Client) -> None:
    save(owner_page)
    owner_page.post("/studio/rates/tucks/clear/")
    assert not LabourRate.objects.exists()


def test_two_people_at_once(owner_page: Client) -> None:
    save(owner_page)
    answer = save(owner_page, minutes="3", seen="")
    assert answer.status_code == 409 and b"meanwhile" in answer.content and b'value="3"' in answer.content
    assert LabourRate.objects.get().minutes == Decimal("1.2")
    assert owner_page.post("/studio/rates/tucks/", answer.context["form"].data).status_code == 303


@pytest.mark.parametrize(
    "changes",
    [
        {"minutes": "soon"}, {"minutes": "-1"}, {"minutes": "NaN"}, {"minutes": "1e9"},
        {"minutes": "1.23456"}, {"minutes": ""}, {"minutes": "9" * 10_000},
        {"from_date": "tomorrow"}, {"from_date": "1066-10-14"}, {"from_date": "9999-12-31"},
    ],
)
def test_bad_figures_save_nothing(owner_page: Client, changes: dict[str, str]) -> None:
    assert save(owner_page, **changes).status_code == 422
    assert not LabourRate.objects.exists()


def test_no_such_part_of_the_work(owner_page: Client) -> None:
    assert owner_page.get("/studio/rates/naps/").status_code == 404
    assert owner_page.post("/studio/rates/naps/clear/").status_code == 404


def test_setting_up_a_stage_has_its_own_figure_and_the_plan_counts_it(owner_page: Client) -> None:
    project, values = make.project(), {"name": "Yoke", "across": 300 * make.MM, "along": 200 * make.MM}
    create_piece(project=project, values={**values, "fabric": make.fabric()})
    before = plan_project(project).minutes
    where = "/studio/rates/setup.cut/"
    shown = owner_page.get(where)
    assert "Setting up, once a project" in shown.content.decode()
    data = {"minutes": "40", "from_date": str(timezone.localdate()), "seen": ""}
    assert owner_page.post(where, data)["Location"] == "/studio/rates/"
    assert plan_project(project).minutes == before + 40 - STARTING_SETUP["cut"]
    assert "our own, from" in owner_page.get("/studio/rates/").content.decode()
    owner_page.post(f"{where}clear/")
    assert plan_project(project).minutes == before
    assert owner_page.get("/studio/rates/setup.dyeing/").status_code == 404
