"""The recipe page in a browser: live with the caret kept; without JavaScript; by keyboard at 360 px."""

from typing import Any

import pytest

from projects.models import Person, Recipe, RecipeVersion
from tests import make
from tests.browser import Browsing, looks_wrong

pytestmark = pytest.mark.django_db(transaction=True)
CUT = "#result tr.sum"


@pytest.fixture
def recipe(owner: Person) -> Recipe:
    side = make.tucks(*make.GRADUATED)
    return make.recipe("Graduated tucks, both ways", of=make.content(side, side))


def depth(page: Any, number: int) -> Any:
    return page.get_by_label(f"Depth of tuck {number} across, mm")


def focused(page: Any) -> str:
    return page.evaluate("document.activeElement.id")


def changes(page: Any, selector: str, before: str) -> None:
    page.wait_for_function(
        "([s, before]) => document.querySelector(s) && document.querySelector(s).innerText !== before",
        arg=[selector, before],
    )


def test_numbers_follow_while_somebody_types_and_the_caret_stays(
    browser_page: Browsing, owner: Person, recipe: Recipe
) -> None:
    page = browser_page(person=owner)
    page.goto(f"/recipes/{recipe.pk}/")
    facts, cut = page.locator("#facts").inner_text(), page.locator(CUT).inner_text()
    field = depth(page, 2)
    field.click()
    page.keyboard.press("Home")
    page.keyboard.type("1")
    changes(page, "#facts", facts)
    changes(page, CUT, cut)
    assert field.input_value() == "17"
    assert focused(page) == "across-tucks-1-depth"
    assert page.evaluate("document.activeElement.selectionStart") == 1
    page.keyboard.type("1,x")
    error = page.locator("#across-tucks-1-depth-error")
    error.wait_for(state="visible")
    assert "is not a unit of length" in error.inner_text()
    assert field.input_value() == "11,x7"
    page.wait_for_function("document.activeElement.getAttribute('aria-invalid') === 'true'")
    field.fill("7")
    error.wait_for(state="hidden")
    assert page.url.endswith(f"/recipes/{recipe.pk}/")
    assert RecipeVersion.objects.count() == 1


def test_rows_come_and_go_with_the_focus_where_the_work_goes_on(
    browser_page: Browsing, owner: Person, recipe: Recipe
) -> None:
    page = browser_page(person=owner)
    page.goto(f"/recipes/{recipe.pk}/")
    page.locator("#across-add").click()
    depth(page, 5).wait_for()
    page.wait_for_function("document.activeElement.id === 'across-tucks-4-depth'")
    page.get_by_label("More for tuck 5 across").click()
    page.get_by_role("button", name="Remove").locator("visible=true").click()
    depth(page, 5).wait_for(state="detached")
    page.wait_for_function("document.activeElement.id === 'across-tucks-3-depth'")
    page.get_by_label("More for tuck 1 across").press("Enter")
    page.keyboard.press("Escape")
    assert focused(page) == "across-tucks-0-more"


