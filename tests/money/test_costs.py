"""Costs of a project against figures worked by hand."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.activities import logs, other_costs, steps, stock
from projects.models import Deletion, NotionNeed, OtherCost, Person, Project
from projects.planning.costs import Costs, plan_costs
from projects.planning.forecasts import forecast_of
from projects.planning.load import load_rows
from projects.planning.making import plan_project, plan_rows
from tests import make

pytestmark = pytest.mark.django_db
M = 1_000 * make.MM
TODAY = date(2026, 3, 20)


def costs_of(project: Project, **settings: Any) -> Costs:
    workroom = make.workroom(**settings)
    return plan_costs(project, plan_project(project), workroom=workroom, today=TODAY)


def line(costs: Costs, group: str, name: str = "") -> Any:
    return next(x for x in costs.lines if x.group == group and name in x.name)


@pytest.fixture
def coat(owner: Person, maker: Person) -> Project:
    """Voile at 14.50 a metre with 2 m cut and 30 cm spoiled; 6 buttons of 0.35 needed, 2 used and 1 lost;
    postage 4.50; an hour of the studio 18.00, of Moss 20.00 and from 10 March 24.00, overhead 4.50."""
    project = make.project()
    voile = make.fabric(
        price=Decimal("14.50"), price_per="m", shrink_along=Decimal(0), shrink_across=Decimal(0)
    )
    make.piece(project, fabric=voile, version=None)
    length, buttons = make.length(voile), make.notion(price=Decimal("0.35"))
    NotionNeed.objects.create(project=project, notion=buttons, amount=6000)
    for row, take, amount in (
        (length, stock.cut, 2 * M), (length, stock.waste, 300 * make.MM),
        (buttons, stock.cut, 2000), (buttons, stock.waste, 1000),
    ):  # fmt: skip
        take(row=row, amount=amount, person=owner, project=project)
    make.other_cost(project)
    make.hour_rate(1800)
    make.hour_rate(450, kind="overhead")
    make.hour_rate(2000, of=maker)
    make.hour_rate(2400, of=maker, from_date=date(2026, 3, 10))
    return project


def test_materials_are_the_ledgers_at_their_prices(coat: Project) -> None:
    found = costs_of(coat)
    assert (line(found, "cloth").so_far.quantity, line(found, "cloth").so_far.amount) == (2 * M, 2900)
    assert line(found, "spoiled", "voile").so_far.amount == 435
    assert line(found, "notions").planned.amount == 210
    assert line(found, "notions").so_far.amount == 70
    assert line(found, "notions").in_the_end.amount == 210
    assert line(found, "spoiled", "buttons").so_far.amount == 35
    assert line(found, "other").so_far.amount == 450
    assert found.so_far.materials == 2900 + 435 + 70 + 35 + 450


def test_planned_cloth_is_the_plans_need(coat: Project) -> None:
    """The front, 50 x 70 with 15 mm allowances, is cut 53 x 73 and squared 10 mm a side: 75 cm of cloth."""
    found, plan = costs_of(coat), plan_project(coat)
    assert plan.fabrics[0].need == 750 * make.MM
    assert line(found, "cloth").planned.quantity == 750 * make.MM
    assert line(found, "cloth").planned.amount == 1088  # 0.75 x 14.50 = 10.875, half up
    assert line(found, "cloth").in_the_end.amount == 3988  # 2.75 x 14.50 = 39.875, half up 39.88
    assert found.planned.complete


def test_a_price_a_yard_counts_yards(coat: Project) -> None:
    fabric = coat.pieces.get().fabric
    type(fabric).objects.filter(pk=fabric.pk).update(price=Decimal("10"), price_per="yd")
    assert line(costs_of(coat), "cloth").so_far.amount == 2187  # 2 / 0.9144 x 10.00 = 21.872


def test_hours_count_at_the_rate_of_their_day(coat: Project, owner: Person, maker: Person) -> None:
    """Moss 2 h on the 9th at 20 and 1 h 30 on the 10th at 24 = 76.00; Wren 40 min at the studio's 18 = 12.00;
    Fern, who came with a file, 1 h at 18. Overhead 310 min at 4.50 = 23.25."""
    make.log(maker, coat, date=date(2026, 3, 9), minutes=120)
    make.log(maker, coat, date=date(2026, 3, 10), minutes=90)
    make.log(owner, coat, date=date(2026, 3, 10), minutes=40)
    make.log(owner, coat, date=date(2026, 3, 10), minutes=999, removed_at=timezone.now())
    type(coat.labour.first()).objects.create(
        project=coat, worker="Fern", entered_by=owner, date=date(2026, 3, 1), minutes=60, stage="texture"
    )
    found = costs_of(coat)
    amounts = {x.name: x.so_far.amount for x in found.lines if x.group == "hours"}
    assert amounts == {"Moss": 7600, "Wren": 1200, "Fern": 1800, "Planned, or still to come": 0}
    assert line(found, "overhead").so_far.amount == 2325
    assert found.so_far.work == 10600 and found.so_far.complete


def test_hours_to_come_are_open_steps_less_what_was_logged_on_them(coat: Project, maker: Person) -> None:
    step = make.step(coat, minutes=90)
    before = costs_of(coat).hours.to_come
    make.log(maker, coat, step=step, minutes=30)
    found = costs_of(coat)
    assert before - found.hours.to_come == 30
    planned = line(found, "hours", "Planned, or still to come")
    assert planned.in_the_end.quantity == found.hours.to_come
    assert found.hours.low < 30 + found.hours.to_come < found.hours.high and found.hours.so_far == 30


def test_hours_to_come_are_those_that_the_project_page_forecasts(coat: Project, maker: Person) -> None:
    """Also where a step has taken longer than planned: that lowers nothing of what is left."""
    step = next(step for step in plan_project(coat).steps if step.work)
    row = steps.row_for(project=coat, key=step.key)
    logs.log_by_hand(
        person=maker, entered_by=maker, project=coat, stage=row.stage, step=row, on=TODAY,
        minutes=3 * int(step.minutes) + 60,
    )  # fmt: skip
    steps.tick(project=coat, key=step.key, person=maker, now=timezone.now())
    rows = load_rows(coat)
    forecast, found = forecast_of(rows, plan_rows(rows)), costs_of(coat)
    assert forecast and forecast.left > forecast.planned > 0
    assert forecast.slower and forecast.pace < 3 + Decimal(60) / step.minutes
    assert found.hours.to_come == forecast.left
    spent = found.hours.so_far
    assert (found.hours.low, found.hours.high) == (spent + forecast.low, spent + forecast.high)
    assert found.hours.middle == forecast.end == spent + forecast.left


def test_margin_and_tax_make_the_price(coat: Project) -> None:
    found = costs_of(coat, margin=Decimal("0.25"), tax=Decimal("0.2"))
    cost = found.planned.cost
    assert cost == sum(x.planned.amount for x in found.lines)
    assert found.price_planned.net == int(Decimal(cost) / Decimal("0.75") + Decimal("0.5"))
    assert found.price_planned.total == found.price_planned.net + found.price_planned.tax


def test_what_has_no_price_is_said_and_not_taken_as_nothing(maker: Person) -> None:
    project = make.project()
    voile = make.fabric()
    make.piece(project, fabric=voile)
    make.piece(project, name="Back", fabric=None)
    make.log(maker, project)
    found = costs_of(project)
    assert {(m.where, m.pk) for m in found.missing} >= {("fabric", voile.pk), ("rates", None)}
    assert [m.text for m in found.missing if m.where == "piece"] == [
        "Back has no fabric, so its cloth is left out."
    ]
    assert line(found, "cloth").planned.amount is None and line(found, "hours", "Moss").so_far.amount is None
    assert not found.planned.complete and not found.so_far.complete


def test_a_rate_of_nothing_is_known(coat: Project) -> None:
    make.hour_rate(0, kind="overhead", from_date=date(2026, 3, 15))
    found = costs_of(coat)
    assert line(found, "overhead").planned.amount == 0 and found.missing == ()


def test_cut_and_then_not_cut_after_all_costs_nothing(coat: Project, owner: Person) -> None:
    cut = coat.stock_entries.filter(kind="cut", cloth__isnull=False).get()
    stock.uncut(entry=cut, person=owner, note="not cut after all")
    assert line(costs_of(coat), "cloth").so_far.quantity == 0


def test_thread_beyond_what_is_named_is_priced_by_the_thread_named(coat: Project) -> None:
    spool = make.notion("Linen thread", kind="thread", unit="spools", price=Decimal("3.20"))
    NotionNeed.objects.create(project=coat, notion=spool, amount=1000)
    plan = replace_thread(plan_project(coat), spools=3)
    found = plan_costs(coat, plan, workroom=make.workroom(), today=TODAY)
    assert [(x.name, x.planned.amount) for x in found.lines if x.group == "thread"] == [
        ("Linen thread", 320), ("More of Linen thread", 640),
    ]  # fmt: skip


def replace_thread(plan: Any, *, spools: int) -> Any:
    """The plan with so many spools of thread, whatever else a plan says of thread."""

    class Threaded:
        thread = type("Thread", (), {"spools": spools})

        def __getattr__(self, name: str) -> Any:
            return getattr(plan, name)

    return Threaded()


def test_as_many_queries_for_many_logs_as_for_one(
    coat: Project, maker: Person, django_assert_num_queries: Any
) -> None:
    plan, workroom = plan_project(coat), make.workroom()
    make.log(maker, coat)
    with django_assert_num_queries(12):
        plan_costs(coat, plan, workroom=workroom, today=TODAY)
    for number in range(40):
        make.log(make.person() if number % 10 == 0 else maker, coat, date=date(2026, 3, 1 + number % 20))
        make.other_cost(coat)
    with django_assert_num_queries(12):
        plan_costs(coat, plan, workroom=workroom, today=TODAY)


def test_the_page_says_all_of_it(coat: Project, owner_page: Client) -> None:
    make.workroom(margin=Decimal("0.25"), tax=Decimal("0.2"))
    page = owner_page.get(reverse("costs", args=[coat.pk])).content.decode().replace("\xa0", " ")
    for text in ("29.00 EUR", "2.00 m<", "4.35 EUR", "Postage", "25 % of the net price", "Overhead"):
        assert text in page, text
    assert "unknown" not in page


@pytest.mark.parametrize(
    "currency, units, shown",
    [("JPY", "inch", "29 JPY"), ("KWD", "metric", "29.000 KWD"), ("GBP", "inch", "29.00 GBP")],
)
def test_in_other_currencies_and_units(
    coat: Project, owner_page: Client, currency: str, units: str, shown: str
) -> None:
    make.workroom(currency=currency, units=units)
    page = owner_page.get(reverse("costs", args=[coat.pk])).content.decode().replace("\xa0", " ")
    assert shown in page and ("yd" in page) == (units == "inch")


def test_an_hour_earns_what_is_left_over(coat: Project, owner_page: Client) -> None:
    found = costs_of(coat)
    page = owner_page.get(reverse("costs", args=[coat.pk]), {"price": "700"}, HTTP_HX_REQUEST="true")
    text = page.content.decode().replace("\xa0", " ")
    assert page.status_code == 200 and "<h1" not in text
    left = 70000 - found.in_the_end.materials
    slow = (left - 450 * found.hours.high / 60) * 60 / found.hours.high
    assert f"{(slow / 100).quantize(Decimal('0.01'))} EUR" in text
    assert "The middle is what the project’s page says is likely in all" in text


@pytest.mark.parametrize("live", [{}, {"HTTP_HX_REQUEST": "true"}])
def test_a_price_that_cant_be_read_is_kept(coat: Project, owner_page: Client, live: dict[str, str]) -> None:
    answer = owner_page.get(reverse("costs", args=[coat.pk]), {"price": "1,250"}, **live)
    assert answer.status_code == 422 and "one way only" in answer.content.decode()
    assert live or 'value="1,250"' in answer.content.decode()


def test_another_cost_is_added_changed_deleted_and_brought_back(
    coat: Project, owner: Person, owner_page: Client
) -> None:
    where = reverse("other_cost_new", args=[coat.pk])
    wrong = owner_page.post(where, {"what": "Dye bath", "amount": "a lot"})
    assert wrong.status_code == 422 and b"Dye bath" in wrong.content and b"a lot" in wrong.content
    assert owner_page.post(where, {"what": "Dye bath", "amount": "12,50"}).status_code == 303
    row = OtherCost.objects.get(what="Dye bath")
    edit = reverse("other_cost", args=[coat.pk, row.pk])
    changed = {"what": "Two dye baths", "amount": "25", "revision": "1"}
    assert owner_page.post(edit, changed).status_code == 303
    assert owner_page.post(edit, {**changed, "amount": "26"}).status_code == 409
    row.refresh_from_db()
    assert (row.what, row.amount) == ("Two dye baths", 2500)
    other_costs.delete_other_cost(row, person=owner)
    assert line(costs_of(coat), "other").so_far.amount == 450
    owner_page.post(reverse("restore", args=[Deletion.objects.get().pk]))
    assert OtherCost.objects.live().filter(pk=row.pk).exists()


def test_a_maker_sees_no_costs(coat: Project, maker_page: Client) -> None:
    assert maker_page.get(reverse("costs", args=[coat.pk])).status_code == 403
    page = maker_page.get(reverse("project", args=[coat.pk])).content.decode()
    assert "EUR" not in page and reverse("costs", args=[coat.pk]) not in page
