"""The people's and the studio's pages in a real browser, on a phone and on a desk."""

import hashlib
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from projects.activities import people
from projects.models import LabourRate, Person, Workroom
from tests import make
from tests.browser import looks_wrong

CODE = "k7mpx2hdq4wn"
WIDTHS = pytest.mark.parametrize("width", [360, 1280])
pytestmark = pytest.mark.django_db(transaction=True)


def check(page: Any, width: int) -> None:
    assert looks_wrong(page, phone=width == 360) == [], page.url


def press(page: Any, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


@WIDTHS
def test_the_owners_pages(browser_page: Callable[..., Any], owner: Person, maker: Person, width: int) -> None:
    LabourRate.objects.create(driver="tucks", minutes="1.2", from_date=date(2026, 1, 5))
    make.deletion(make.project(), by=owner)
    make.workroom(is_demo=True)
    page = browser_page(width, person=owner)
    for where in ("studio/people", f"studio/people/{maker.pk}", "studio/settings", "studio/rates",
                  "studio/rates/tucks", "studio/start-own", "deleted", "account"):
        page.goto(f"/{where}/")
        check(page, width)


@WIDTHS
@pytest.mark.parametrize("javascript", [True, False])
def test_claim_invite_join(browser_page: Callable[..., Any], width: int, javascript: bool) -> None:
    make.workroom(claimed_at=None, claim_hash=hashlib.sha256(CODE.encode()).hexdigest())
    page = browser_page(width, javascript=javascript)
    page.goto("/")
    for label, text in (("One-time code", CODE), ("Name of the studio", "Larkfield Workroom"),
                        ("Your name", "Wren"), ("User name", "wren"), ("Password", make.PASSWORD),
                        ("The same password again", make.PASSWORD)):
        page.get_by_label(label, exact=True).fill(text)
    page.get_by_label("Measures in").select_option("inch")
    page.get_by_label("Time zone").select_option("Europe/London")
    check(page, width) if javascript else None
    press(page, "Claim the studio")
    page.get_by_text("Larkfield Workroom is yours").wait_for()
    page.goto("/studio/people/")
    page.get_by_label("Name of the new person").fill("Fern")
    press(page, "Make a link")
    link = page.get_by_label("Send this to Fern").input_value()
    fern = browser_page(width, javascript=javascript)
    fern.goto(link)
    check(fern, width) if javascript else None
    fern.get_by_label("User name").fill("fern")
    fern.get_by_label("Password", exact=True).fill(make.PASSWORD)
    fern.get_by_label("The same password again").fill(make.PASSWORD)
    press(fern, "Join")
    fern.get_by_text("Welcome to Larkfield Workroom").wait_for()
    assert Person.objects.get(username="fern").role == "maker" and Workroom.load().units == "inch"


@WIDTHS
def test_wrong_input_takes_the_focus(browser_page: Callable[..., Any], owner: Person, width: int) -> None:
    page = browser_page(width, person=owner)
    page.goto("/studio/settings/")
    page.get_by_label("Squaring, each side").fill("much")
    press(page, "Save the settings")
    assert page.locator(".problems").evaluate("box => box === document.activeElement")
    assert page.get_by_label("Squaring, each side").input_value() == "much"
    check(page, width)


@WIDTHS
def test_two_people_edit_the_settings(browser_page: Callable[..., Any], owner: Person, width: int) -> None:
    page = browser_page(width, person=owner)
    page.goto("/studio/settings/")
    page.get_by_label("Squaring, each side").fill("14")
    Workroom.objects.update(squaring=12_000_000, revision=2)
    press(page, "Save the settings")
    page.get_by_role("heading", name="was changed while you were editing it").wait_for()
    check(page, width)
    press(page, "Save what is in these boxes")
    page.get_by_text("The settings are saved").wait_for()
    assert Workroom.load().squaring == 14_000_000


@WIDTHS
def test_signed_out_while_typing(browser_page: Callable[..., Any], owner: Person, width: int) -> None:
    page = browser_page(width, person=owner)
    page.goto("/clients/new/")
    page.get_by_label("Name", exact=True).fill("Quayside Choir")
    people.reset_password(owner)
    page.locator("main form button.go").click()
    page.get_by_text("what you sent was not saved").wait_for()
    check(page, width)
    people.change_password(owner, password=make.PASSWORD)
    page.get_by_label("User name").fill("wren")
    page.get_by_label("Password").fill(make.PASSWORD)
    press(page, "Sign in")
    page.get_by_role("heading", name="Send it again?").wait_for()
    page.get_by_text("Quayside Choir").wait_for()
    check(page, width)
