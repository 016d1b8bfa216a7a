"""The page of a lay in a browser: watched, dragged, moved by keys, accepted; with and without JavaScript."""

import re
from typing import Any

import pytest
from django.urls import reverse

from projects.activities import balances
from projects.models import Fabric, LayDraft, Person, Project
from tests import make
from tests.browser import Browsing, looks_wrong

MM = 1_000_000
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def wren(transactional_db: None) -> Person:
    make.workroom()
    return make.person("wren", shown_name="Wren", role=Person.OWNER)


MANY = 34


def hangings(count: int = MANY) -> tuple[Project, Fabric]:
    """Panels of many sizes; as many as ``MANY`` keep a search busy until it is stopped."""
    project, fabric = make.project("Stage hangings"), make.fabric("Silk organza")
    for i in range(count):
        across, along = 230 * MM + 47_310_007 * i % (390 * MM), 311 * MM + 73_130_011 * i % (520 * MM)
        make.piece(project, name=f"Hanging {i + 1}", fabric=fabric, across=across, along=along)
    return project, fabric


def opened(browse: Browsing, width: int, person: Person, lay: tuple[Project, Fabric], **more: Any) -> Any:
    page = browse(width, person=person, **more)
    page.goto(reverse("lay", args=[lay[0].pk, lay[1].pk]))
    return page


@pytest.mark.parametrize("width", [360, 1280])
def test_the_page_looks_right_at_every_stage(browser_page: Browsing, wren: Person, width: int) -> None:
    lay = hangings()
    make.length(lay[1], label="S1", dye_lot="A", received=900 * MM)
    make.piece(make.project("Choir banner"), fabric=lay[1])
    page, phone = opened(browser_page, width, wren, lay), width < 760
    assert not looks_wrong(page, phone=phone)
    page.get_by_text("Change what is asked", exact=True).click()
    page.get_by_role("link", name="Move Hanging 2", exact=True).click()
    page.locator("#place_y:focus").wait_for()
    assert not looks_wrong(page, phone=phone)
    page.get_by_role("button", name="Improve", exact=True).click()
    page.get_by_role("button", name="Stop and keep the best").wait_for()
    page.get_by_text(re.compile(r"^[1-9]\d* s of at most")).wait_for()
    assert not looks_wrong(page, phone=phone)
    page.get_by_role("button", name="Stop and keep the best").click()
    page.get_by_role("heading", name="Stopped").wait_for()
    assert not looks_wrong(page, phone=phone)
    page.get_by_role("button", name="Accept this lay").click()
    page.get_by_role("heading", name="This lay is accepted").wait_for()
    assert not looks_wrong(page, phone=phone)
    make.piece(lay[0], name="Valance", across=1_200 * MM, along=300 * MM, fabric=lay[1])
    page.reload()
    page.get_by_text("The plan has changed since").wait_for()
    assert page.get_by_role("listitem").filter(has_text="Valance").count()
    assert not looks_wrong(page, phone=phone)


def test_a_panel_is_dragged_to_its_place_and_pinned(browser_page: Browsing, wren: Person) -> None:
    lay = hangings(4)
    page = opened(browser_page, 1280, wren, lay)
    panel = page.locator("g.movable").first
    name, before = panel.get_attribute("data-name"), int(panel.get_attribute("data-y"))
    svg = page.locator("svg.lay")
    nm, upright = float(svg.get_attribute("data-nm")), svg.get_attribute("data-upright") == "on"
    panel.scroll_into_view_if_needed()
    box = panel.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + (0 if upright else 137), y + (137 if upright else 0), steps=6)
    page.mouse.up()
    page.locator(".state.pin").wait_for()
    pin = LayDraft.objects.get().pins[0]
    assert pin["name"] == name
    assert abs(pin["y_nm"] - before - 137 * nm) < 12 * nm, "where it was let go, or at an edge near it"
    page.get_by_role("button", name=f"Unpin {name}").click()
    page.locator(".state.pin").wait_for(state="detached")


