"""Photographs in a real browser: sent from a phone, with and without JavaScript, and how the pages look."""

from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse

from projects.models import Person, Photo
from tests import make
from tests.browser import looks_wrong

from . import pictures


@pytest.fixture
def shots(tmp_path: Path) -> list[str]:
    """Two photographs and a drawing that is none, as files."""
    paths = []
    for name, content in (
        ("first.jpg", pictures.jpeg(1600, 1200, exif=pictures.located(6))),
        ("second.png", pictures.written(pictures.corners(), "PNG")),
        ("third.jpg", pictures.SVG),
    ):
        path = tmp_path / name
        path.write_bytes(content)
        paths.append(str(path))
    return paths


@pytest.mark.parametrize("javascript", [True, False])
def test_several_at_once_from_a_phone(
    browser_page: Any, maker: Person, shots: list[str], javascript: bool
) -> None:
    project = make.project()
    page = browser_page(360, person=maker, javascript=javascript)
    page.goto(reverse("project", args=[project.pk]))
    page.locator("summary", has_text="Add photographs").click()
    page.get_by_label("Photographs to add").set_input_files(shots)
    page.get_by_label("Caption").fill("On the table")
    page.get_by_role("button", name="Add the photographs").click()
    page.get_by_text("2 photographs added.").wait_for()
    page.get_by_text("“third.jpg” was not kept. This is a drawing (SVG)").wait_for()
    images = page.locator("ul.photos img")
    assert images.count() == 2 and Photo.objects.filter(project=project).count() == 2
    images.first.scroll_into_view_if_needed()
    page.wait_for_function("[...document.querySelectorAll('ul.photos img')].every(i => i.naturalWidth > 0)")
    page.get_by_role("link", name="On the table").last.click()
    page.get_by_role("heading", name="On the table").wait_for()
    page.get_by_label("show to the client").check()
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved.").wait_for()
    assert Photo.objects.filter(for_client=True).count() == 1
    page.get_by_role("button", name="Delete this photograph").click()
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("Brought back").wait_for()
    assert Photo.objects.live().count() == 2


@pytest.mark.parametrize("width", [360, 1280])
def test_the_pages_look_right(browser_page: Any, maker: Person, shots: list[str], width: int) -> None:
    project, fabric, notion, sample = make.project(), make.fabric(), make.notion(), make.sample()
    step = make.step(project)
    rows = (project, step, fabric, notion, sample)
    for row in rows:
        make.photo(row, caption="", size=(640, 480))
    one = make.photo(project, size=(1200, 1600), for_client=True, on_sheet=True)
    places = [reverse(name, args=[row.pk]) for name, row in (
        ("project", project), ("project_photos", project), ("steps", project), ("fabric", fabric),
        ("notion", notion), ("sample", sample), ("photo", one),
    )]
    places += [reverse("photos_of", args=[kind, row.pk])
               for kind, row in (("sample", sample), ("fabric", fabric))]
    places += [reverse("project_photos", args=[project.pk]) + f"?step=own:{step.pk}"]
    page = browser_page(width, person=maker)
    for place in places:
        page.goto(place)
        page.evaluate("document.querySelectorAll('details').forEach(part => { part.open = true })")
        page.locator("details.who").evaluate("menu => { menu.open = false }")
        assert looks_wrong(page, phone=width == 360) == [], place


@pytest.mark.parametrize("width", [360, 1280])
def test_the_page_with_problems_looks_right(
    browser_page: Any, maker: Person, shots: list[str], width: int
) -> None:
    page = browser_page(width, person=maker)
    page.goto(reverse("project_photos", args=[make.project().pk]))
    page.get_by_label("Photographs to add").set_input_files(shots[2:])
    page.get_by_role("button", name="Add the photographs").click()
    page.get_by_role("alert").wait_for()
    assert looks_wrong(page, phone=width == 360) == []


@pytest.mark.parametrize("width, javascript", [(360, False), (1280, True)])
def test_one_is_moved_to_a_fabric(browser_page: Any, maker: Person, width: int, javascript: bool) -> None:
    photo, fabric = make.photo(caption="Against the light"), make.fabric("Silk organza")
    page = browser_page(width, person=maker, javascript=javascript)
    page.goto(reverse("photo", args=[photo.pk]))
    page.get_by_role("link", name="Move it elsewhere").click()
    page.get_by_role("heading", name="Move this photograph").wait_for()
    page.get_by_label("Project, recipe of a sample, fabric or notion").fill("organza")
    if not javascript:
        page.get_by_role("button", name="Find", exact=True).click()
    here = page.locator("#found button", has_text="Silk organza")
    here.wait_for()
    if javascript:
        assert looks_wrong(page, phone=width == 360) == []
    here.click()
    page.get_by_text("The photograph is now of Silk organza.").wait_for()
    photo.refresh_from_db()
    assert photo.fabric == fabric and photo.project is None
