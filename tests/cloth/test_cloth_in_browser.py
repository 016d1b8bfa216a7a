"""Cloth in a real browser, by labels and roles: wide, on a phone by keyboard, and without JavaScript."""

from typing import Any

import pytest
from django.urls import reverse

from projects.activities import balances, stock
from projects.models import ClothLength, Deletion, Person
from tests import make
from tests.browser import Browsing, looks_wrong
from tests.cloth.posts import METRE, MM

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def wren(transactional_db: None) -> Person:
    make.workroom()
    return make.person("wren", shown_name="Wren", role=Person.OWNER)


def press(page: Any, role: str, name: str) -> None:
    """Reach a control by the keyboard alone: it takes the focus, Enter works it."""
    control = page.get_by_role(role, name=name, exact=True)
    control.focus()
    assert control.evaluate("e => e === document.activeElement")
    page.keyboard.press("Enter")


@pytest.mark.parametrize(("width", "javascript"), [(1280, True), (360, True), (1280, False)])
def test_a_fabric_a_length_and_a_booking(
    browser_page: Browsing, wren: Person, width: int, javascript: bool
) -> None:
    make.project("Concert coat")
    page = browser_page(width, person=wren, javascript=javascript)
    page.goto(reverse("cloth"))
    press(page, "link", "Add the first fabric")
    page.get_by_label("Name").fill("Linen voile")
    page.get_by_label("Usable width").fill("40 m")
    press(page, "button", "Save")
    page.get_by_role("alert").wait_for()
    assert page.get_by_label("Name").input_value() == "Linen voile"
    page.get_by_label("Usable width").fill("140")
    press(page, "button", "Save")
    page.get_by_role("heading", name="Linen voile", level=1).wait_for()
    press(page, "link", "Add a length")
    page.get_by_label("Label").fill("V1")
    page.get_by_label("How much there is").fill("4.5")
    press(page, "button", "Save")
    page.get_by_role("heading", name="V1", level=1).wait_for()
    page.get_by_label("What happened").select_option(label="Reserved for a project")
    page.get_by_label("How much").fill("1.25 m")
    page.get_by_label("For which project").select_option(label="Concert coat")
    press(page, "button", "Book")
    page.get_by_text("Booked.").wait_for()
    roll = ClothLength.objects.get()
    assert (balances.on_shelf(roll), balances.free(roll)) == (4_500 * MM, 3_250 * MM)


@pytest.mark.parametrize("width", [1280, 360])
def test_the_pages_look_right(browser_page: Browsing, wren: Person, width: int) -> None:
    coat, fabric = make.project("Concert coat"), make.fabric(sheer=True)
    roll, buttons = make.length(fabric), make.notion()
    make.piece(coat, fabric=fabric, count=2, mirrored=True)
    make.sample(on=fabric)
    stock.reserve(row=roll, project=coat, amount=METRE, person=wren)
    page = browser_page(width, person=wren)
    for name, args in [
        ("cloth", []), ("fabric", [fabric.pk]), ("fabric_new", []), ("fabric_edit", [fabric.pk]),
        ("length", [roll.pk]), ("length_new", [fabric.pk]), ("notions", []), ("notion", [buttons.pk]),
        ("notion_new", []), ("lay", [coat.pk, fabric.pk]), ("search", []),
    ]:  # fmt: skip
        page.goto(reverse(name, args=args))
        assert not looks_wrong(page, phone=width < 400), name
    page.goto(reverse("cloth") + "?free=1&words=li")
    assert not looks_wrong(page, phone=width < 400)
    page.goto(reverse("search") + "?q=linen")
    assert not looks_wrong(page, phone=width < 400)


def test_a_deletion_is_undone_by_its_button(browser_page: Browsing, wren: Person) -> None:
    roll = make.length(label="V1")
    page = browser_page(360, person=wren)
    page.goto(reverse("length", args=[roll.pk]))
    page.get_by_role("button", name="Delete this length").click()
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("V1").first.wait_for()
    roll.refresh_from_db()
    assert roll.deleted_at is None and Deletion.objects.get().restored_at


def test_a_list_is_found_while_typing(browser_page: Browsing, wren: Person) -> None:
    make.fabric("Linen voile")
    make.fabric("Wool challis")
    page = browser_page(1280, person=wren)
    page.goto(reverse("cloth"))
    field = page.get_by_label("Words")
    field.press_sequentially("chal")
    page.get_by_role("link", name="Linen voile").wait_for(state="detached")
    assert page.get_by_role("link", name="Wool challis").count() == 1
    assert field.evaluate("e => e === document.activeElement") and page.url.endswith("/cloth/?words=chal")
    assert page.locator("#live").inner_text() == "1 found"


@pytest.mark.parametrize("javascript", [True, False])
def test_what_a_project_needs_is_reserved_from_the_stash(
    browser_page: Browsing, wren: Person, javascript: bool
) -> None:
    """Look for white cloth, choose the project, follow its link, book: the search is kept on the way."""
    coat, fabric = make.project("Concert coat"), make.fabric("Linen voile", family="white")
    make.piece(coat, fabric=fabric)
    roll = make.length(fabric, label="V1")
    other = make.length(make.fabric("Ramie gauze", family="white", grams=95), label="R1")
    page = browser_page(360, person=wren, javascript=javascript)
    page.goto(reverse("cloth"))
    page.get_by_label("Colour family").select_option(label="White and cream")
    if javascript:
        page.wait_for_url("**/cloth/?family=white")
    page.get_by_label("For the project").select_option(label=f"{coat.number}: Concert coat")
    page.get_by_role("button", name="Show its needs").click()
    page.get_by_role("heading", name="Concert coat").wait_for()
    assert "family=white" in page.url and f"project={coat.pk}" in page.url
    if javascript:  # without it axe-core would be waited for without end
        assert not looks_wrong(page, phone=True)
    page.locator("a.reserve", has_text="of V1").click()
    page.get_by_role("button", name="Book").click()
    page.get_by_text("Booked.").wait_for()
    assert balances.reserved_for(roll, coat) > 0 and balances.reserved_for(other, coat) == 0


@pytest.mark.parametrize("javascript", [True, False])
def test_search_by_typing_and_by_its_button(browser_page: Browsing, wren: Person, javascript: bool) -> None:
    make.project("Concert coat")
    make.notion("Coat hooks")
    page = browser_page(360, person=wren, javascript=javascript)
    page.goto(reverse("search"))
    field = page.get_by_label("Look for")
    field.press_sequentially("coat")
    if not javascript:
        page.get_by_role("button", name="Find").click()
    page.get_by_role("heading", name="Notions").wait_for()
    if javascript:
        assert page.locator("#live").inner_text() == "2 found"
        assert field.evaluate("e => e === document.activeElement")
    page.get_by_role("link", name="Coat hooks").click()
    page.get_by_role("heading", name="Coat hooks", level=1).wait_for()
