"""Textures by ratio in a browser: live with the caret kept, without JavaScript, at 360 and 1280 px."""

from typing import Any

import pytest

from projects.calc.recipe import Recipe as Content
from projects.models import Person, Recipe, RecipeVersion
from tests import make
from tests.browser import Browsing, looks_wrong
from tests.recipes.ratios import TECHNIQUES, content

pytestmark = pytest.mark.django_db(transaction=True)
MM = 1_000_000


def changes(page: Any, selector: str, before: str) -> None:
    page.wait_for_function(
        "([s, before]) => document.querySelector(s) && document.querySelector(s).innerText !== before",
        arg=[selector, before],
    )


def test_numbers_follow_while_somebody_types_and_the_caret_stays(
    browser_page: Browsing, owner: Person
) -> None:
    row = make.recipe("Cuffs", of=content("honeycomb"))
    page = browser_page(person=owner)
    page.goto(f"/recipes/{row.pk}/")
    facts = page.locator("#facts").inner_text()
    field = page.get_by_label("Flat to finished, across")
    field.click()
    page.keyboard.press("End")
    page.keyboard.type(".5")
    changes(page, "#facts", facts)
    assert field.input_value() == "2.5"
    assert page.evaluate("document.activeElement.id") == "ratio-across"
    assert page.locator("#ratio-across-basis").inner_text() == "As typed, no sample yet."
    page.keyboard.type("x")
    error = page.locator("#ratio-across-error")
    error.wait_for(state="visible")
    assert field.input_value() == "2.5x"
    page.wait_for_function("document.activeElement.getAttribute('aria-invalid') === 'true'")
    field.fill("2")
    error.wait_for(state="hidden")
    assert RecipeVersion.objects.count() == 1


def test_choosing_a_kind_brings_its_form_and_back_again(browser_page: Browsing, owner: Person) -> None:
    row = make.recipe("Coat", of=make.content(make.tucks(*make.GRADUATED)))
    page = browser_page(person=owner)
    page.goto(f"/recipes/{row.pk}/")
    page.locator("#kind").focus()
    page.locator("#kind").select_option("lattice")
    page.get_by_label("Side of a square").wait_for()
    assert page.evaluate("document.activeElement.id") == "kind"
    page.get_by_label("Side of a square").fill("25")
    page.get_by_label("Its diagonal").fill("35")
    page.locator("#kind").select_option("")
    page.get_by_label("Depth of tuck 4 across, mm").wait_for()
    assert page.get_by_label("Depth of tuck 3 across, mm").input_value() == "10"
    page.locator("#kind").select_option("lattice")
    page.get_by_label("Its diagonal").wait_for()
    assert page.get_by_label("Its diagonal").input_value() == "35"


def test_what_owned_cloth_gives_follows_what_is_typed(browser_page: Browsing, owner: Person) -> None:
    row = make.recipe("Cover", of=content("quilting"))
    page = browser_page(person=owner)
    page.goto(f"/recipes/{row.pk}/")
    page.locator("#mode").select_option("cloth")
    flat, answer = page.locator("[name='flat.across']"), page.locator("#answer-across")
    flat.wait_for(state="visible")
    assert answer.inner_text() == ""
    flat.fill("700")
    flat.press("Tab")
    changes(page, "#answer-across", "")
    first = answer.inner_text()
    assert "across, finished" in first
    flat.fill("1200")
    changes(page, "#answer-across", first)
    assert "across, finished" in answer.inner_text()
    flat.fill("wide")
    page.locator("#flat-across-error").wait_for(state="visible")
    page.wait_for_function("document.querySelector('#answer-across').innerText === ''")


def test_without_javascript_the_same(browser_page: Browsing, owner: Person) -> None:
    page = browser_page(360, person=owner, javascript=False)
    page.goto("/recipes/new/")
    page.locator("#kind").select_option("english")
    page.get_by_role("button", name="Work it out").first.click()
    page.wait_for_url("**/recipes/work-out/")
    page.get_by_label("Dots, apart, mm", exact=True).fill("0")
    page.get_by_role("button", name="Save the recipe").click()
    assert "One thing to put right" in page.locator(".problems").inner_text()
    assert page.get_by_label("Dots, apart, mm", exact=True).input_value() == "0"
    page.get_by_label("Dots, apart, mm", exact=True).fill("8")
    page.get_by_role("button", name="Save the recipe").click()
    page.wait_for_url("**/recipes/*/")
    kept = Content.from_json(Recipe.objects.get().versions.get().content)
    assert kept.kind_name() == "English smocking" and kept.ratio.spacing == 8 * MM


@pytest.mark.parametrize("width", [360, 1280])
def test_pages_of_every_technique_look_right(browser_page: Browsing, owner: Person, width: int) -> None:
    cloth, project = make.fabric("Cotton velvet", thickness=900_000), make.project()
    page = browser_page(width, person=owner)
    for technique in TECHNIQUES:
        version = make.recipe(technique, of=content(technique)).versions.get()
        piece = make.piece(project, version=version, fabric=cloth, across=200 * MM, along=220 * MM)
        addresses = [f"/recipes/{version.recipe_id}/", f"/pieces/{piece.pk}/"]
        if technique in ("gathers", "lattice", "quilting"):
            addresses += [f"/recipes/{version.recipe_id}/samples/new/", f"/pieces/{piece.pk}/marks/"]
        for address in addresses:
            page.goto(address)
            assert looks_wrong(page, phone=width == 360) == [], (technique, address)
