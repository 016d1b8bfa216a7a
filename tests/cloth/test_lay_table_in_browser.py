"""Cutting at the table in a real browser: on a phone, on a wide screen, and without JavaScript."""

import pytest
from django.urls import reverse

from projects.activities.lays import accept
from projects.activities.panels import sync_panels
from projects.models import KeptLay, Panel, Person
from tests import make
from tests.browser import Browsing, looks_wrong
from tests.cloth.posts import METRE, MM

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def lay(transactional_db: None) -> KeptLay:
    make.workroom()
    wren = make.person("wren", shown_name="Wren", role=Person.OWNER)
    project, fabric = make.project(), make.fabric()
    sync_panels(make.piece(project, name="Front", count=2, mirrored=True, fabric=fabric))
    sync_panels(make.piece(project, name="Back", across=1_200 * MM, fabric=fabric))
    roll = make.length(fabric, received=9 * METRE, label="V1")
    return accept(project=project, fabric=fabric, cloth=roll, seen=None, person=wren)


@pytest.mark.parametrize(("width", "javascript"), [(360, True), (1280, True), (360, False)])
def test_all_cuts_are_ticked_off_and_the_remnant_is_in_the_stash(
    browser_page: Browsing, lay: KeptLay, width: int, javascript: bool
) -> None:
    page = browser_page(width, person=Person.objects.get(), javascript=javascript, height=740)

    def wrong() -> list[str]:
        return looks_wrong(page, phone=width < 760) if javascript else []

    page.goto(reverse("lay_table", args=[lay.project_id, lay.fabric_id]))
    assert wrong() == []
    number = 1
    while (button := page.get_by_role("button", name=f"Cut {number} is made", exact=True)).count():
        figures = page.locator(".cut-measures dd")
        assert figures.evaluate_all("all => all.every(e => parseFloat(getComputedStyle(e).fontSize) >= 40)")
        button.focus()
        page.keyboard.press("Enter")
        page.get_by_text(f"Cut {number} is made.").first.wait_for()
        number += 1
    page.get_by_role("heading", name=f"All {number - 1} cuts are made").wait_for()
    assert not Panel.objects.filter(cut_at=None).exists()
    assert wrong() == []
    page.get_by_role("button", name=f"Cut {number - 1} was not made").click()
    page.get_by_role("button", name=f"Cut {number - 1} is made", exact=True).wait_for()
    page.get_by_role("link", name="V1 remnant 1", exact=True).click()
    page.get_by_role("heading", name="V1 remnant 1", level=1).wait_for()
    assert wrong() == []
    page.get_by_role("link", name="V1", exact=True).click()
    page.get_by_role("heading", name="V1", level=1, exact=True).wait_for()
    page.get_by_text("Put down a flaw").click()
    assert wrong() == []
