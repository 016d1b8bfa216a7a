"""Colour family, thread on one, and prices, which makers neither see nor change."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from projects.models import Fabric, Notion
from tests import make
from tests.cloth.posts import METRE, fabric_post, notion_post, the_form


def test_a_price_keeps_what_was_typed_and_its_unit(owner_page: Client) -> None:
    answer = owner_page.post(
        reverse("fabric_new"), fabric_post(price="12,3456", price_per="yd", family="white")
    )
    fabric = Fabric.objects.get()
    assert (fabric.price, fabric.price_per, fabric.family) == (Decimal("12.3456"), "yd", "white")
    text = owner_page.get(answer["Location"]).content.decode()
    assert "12.3456 EUR a yard" in text and "white and cream" in text
    form = the_form(owner_page, reverse("fabric_edit", args=[fabric.pk]))
    assert (form["price"], form["price_per"]) == ("12.3456", "yd")


def test_a_new_fabric_is_priced_in_the_studios_units(owner_page: Client) -> None:
    assert the_form(owner_page, reverse("fabric_new"))["price_per"] == "m"
    make.workroom(units="inch")
    assert the_form(owner_page, reverse("fabric_new"))["price_per"] == "yd"


@pytest.mark.parametrize("typed", ["-1", "dear", "1.23456", "1000001", "1,234"])
def test_a_price_that_can_not_be_read_is_said(owner_page: Client, typed: str) -> None:
    for name, data in (("fabric_new", fabric_post(price=typed)), ("notion_new", notion_post(price=typed))):
        answer = owner_page.post(reverse(name), data)
        assert answer.status_code == 422 and list(answer.context["form"].errors) == ["price"]


def test_a_maker_neither_sees_nor_changes_a_price(maker_page: Client) -> None:
    fabric = make.fabric(price=Decimal("41.75"), price_per="yd")
    notion = make.notion(price=Decimal("41.75"))
    for name, row in (("fabric", fabric), ("notion", notion)):
        for page in (name, f"{name}_edit"):
            assert "41.75" not in maker_page.get(reverse(page, args=[row.pk])).content.decode()
    for name, row, post in (("fabric", fabric, fabric_post), ("notion", notion, notion_post)):
        data = post(name="Renamed", price="1", price_per="m", revision=row.revision)
        assert maker_page.post(reverse(f"{name}_edit", args=[row.pk]), data).status_code == 303
        row.refresh_from_db()
        assert (row.name, row.price) == ("Renamed", Decimal("41.75"))
    fabric.refresh_from_db()
    assert fabric.price_per == "yd"
    maker_page.post(reverse("fabric_new"), fabric_post(name="Another", price="1"))
    assert Fabric.objects.get(name="Another").price is None


def test_a_maker_sees_no_price_where_somebody_saved_first(maker_page: Client) -> None:
    fabric = make.fabric(price=Decimal("41.75"))
    Fabric.objects.update(revision=2, name="Theirs")
    data = fabric_post(name="Mine", revision=1)
    answer = maker_page.post(reverse("fabric_edit", args=[fabric.pk]), data)
    assert answer.status_code == 409 and "41.75" not in answer.content.decode()


def test_thread_is_wound_so_long_on_one(owner_page: Client) -> None:
    data = notion_post(name="Linen thread", kind="thread", holds="250", price="3.2", unit="spools")
    answer = owner_page.post(reverse("notion_new"), data)
    notion = Notion.objects.get()
    assert (notion.holds, notion.price, notion.typed["holds"]) == (250 * METRE, Decimal("3.2"), "m")
    text = owner_page.get(answer["Location"]).content.decode()
    assert "250.00 m of thread on one" in text and "3.20 EUR each" in text
    make.workroom(units="inch")
    assert the_form(owner_page, reverse("notion_edit", args=[notion.pk]))["holds"] == "250 m"


def test_buttons_hold_no_thread(owner_page: Client) -> None:
    answer = owner_page.post(reverse("notion_new"), notion_post(holds="250"))
    assert answer.status_code == 422 and list(answer.context["form"].errors) == ["holds"]


def test_a_link_fills_in_the_booking(owner_page: Client) -> None:
    roll, coat = make.length(), make.project()
    address = reverse("length", args=[roll.pk])
    asked = f"{address}?kind=reserved&project={coat.pk}&amount={12 * METRE // 10}"
    form = the_form(owner_page, asked)
    assert (form["kind"], form["project"], form["amount"]) == ("reserved", str(coat.pk), "1.2")
    buttons = make.notion()
    asked = reverse("notion", args=[buttons.pk]) + f"?kind=reserved&project={coat.pk}&amount=2500"
    assert the_form(owner_page, asked)["amount"] == "2.5"
    for odd in ("kind=stolen", "project=²", "amount=-1", "amount=" + "9" * 40, "project=" + "9" * 40):
        assert owner_page.get(f"{address}?{odd}").status_code == 200
