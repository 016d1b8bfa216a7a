"""Sharing and the build page in a real browser, on a phone and on a wide screen, without JavaScript too."""

from typing import Any

import pytest
from django.urls import reverse

from projects.activities import sharing
from projects.activities.panels import sync_panels
from projects.models import Project
from tests import make
from tests.browser import looks_wrong


@pytest.fixture
def coat(workroom: Any) -> Project:
    """A coat tucked both ways with two photographs for its client."""
    coat = make.project(client_note="The fronts are pressed.", promised=make.date(2027, 4, 30))
    side = make.tucks(*make.GRADUATED)
    cloth = make.fabric(fibre="linen", colour="chalk white")
    sync_panels(make.piece(coat, fabric=cloth, version=make.version(of=make.content(side))))
    for caption in ("The left front", ""):
        make.photo(coat, for_client=True, caption=caption, size=(900, 600))
    return coat


def forget_the_404(browsing: Any) -> None:
    """A browser's console reports the one answer that was meant to be a 404."""
    assert len(browsing.problems) == 1 and "404" in browsing.problems[0], browsing.problems
    browsing.problems.clear()


@pytest.mark.parametrize("width", [360, 1280])
def test_a_maker_shares_and_the_client_reads(
    browser_page: Any, maker: Any, coat: Project, width: int
) -> None:
    page, phone = browser_page(width, person=maker), width == 360
    page.goto(reverse("project", args=[coat.pk]))
    page.get_by_role("link", name="Share with client").click()
    assert looks_wrong(page, phone=phone) == []
    page.get_by_label("Who it is for").fill("Choir secretary")
    page.get_by_role("button", name="Make a link").click()
    assert looks_wrong(page, phone=phone) == []
    link = page.get_by_label("Send this to Choir secretary").input_value()
    page.get_by_role("link", name="Copied; back to Share").click()
    assert looks_wrong(page, phone=phone) == []
    client = browser_page(width, javascript=False)
    client.goto(link)
    assert client.get_by_role("heading", level=1).inner_text() == "Concert coat"
    assert client.context.cookies() == []
    shown = client.locator("figure img").evaluate_all("all => all.map(i => i.complete && i.naturalWidth)")
    assert len(shown) == 2
    page.get_by_role("button", name="Revoke the link for Choir secretary").click()
    client.reload()
    assert client.get_by_role("heading", level=1).inner_text() == "This page is not here"
    forget_the_404(browser_page)


@pytest.mark.parametrize("width", [360, 1280])
def test_the_build_page_looks_right(browser_page: Any, maker: Any, coat: Project, width: int) -> None:
    shows = dict.fromkeys(sharing.SHOWS, True)
    token = sharing.make_link(project=coat, name="Fern", expires_at=None, shows=shows, person=maker)
    page = browser_page(width)
    page.goto(reverse("see", args=[token]))
    assert looks_wrong(page, phone=width == 360) == []
    drawn = page.locator("svg.drawing:visible")
    assert drawn.count() == 1 and drawn.bounding_box()["width"] <= width
    page.goto("/see/wrong/")
    assert looks_wrong(page, phone=width == 360) == []
    forget_the_404(browser_page)


@pytest.mark.parametrize("width", [360, 1280])
def test_what_is_typed_is_previewed_beside_the_form(
    browser_page: Any, maker: Any, coat: Project, width: int
) -> None:
    page = browser_page(width, person=maker)
    page.goto(reverse("share", args=[coat.pk]))
    page.get_by_label("Note to the client").fill("Not saved yet.")
    with page.context.expect_page() as opened:
        page.get_by_role("button", name="Preview").click()
    seen = opened.value
    seen.get_by_text("Not saved yet.").wait_for()
    seen.get_by_text("nothing is shared by it").wait_for()
    assert looks_wrong(seen, phone=width == 360) == []
    assert page.get_by_label("Note to the client").input_value() == "Not saved yet."
    coat.refresh_from_db()
    assert coat.client_note == "The fronts are pressed." and not coat.links.exists()
