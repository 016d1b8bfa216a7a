"""Money and comparing in a real browser: live, by keyboard, on a phone, for owners and for makers."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from projects.models import Person, Piece
from tests import make
from tests.browser import looks_wrong

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def front(owner: Person, maker: Person) -> Piece:
    """A front in voile with a price, hours logged, rates set, and buttons nobody knows the price of."""
    voile = make.fabric(price=Decimal("14.50"), thickness=250_000)
    piece = make.piece(make.project(), fabric=voile, version=make.version())
    make.recipe("Pin tucks", of=make.content(make.tucks((18, 2))))
    make.log(maker, piece.project, date=date(2026, 3, 9), minutes=120)
    make.other_cost(piece.project)
    make.hour_rate(1800)
    make.hour_rate(2000, of=maker)
    return piece


@pytest.mark.parametrize("width", [360, 1280])
def test_pages_of_money_look_right(front: Piece, owner: Person, browser_page: Any, width: int) -> None:
    page = browser_page(width, person=owner)
    cost = front.project.other_costs.get()
    for address in (
        reverse("costs", args=[front.project_id]),
        reverse("other_cost", args=[front.project_id, cost.pk]),
        reverse("hour_rates"),
        reverse("settings"),
    ):
        page.goto(address)
        assert looks_wrong(page, phone=width == 360) == [], address


def test_what_an_hour_earns_follows_what_is_typed(front: Piece, owner: Person, browser_page: Any) -> None:
    page = browser_page(360, person=owner)
    page.goto(reverse("costs", args=[front.project_id]))
    price = page.get_by_label("At a price of")
    before = page.locator("#earns").inner_text()
    price.fill("1500")
    page.locator("#earns", has_text="1 500.00 EUR").wait_for()
    assert page.locator("#earns").inner_text() != before
    price.fill("a lot")
    page.locator("#earns .error").wait_for()
    assert price.input_value() == "a lot" and price.evaluate("e => e === document.activeElement")
    assert looks_wrong(page, phone=True) == []


def test_an_hour_earns_without_javascript(front: Piece, owner: Person, browser_page: Any) -> None:
    page = browser_page(360, person=owner, javascript=False)
    page.goto(reverse("costs", args=[front.project_id]))
    page.get_by_label("At a price of").fill("1500")
    page.get_by_role("button", name="Reckon").click()
    expect(page.locator("#earns")).to_contain_text("1 500.00 EUR")
    assert page.get_by_label("At a price of").input_value() == "1500"


@pytest.mark.parametrize("width, live", [(360, True), (1280, True), (360, False)])
def test_a_maker_compares_and_chooses(
    front: Piece, maker: Person, browser_page: Any, width: int, live: bool
) -> None:
    page = browser_page(width, person=maker, javascript=live)
    page.goto(reverse("piece", args=[front.pk]))
    page.get_by_role("link", name="Compare recipes").click()
    page.get_by_label("Add a recipe").select_option(label="Pin tucks, version 1, newest")
    if not live:
        page.get_by_role("button", name="Compare").click()
    page.get_by_text("least cloth").first.wait_for()
    assert "EUR" not in page.locator("main").inner_text()
    if live:
        assert looks_wrong(page, phone=width == 360) == []
        assert page.url.count("version=") >= 1 and "add=" in page.url
    page.get_by_role("button", name="Use this recipe").click()
    page.get_by_text("now follows Pin tucks, version 1").wait_for()


def test_a_free_size_is_compared_while_it_is_typed(front: Piece, owner: Person, browser_page: Any) -> None:
    page = browser_page(1280, person=owner)
    page.goto(reverse("compare"))
    for name in ("Graduated tucks", "Pin tucks"):
        page.get_by_label("Add a recipe").select_option(label=f"{name}, version 1, newest")
        page.get_by_role("columnheader", name=name).wait_for()
    page.get_by_label("Finished size across").fill("wide")
    page.get_by_label("Finished size across").press("Enter")
    page.locator(".problems").wait_for()
    assert page.get_by_label("Finished size across").input_value() == "wide"
    page.get_by_label("Finished size across").fill("80 cm")
    page.get_by_label("Finished size across").press("Tab")
    page.get_by_text("least cloth").wait_for()
    assert looks_wrong(page) == []
    page.get_by_role("link", name="Take out Pin tucks").click()
    page.get_by_text("One recipe alone").wait_for()
