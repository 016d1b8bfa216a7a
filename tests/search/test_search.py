"""Search: every noun, every word, whoever asks, in one number of queries."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.views.finding import GROUPS
from tests import make


def look(client: Client, q: str, **more: Any) -> dict[str, list[str]]:
    """Names found, by group."""
    answer = client.get(reverse("search"), {"q": q, **more})
    assert answer.status_code == 200
    return {found.group.key: [line.name for line in found.lines] for found in answer.context["groups"]}


def one_of_each(word: str) -> None:
    """A row of every noun that has ``word`` somewhere."""
    coat = make.project(f"{word} coat", brief="for the spring concert")
    make.client(f"{word} Choir")
    make.piece(coat, name=f"{word} front")
    make.step(coat, title=f"Press the {word} hem")
    recipe = make.recipe(f"{word} tucks")
    fabric = make.fabric(f"{word} voile")
    make.sample(recipe.versions.get(), on=fabric, notes=f"soft {word}")
    make.length(fabric, label=f"{word} 1", dye_lot="K-118")
    make.notion(f"{word} buttons")


def test_every_noun_is_found(owner_page: Client) -> None:
    one_of_each("Heron")
    found = look(owner_page, "heron")
    assert set(found) == {g.key for g in GROUPS} and len(GROUPS) == 9
    assert all(len(names) == 1 for names in found.values())


def test_each_line_leads_somewhere(owner_page: Client) -> None:
    one_of_each("Heron")
    answer = owner_page.get(reverse("search"), {"q": "heron"})
    for found in answer.context["groups"]:
        assert owner_page.get(found.lines[0].address).status_code == 200, found.group.key


def test_every_word_has_to_be_there_in_any_field_and_any_case(owner_page: Client) -> None:
    make.project("Concert coat", brief="Linen voile, graduated tucks")
    make.project("Concert cape", brief="Wool challis")
    assert look(owner_page, "CONCERT voi") == {"projects": ["Concert coat"]}
    assert look(owner_page, "concert velvet") == {}


@pytest.mark.parametrize("typed", ["ÉTOLE", "étole", "Étole", "É", "ÄRMEL étole", "e\u0301tole"])
def test_letters_beyond_a_to_z_fold_their_case_too(owner_page: Client, typed: str) -> None:
    make.project("Étole", brief="ärmel")
    assert look(owner_page, typed) == {"projects": ["Étole"]}


@pytest.mark.parametrize("typed", ["100%", "a_b", "c\\d", "é.*", "(é", "'; --"])
def test_signs_stand_for_themselves(owner_page: Client, typed: str) -> None:
    make.fabric("Voile")
    make.fabric(f"Cloth {typed} end")
    assert look(owner_page, typed) == {"fabrics": [f"Cloth {typed} end"]}


def test_a_project_is_found_by_its_number(owner_page: Client) -> None:
    make.project("Coat", number=417)
    make.project("Cape", number=41)
    assert look(owner_page, "417") == look(owner_page, "#417") == {"projects": ["Coat"]}
    assert look(owner_page, "4") == {}


def test_two_projects_of_one_title_are_told_apart(owner_page: Client) -> None:
    """By number, state, client with reference, and due date; by the reference one alone is found."""
    choir, players = make.client("Quayside Choir", reference="QC"), make.client("Players", reference="LLP")
    make.project("Coat", number=417, client=choir, due=make.date(2027, 4, 30))
    twin = make.project("Coat", number=418, client=players, state="waiting")
    make.piece(twin, name="Yoke of coat")
    page = owner_page.get(reverse("search"), {"q": "coat"}).content.decode()
    assert "number 417, in hand, Quayside Choir, QC, due 30 April 2027" in page
    assert "number 418, waiting, Players, LLP, no due date" in page and "Coat, number 418" in page
    shown = owner_page.get(reverse("search"), {"q": "coat LLP"}).content.decode()
    assert "number 418" in shown and "number 417" not in shown
    make.deletion(players)
    assert "number 418" not in owner_page.get(reverse("search"), {"q": "coat LLP"}).content.decode()


@pytest.mark.parametrize("typed", ["²", "٤١٧", "9" * 200, "x" * 10_000, "🪡", "\ud7ff\ue000"])
def test_whatever_is_typed_is_answered(owner_page: Client, typed: str) -> None:
    make.project("Coat", number=417)
    look(owner_page, typed)
    for number in ("0", "999", "x", "9" * 30):
        look(owner_page, typed, page=number, **{"in": "projects"})


@pytest.mark.parametrize("typed", ["a\x00b", "\x00"])
def test_what_no_text_can_hold_is_refused_plainly(owner_page: Client, typed: str) -> None:
    assert owner_page.get(reverse("search"), {"q": typed}).status_code == 400


def test_a_step_leads_to_its_place_and_untouched_ones_are_said_to_be_left_out(owner_page: Client) -> None:
    step = make.step(make.project("Coat"), title="Press the heron hem")
    answer = owner_page.get(reverse("search"), {"q": "heron"}).content.decode()
    address = reverse("steps", args=[step.project_id])
    assert f"{address}#step-own%3A{step.pk}" in answer and "ticked, skipped, moved or added" in answer
    nothing = owner_page.get(reverse("search"), {"q": "zebra"}).content.decode()
    assert "Steps that nobody touched yet are not searched" in nothing


def test_an_empty_search_says_what_to_type(owner_page: Client) -> None:
    for q in ("", "   "):
        answer = owner_page.get(reverse("search"), {"q": q})
        assert "Type a word" in answer.content.decode() and not answer.context["groups"]


def test_nothing_found_says_which_words(owner_page: Client) -> None:
    assert (
        "Nothing holds “grey” and “heron”"
        in owner_page.get(reverse("search"), {"q": "grey heron"}).content.decode()
    )


def test_contact_details_are_found_by_owners_only(owner_page: Client, maker_page: Client) -> None:
    make.client("Quayside Choir", email="alto@example.org", telephone="555 0117", address="3 Mill Lane")
    for q in ("alto@example", "0117", "mill lane"):
        assert look(owner_page, q) == {"clients": ["Quayside Choir"]}
        assert look(maker_page, q) == {}
    assert look(maker_page, "quayside") == {"clients": ["Quayside Choir"]}
    shown = maker_page.get(reverse("search"), {"q": "quayside"}).content.decode()
    assert "alto@example.org" not in shown and "0117" not in shown


def test_what_was_deleted_is_not_found_nor_what_hangs_on_it(owner_page: Client) -> None:
    coat = make.project("Heron coat")
    make.piece(coat, name="Heron front")
    make.step(coat, title="Heron hem")
    roll = make.length(make.fabric("Heron voile"), label="Heron 1")
    recipe = make.recipe("Heron tucks")
    make.sample(recipe.versions.get(), notes="heron")
    make.deletion(coat, roll.fabric, recipe)
    assert look(owner_page, "heron") == {}


def test_ten_are_shown_and_the_rest_are_a_page_away(owner_page: Client) -> None:
    for number in range(73):
        make.notion(f"Button {number:02}")
    text = owner_page.get(reverse("search"), {"q": "button"}).content.decode()
    assert len(look(owner_page, "button")["notions"]) == 10
    assert "63 more notions" in text and "?q=button&amp;in=notions" in text
    assert len(look(owner_page, "button", **{"in": "notions"})["notions"]) == 50
    assert len(look(owner_page, "button", **{"in": "notions"}, page=2)["notions"]) == 23
    assert look(owner_page, "button", **{"in": "nonsense"}) == look(owner_page, "button")


def queries(page: Client, q: str) -> int:
    look(page, q)
    with CaptureQueriesContext(connection) as caught:
        look(page, q)
    return len(caught)


def test_as_many_queries_for_forty_of_each_as_for_ten(owner_page: Client) -> None:
    for _ in range(10):
        one_of_each("Heron")
    few = queries(owner_page, "heron")
    for _ in range(30):
        one_of_each("Heron")
    assert queries(owner_page, "heron") == few


def test_htmx_gets_the_groups_alone_and_says_how_many(owner_page: Client) -> None:
    make.project("Heron coat")
    answer = owner_page.get(reverse("search"), {"q": "heron"}, headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert "Heron coat" in text and "<html" not in text and "1 found</div>" in text
    assert "HX-Request" in answer["Vary"]


def test_search_only_reads(owner_page: Client, stranger_page: Client) -> None:
    assert owner_page.post(reverse("search")).status_code == 405
    assert stranger_page.get(reverse("search")).status_code == 302