def test_escape_leaves_a_dragged_panel_where_it_was(browser_page: Browsing, wren: Person) -> None:
    page = opened(browser_page, 1280, wren, hangings(3))
    panel = page.locator("g.movable").first
    panel.scroll_into_view_if_needed()
    box = panel.bounding_box()
    page.mouse.move(box["x"] + 30, box["y"] + 40)
    page.mouse.down()
    page.mouse.move(box["x"] + 90, box["y"] + 90, steps=4)
    assert page.locator("g.dragged").get_attribute("transform")
    page.keyboard.press("Escape")
    page.mouse.up()
    assert not page.locator("g.movable[transform]").count() and not LayDraft.objects.exists()


@pytest.mark.parametrize("javascript", [True, False])
def test_planned_by_keys_from_first_to_accepted(
    browser_page: Browsing, wren: Person, javascript: bool
) -> None:
    project, fabric = hangings(5)
    roll = make.length(fabric, label="S1", received=4_000 * MM)
    page = opened(browser_page, 360, wren, (project, fabric), javascript=javascript)
    on_the_shelf = page.get_by_role("button", name="Lay it on the shelf’s 1 length first")
    on_the_shelf.press("Enter")
    on_the_shelf.wait_for(state="detached")
    page.get_by_role("link", name="Move Hanging 3").press("Enter")
    page.get_by_label("From the selvedge").fill("10")
    page.get_by_label("From the start").fill("20 mm")
    page.get_by_role("button", name="Move and pin").press("Enter")
    page.locator(".state.pin").wait_for()
    page.get_by_role("textbox", name="Another width").fill("90")
    page.get_by_role("button", name="Compare").press("Enter")
    page.get_by_text("At 90.0 cm").wait_for()
    page.get_by_role("button", name="Accept this lay").press("Enter")
    page.get_by_role("heading", name="This lay is accepted").wait_for()
    kept = project.lays.get()
    assert balances.reserved_for(roll, project) == kept.lengths.get().used
    pinned = next(p for p in kept.result["placements"] if p["name"] == "Hanging 3")
    assert (pinned["x_nm"], pinned["y_nm"]) == (100 * MM, 20 * MM)
    page.get_by_role("button", name="Let it go and release").press("Enter")
    page.get_by_text("The lay is let go").wait_for()
    assert balances.reserved_for(roll, project) == 0


def test_without_javascript_a_search_is_looked_at_again(browser_page: Browsing, wren: Person) -> None:
    lay = hangings()
    page = opened(browser_page, 1280, wren, lay, javascript=False)
    page.get_by_role("button", name="Improve", exact=True).click()
    page.get_by_role("link", name="Look again").click()
    page.get_by_role("button", name="Stop and keep the best").click()
    page.get_by_role("heading", name="Stopped").wait_for()
    assert LayDraft.objects.get().state == "stopped"


def test_what_is_being_typed_stays_while_a_panel_is_pinned(browser_page: Browsing, wren: Person) -> None:
    page = opened(browser_page, 1280, wren, hangings(3))
    page.get_by_text("Change what is asked", exact=True).click()
    page.get_by_role("button", name="Lay it so").click()
    page.get_by_text("The lay is made anew as asked.").wait_for()
    page.get_by_text("Change what is asked", exact=True).click()
    page.get_by_label("Gap between panels").fill("7")
    page.get_by_label("Every cut from edge to edge").check()
    page.locator("#pin-1").click()
    page.locator(".state.pin").wait_for()
    assert page.get_by_label("Gap between panels").input_value() == "7"
    assert page.get_by_label("Every cut from edge to edge").is_checked()
    assert page.get_by_label("Gap between panels").is_visible(), "the fold is still open"
    assert not page.get_by_text("The lay is made anew as asked.").count(), "that was said of another change"


def test_what_is_typed_wrongly_stays_with_the_problem(browser_page: Browsing, wren: Person) -> None:
    page = opened(browser_page, 360, wren, hangings(3))
    page.get_by_role("link", name="Move Hanging 1").click()
    page.get_by_label("From the selvedge").fill("139")
    # Whatever runs beside the page may leave an empty style on a field; a swap must not copy it.
    page.locator("#place_x").evaluate("field => { field.style.color = 'red'; field.style.color = '' }")
    page.get_by_role("button", name="Move and pin").click()
    page.locator(".problems").wait_for()
    assert page.get_by_label("From the selvedge").input_value() == "139"
    assert not looks_wrong(page, phone=True)
