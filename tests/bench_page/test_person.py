"""Changing person on the bench itself: one tap on a name, then the PIN, without leaving the page."""

import re
from typing import Any

import pytest
from django.test import Client

from projects.activities import pins
from projects.models import BenchFact, Person
from projects.views.bench_person import MOST_NAMES
from tests import make
from tests.bench_page.runs import page_of, piece
from tests.browser import looks_wrong

PIN = "4071"


@pytest.fixture
def tansy(db: None) -> Person:
    make.workroom()
    person = make.person("tansy", shown_name="Tansy")
    pins.set_pin(person, pin=PIN)
    return person


def asked(page: Client, person: Person, **kind: Any) -> str:
    return page.get(f"/bench/person/{person.pk}/?back=/hours/", **kind).content.decode()


def test_names_of_those_with_a_pin_stand_on_the_bench(
    maker_page: Client, owner: Person, tansy: Person
) -> None:
    shown = maker_page.get(page_of(piece())).content.decode()
    head = shown[shown.index('id="bench"') : shown.index('id="unit"')]
    assert f'href="/bench/person/{tansy.pk}/?back=' in head and f"Change to {tansy}" in head
    assert f"/bench/person/{owner.pk}/" not in shown
    assert re.search(rf"No PIN yet: [^.]*{owner}", shown)


def test_a_large_studio_has_the_rest_in_the_fold(maker_page: Client, tansy: Person) -> None:
    for number in range(MOST_NAMES + 2):
        pins.set_pin(make.person(f"hand{number}", shown_name=f"Hand {number}"), pin=PIN)
    shown = maker_page.get(page_of(piece())).content.decode()
    head = shown[shown.index('id="bench"') : shown.index('id="unit"')]
    assert head.count("Change to ") == MOST_NAMES and shown.count("Change to ") == MOST_NAMES + 3
    names = re.findall(r'id="(change-to-\d+)"', shown)
    assert len(names) == len(set(names)) == MOST_NAMES + 3


def test_the_pin_alone_is_asked_for_in_place(maker_page: Client, tansy: Person) -> None:
    part, page = asked(maker_page, tansy, HTTP_HX_REQUEST="true"), asked(maker_page, tansy)
    assert "<html" not in part and "<html" in page
    assert 'inputmode="numeric"' in part and 'name="back" value="/hours/"' in part


def test_a_wrong_pin_is_said_there_and_the_right_one_leads_back(maker_page: Client, tansy: Person) -> None:
    address, kind = f"/bench/person/{tansy.pk}/", {"HTTP_HX_REQUEST": "true"}
    wrong = maker_page.post(address, {"pin": "9170", "back": "/hours/"}, **kind)
    assert wrong.status_code == 422 and "That is not the PIN of Tansy" in wrong.content.decode()
    assert "<html" not in wrong.content.decode() and "9170" not in wrong.content.decode()
    right = maker_page.post(address, {"pin": PIN, "back": "/hours/"}, **kind)
    assert (right.status_code, right["HX-Redirect"]) == (204, "/hours/")


def test_a_pin_removed_meanwhile_is_said(maker_page: Client, tansy: Person) -> None:
    Person.objects.filter(pk=tansy.pk).update(pin="")
    assert "Tansy has no PIN any more" in asked(maker_page, tansy, HTTP_HX_REQUEST="true")


@pytest.mark.parametrize("width", [360, 1280])
def test_one_tap_and_a_pin(width: int, browser_page: Any, maker: Person, tansy: Person) -> None:
    page = browser_page(width, person=maker)
    page.goto(page_of(piece()))
    page.locator("[data-bench=device]:not([hidden])").wait_for(state="attached")
    lies = page.get_by_role("button", name="Sewn", exact=True).bounding_box()
    page.get_by_role("link", name="Change to Tansy").click()
    pin = page.get_by_label("PIN of Tansy")
    pin.wait_for()
    page.locator("[name=pin]:focus").wait_for()
    assert looks_wrong(page, phone=width < 760) == []
    assert page.get_by_role("button", name="Sewn", exact=True).bounding_box() == lies, "it keeps its place"
    page.keyboard.type("9170")
    page.keyboard.press("Enter")
    page.get_by_text("That is not the PIN of Tansy").wait_for()
    page.locator("[name=pin]:focus").wait_for()
    page.keyboard.type(PIN)
    page.keyboard.press("Enter")
    page.get_by_role("button", name=f"Back to {maker}").wait_for()
    with page.expect_response(lambda answer: answer.url.endswith("/facts/") and answer.status == 200):
        page.get_by_role("button", name="Sewn", exact=True).click()
    page.get_by_role("button", name=f"Back to {maker}").click()
    page.get_by_role("link", name="Change to Tansy").wait_for()
    assert BenchFact.objects.get().person == tansy


@pytest.mark.parametrize("width", [360])
def test_it_is_put_away_and_says_where_there_is_no_connection(
    width: int, browser_page: Any, maker: Person, tansy: Person
) -> None:
    page = browser_page(width, person=maker)
    page.goto(page_of(piece()))
    name = page.get_by_role("link", name="Change to Tansy")
    name.click()
    page.get_by_label("PIN of Tansy").wait_for()
    page.keyboard.press("Escape")
    page.get_by_label("PIN of Tansy").wait_for(state="detached")
    page.locator("[aria-label='Change to Tansy']:focus").wait_for()
    page.context.set_offline(True)
    name.click()
    page.get_by_text("Changing person needs the connection").wait_for()
    page.context.set_offline(False)
    lost = ("ERR_INTERNET_DISCONNECTED", "htmx:sendError", "htmx:afterRequest")
    browser_page.problems[:] = [one for one in browser_page.problems if not any(text in one for text in lost)]
    name.click()
    page.get_by_label("PIN of Tansy").wait_for()
    assert page.get_by_text("Changing person needs the connection").count() == 0


def test_what_the_device_keeps_takes_no_words_away(maker_page: Client, tansy: Person) -> None:
    """The worker fetches a page for later: what is said once is still said on the page that is read."""
    here = page_of(piece())
    said = "Taps and timer are Tansy’s now."
    maker_page.post(f"/bench/person/{tansy.pk}/", {"pin": PIN, "back": here})
    assert said not in maker_page.get(here, headers={"X-Bench-Keeps": "1"}).content.decode()
    assert said in maker_page.get(here).content.decode()
