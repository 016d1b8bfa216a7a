"""A real browser: own stages and steps, and what has changed since the steps were noted."""

import pytest
from django.urls import reverse

from projects.models import Piece
from tests import make
from tests.browser import looks_wrong
from tests.make import MM

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("width", [360, 1280])
def test_a_step_is_added_noted_and_seen_to_change(browser_page, owner, workroom, width):
    coat = make.project()
    make.piece(coat, fabric=make.fabric(), version=make.version(), work_order="centre")
    make.own_stage("Fit")
    phone = width == 360
    page = browser_page(width, person=owner)
    page.goto(reverse("own_steps"))
    page.get_by_role("link", name="Add a step to Fit").click()
    page.get_by_label("What is to be done").fill("Try it on")
    page.get_by_label("Time planned").fill("soon")
    page.get_by_role("button", name="Add").click()
    page.locator(".problems").wait_for()
    assert looks_wrong(page, phone=phone) == []
    page.get_by_label("Time planned").fill("45 min")
    page.get_by_role("button", name="Add").click()
    page.get_by_role("link", name="Try it on").wait_for()
    assert looks_wrong(page, phone=phone) == []
    page.goto(reverse("steps", args=[coat.pk]))
    page.get_by_role("button", name="Note the steps as they are").click()
    page.get_by_text("Nothing has changed in the plan").wait_for()
    Piece.objects.update(across=400 * MM)
    page.reload()
    page.get_by_role("button", name="Noted").wait_for()
    assert looks_wrong(page, phone=phone) == []
    page.locator("#changed").get_by_role("link", name="Sew Front across").click()
    page.wait_for_function("location.hash.startsWith('#step-')")
