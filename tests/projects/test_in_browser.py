"""A real browser: the flat size while typing, without JavaScript, by keyboard, and how the pages look."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from projects.activities.pieces import create_piece
from projects.models import NotionNeed, Piece
from tests import make
from tests.browser import looks_wrong

pytestmark = pytest.mark.django_db(transaction=True)
MM = make.MM


@pytest.fixture
def project(workroom):
    project = make.project(client=make.client(), brief="A coat for the spring concert.")
    fabric = make.fabric()
    make.length(fabric)
    values = {"across": 300 * MM, "along": 400 * MM, "version": make.version(), "fabric": fabric}
    create_piece(project=project, values={**values, "name": "Front", "count": 2, "mirrored": True})
    NotionNeed.objects.create(project=project, notion=make.notion(), amount=14_000)
    return project


def test_the_flat_size_appears_while_typing(browser_page, owner, project):
    page = browser_page(person=owner)
    page.goto(reverse("piece_new", args=[project.pk]))
    page.get_by_label("Name").fill("Sleeve")
    page.get_by_label("Finished size across").fill("40")
    page.get_by_label("Finished size along").press_sequentially("56")
    page.get_by_text("Makes 1 panel of").wait_for()
    page.get_by_label("How many").fill("3")
    page.get_by_text("Makes 3 panels of").wait_for()
    page.get_by_label("A pair").check()
    page.get_by_text("A pair needs an even number").wait_for()
    assert page.get_by_label("Finished size across").input_value() == "40"
    assert Piece.objects.filter(name="Sleeve").count() == 0
    page.get_by_label("How many").fill("2")
    page.get_by_text("Makes 2 panels of").wait_for()
    said = page.locator("#flat").inner_text()
    page.get_by_role("button", name="Save").click()
    page.get_by_role("heading", name="Sleeve", exact=True).wait_for()
    size = said.split("panels of ")[1].split(" flat")[0]
    assert size in page.locator("dl.facts").inner_text()


def test_the_same_without_javascript_and_by_keyboard(browser_page, owner, project):
    page = browser_page(360, person=owner, javascript=False)
    page.goto(reverse("piece_new", args=[project.pk]))
    page.get_by_label("Name").focus()
    page.keyboard.type("Collar")
    page.keyboard.press("Tab")
    page.keyboard.type("40 m")
    page.keyboard.press("Tab")
    page.keyboard.type("9")
    page.get_by_role("button", name="Work out the flat size").press("Enter")
    page.locator(".problems").wait_for()
    assert page.get_by_label("Finished size across").input_value() == "40 m"
    page.get_by_label("Finished size across").fill("45")
    page.get_by_role("button", name="Work out the flat size").press("Enter")
    expect(page.locator("#flat")).to_contain_text("Makes 1 panel of")
    page.get_by_role("button", name="Save").press("Enter")
    page.get_by_role("heading", name="Collar", exact=True).wait_for()


def test_a_deletion_is_undone_by_its_button(browser_page, owner, project):
    page = browser_page(person=owner)
    page.goto(reverse("project", args=[project.pk]))
    page.get_by_role("button", name="Delete this project").click()
    page.get_by_role("button", name="Undo").click()
    page.goto(reverse("project", args=[project.pk]))
    page.get_by_role("link", name="Front", exact=True).wait_for()


@pytest.mark.parametrize("width", [1280, 360])
def test_every_page_looks_right(browser_page, owner, project, width):
    piece, client = project.pieces.get(), project.client
    pages = {
        "today": [],
        "projects": [],
        "project_new": [],
        "project": [project.pk],
        "project_edit": [project.pk],
        "project_buy": [project.pk],
        "piece_new": [project.pk],
        "piece": [piece.pk],
        "piece_edit": [piece.pk],
        "panel_marks": [piece.pk],
        "clients": [],
        "client": [client.pk],
        "client_new": [],
        "client_edit": [client.pk],
    }
    page, titles = browser_page(width, person=owner), set()
    for name, args in pages.items():
        page.goto(reverse(name, args=args))
        assert looks_wrong(page, phone=width < 760) == [], name
        titles.add(page.title())
    assert len(titles) == len(pages)


@pytest.mark.parametrize("width", [1280, 360])
def test_pages_of_what_went_wrong_look_right(browser_page, owner, project, width):
    piece = project.pieces.get()
    page = browser_page(width, person=owner)
    page.goto(reverse("piece_edit", args=[piece.pk]))
    page.get_by_label("Finished size across").fill("40 m")
    page.get_by_role("button", name="Save").click()
    page.locator(".problems").wait_for()
    assert looks_wrong(page, phone=width < 760) == []
    page.get_by_label("Finished size across").fill("33")
    Piece.objects.update(across=310 * MM, revision=5)
    page.get_by_role("button", name="Save").click()
    page.get_by_text("was changed while you were editing it").wait_for()
    assert looks_wrong(page, phone=width < 760) == []
    page.get_by_role("button", name="Save what is in these boxes").click()
    page.get_by_role("heading", name="Front", exact=True).wait_for()
    assert Piece.objects.get().across == 330 * MM


def test_on_a_phone_columns_of_marks_and_what_a_recipe_is_used_on_stay_within_their_sheet(
    browser_page, owner, project
):
    piece = project.pieces.get()
    page = browser_page(360, person=owner)
    page.goto(reverse("panel_marks", args=[piece.pk]))
    sheet = page.locator("section.sheet").first.bounding_box()
    third = page.locator("table.marked tbody tr").first.locator("td").nth(3).bounding_box()
    assert third["x"] + third["width"] <= sheet["x"] + sheet["width"]
    piece.name = "Front of the outer sleeve, left"
    piece.save()
    page.goto(reverse("compare") + f"?piece={piece.pk}&version={piece.version_id}")
    card = page.locator("section.sheet").last.bounding_box()
    used = page.locator("tr.choose .state").bounding_box()
    assert used["x"] + used["width"] <= card["x"] + card["width"]


def test_settings_side_by_side_stand_in_one_line(browser_page, owner):
    page = browser_page(1280, person=owner)
    page.goto(reverse("settings"))
    page.get_by_label("What passes under the needle").evaluate(
        "field => field.labels[0].prepend('A label that is longer than its field, ')"
    )
    tops = [
        page.locator(f"[name={name}]").bounding_box()["y"]
        for name in ("needle_lift", "depth_spread", "check_every")
    ]
    assert len(set(tops)) == 1
