"""Help: every page answers in both unit systems, has one heading, and is linked where it explains."""

from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from projects.views.help import PAGES
from tests import make
from tests.browser import looks_wrong

NAMES = [page.name for page in PAGES]


def test_every_page_has_a_template_and_every_template_a_page() -> None:
    written = {path.stem for path in Path(settings.BASE_DIR, "templates", "help").glob("*.html")}
    assert written - {"index", "page"} == set(NAMES)


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", NAMES)
def test_a_page_answers_with_one_heading(name: str, units: str, maker_page: Client) -> None:
    make.workroom(units=units)
    answer = maker_page.get(reverse("help_page", args=[name]))
    text = answer.content.decode()
    title = next(page.title for page in PAGES if page.name == name)
    assert answer.status_code == 200 and text.count("<h1") == 1 and f"<title>{title} " in text
    assert (" mm" in text) is (units == "metric") or name not in ("sample", "numbers")


@pytest.mark.parametrize("name", NAMES)
def test_a_page_is_linked_from_the_index_and_from_every_other(name: str, maker_page: Client) -> None:
    link = f'href="{reverse("help_page", args=[name])}"'
    assert link in maker_page.get(reverse("help")).content.decode()
    for other in NAMES:
        if other != name:
            assert link in maker_page.get(reverse("help_page", args=[other])).content.decode()


def test_help_is_in_the_studios_menu_and_beside_what_it_explains(maker_page: Client) -> None:
    recipe, project = make.recipe(), make.project()
    make.piece(project, version=recipe.versions.get(), fabric=make.fabric())
    places = {
        reverse("today"): reverse("help"),
        reverse("sample_new", args=[recipe.pk]): reverse("help_page", args=["sample"]),
        reverse("sheet", args=[project.pk]): reverse("help_page", args=["sheet"]),
        reverse("project", args=[project.pk]): reverse("help_page", args=["numbers"]),
        reverse("share", args=[project.pk]): reverse("help_page", args=["photographs"]),
    }
    for place, help_at in places.items():
        assert f'href="{help_at}"' in maker_page.get(place).content.decode(), place


def test_the_worked_sum_is_right(maker_page: Client) -> None:
    make.workroom(units="metric")
    text = maker_page.get(reverse("help_page", args=["sample"])).content.decode()
    assert "331.5 mm − 162.0 mm − 168.0 mm = 1.5 mm" in text and "0.125 mm a tuck" in text
    assert 331.5 - 162 - 168 == 1.5 and 1.5 / 12 == 0.125


def test_an_unknown_page_is_404(maker_page: Client) -> None:
    assert maker_page.get("/help/astrology/").status_code == 404
    assert maker_page.get("/help/index/").status_code == 404 == maker_page.get("/help/page/").status_code


@pytest.mark.parametrize("width", [360, 1280])
def test_pages_look_right(browser_page, maker, width: int) -> None:  # type: ignore[no-untyped-def]
    page = browser_page(width, person=maker)
    for address in (reverse("help"), *(reverse("help_page", args=[name]) for name in NAMES)):
        page.goto(address)
        assert looks_wrong(page, phone=width == 360) == [], address