def test_without_javascript_the_same(browser_page: Browsing, owner: Person, recipe: Recipe) -> None:
    page = browser_page(person=owner, javascript=False)
    page.goto(f"/recipes/{recipe.pk}/")
    before = page.locator(CUT).inner_text()
    depth(page, 2).fill("9")
    depth(page, 2).press("Enter")
    page.wait_for_url("**/recipes/work-out/")
    assert page.locator(CUT).inner_text() != before
    assert depth(page, 2).input_value() == "9"
    page.get_by_label("More for tuck 4 across").click()
    page.get_by_role("button", name="Remove").locator("visible=true").click()
    depth(page, 4).wait_for(state="detached")
    depth(page, 1).fill("0")
    page.get_by_role("button", name="Save as version 2").click()
    assert "One thing to put right" in page.locator(".problems").inner_text()
    depth(page, 1).fill("5")
    page.get_by_role("button", name="Save as version 2").click()
    page.wait_for_url(f"**/recipes/{recipe.pk}/")
    assert "Kept as version 2" in page.locator(".messages").inner_text()
    tucks = recipe.versions.first().content["across"]["tucks"]
    assert [t["depth_nm"] // 1_000_000 for t in tucks] == [5, 9, 10]


def test_by_keyboard_at_360_px(browser_page: Browsing, owner: Person, recipe: Recipe) -> None:
    page = browser_page(360, person=owner)
    page.goto(f"/recipes/{recipe.pk}/")
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    facts = page.locator("#facts").inner_text()
    for _ in range(60):
        page.keyboard.press("Tab")
        if focused(page) == "across-tucks-0-depth":
            break
    assert focused(page) == "across-tucks-0-depth"
    page.keyboard.type("6")
    changes(page, "#facts", facts)
    page.keyboard.press("Enter")
    assert page.url.endswith(f"/recipes/{recipe.pk}/")
    page.keyboard.press("Tab")
    assert focused(page) == "across-tucks-0-space"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    depth(page, 5).wait_for()
    page.wait_for_function("document.activeElement.id === 'across-tucks-1-depth'")
    assert depth(page, 2).input_value() == "6"


def test_words_in_drawings_are_12_px_or_more_on_the_screen(
    browser_page: Browsing, owner: Person, recipe: Recipe
) -> None:
    for width in (360, 1280):
        page = browser_page(width, person=owner)
        page.goto(f"/recipes/{recipe.pk}/")
        smallest = page.evaluate(
            """() => Math.min(...[...document.querySelectorAll("main svg.drawing text")]
                .filter(t => t.getClientRects().length)
                .map(t => [parseFloat(t.getAttribute("font-size")), t.ownerSVGElement])
                .map(([size, s]) => size * s.getBoundingClientRect().width / s.viewBox.baseVal.width))"""
        )
        assert smallest >= 11.9, width


def test_a_technique_chosen_brings_its_fields_live(
    browser_page: Browsing, owner: Person, recipe: Recipe
) -> None:
    page = browser_page(person=owner)
    page.goto(f"/recipes/{recipe.pk}/")
    page.locator("#along-technique").select_option("knife")
    page.get_by_label("Underlay depth, mm").wait_for()
    page.locator("#mode").select_option("cloth")
    page.get_by_label("Flat cloth, across, cm").fill("110")
    page.get_by_text("across, finished, with 40 tucks").wait_for()


@pytest.mark.parametrize("width", [360, 1280])
def test_recipe_pages_look_right(browser_page: Browsing, owner: Person, recipe: Recipe, width: int) -> None:
    sample = make.sample(recipe.versions.get())
    make.piece(version=recipe.versions.get())
    page = browser_page(width, person=owner)
    addresses = [
        "/recipes/",
        "/recipes/new/",
        f"/recipes/{recipe.pk}/",
        f"/recipes/{recipe.pk}/versions/1/",
        f"/recipes/{recipe.pk}/rename/",
        f"/recipes/{recipe.pk}/samples/new/",
        f"/samples/{sample.pk}/",
        f"/samples/{sample.pk}/edit/",
    ]
    for address in addresses:
        page.goto(address)
        assert looks_wrong(page, phone=width < 760) == [], address
    page.goto(f"/recipes/{recipe.pk}/")
    page.locator("#across-how").click()
    page.get_by_label("Centre of the piece").first.select_option("tuck")
    page.get_by_label("Which tuck").select_option("2")
    page.locator("#mode").select_option("cloth")
    page.get_by_label("Flat cloth, across").fill("110")
    page.get_by_text("across, finished, with").wait_for()
    assert page.get_by_label("Keep room for allowances and margin").is_checked()
    assert looks_wrong(page, phone=width < 760) == []
    depth(page, 1).fill("5")
    page.get_by_role("button", name="Save as version 2").click()
    page.get_by_role("heading", name="Save as version 2").wait_for()
    assert looks_wrong(page, phone=width < 760) == []


def test_what_is_typed_while_an_answer_brings_rows_anew_is_kept(
    browser_page: Browsing, owner: Person, recipe: Recipe
) -> None:
    """The answer to "Add a tuck" replaces the table; what was typed meanwhile must stand in the new one."""
    page = browser_page(person=owner)
    page.goto(f"/recipes/{recipe.pk}/")
    held: list[Any] = []
    page.route("**/work-out/", lambda route: route.continue_() if held else held.append(route))
    page.get_by_role("button", name="Add a tuck").first.click()
    depth(page, 1).fill("8")
    held[0].continue_()
    depth(page, 5).wait_for()
    assert depth(page, 1).input_value() == "8"
    page.wait_for_function("document.querySelector('#across-tucks-0-depth').value === '8'")
    changes(page, "#facts", "")
    assert depth(page, 1).input_value() == "8"
