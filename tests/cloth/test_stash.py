"""The stash consulted: what is found, by what, shown how, and what can't be read."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.activities import finding_cloth, stock
from projects.models import Fabric, Notion, Person, Photo, Project
from tests import make
from tests.cloth.posts import LONG, METRE, MM


def look(browser: Client, status: int = 200, **asked: Any) -> dict[str, list[str]]:
    """Names found, by noun; nouns of which nothing is found are left out."""
    answer = browser.get(reverse("cloth"), asked)
    assert answer.status_code == status
    found = {group.key: [str(line.row) for line in group.lines] for group in answer.context["groups"]}
    return {key: names for key, names in found.items() if names}


@pytest.fixture
def shelf(owner: Person) -> Project:
    """Voile (3 m of 5 m free, and a metre elsewhere), heavy challis all held, thread and buttons."""
    coat = make.project("Concert coat")
    voile = make.fabric("Linen voile", fibre="flax", colour="Écru", family="white", grams=92, place="Chest 2")
    long = make.length(voile, label="V1", dye_lot="K-118", received=5 * METRE, place="Top shelf")
    make.length(voile, label="V2", received=METRE)
    challis = make.fabric("Wool challis", colour="madder", family="red", grams=160, place="Cupboard")
    roll = make.length(challis, label="C1", received=2 * METRE)
    make.notion("Shell buttons", colour="white", family="white", received=12, place="Drawer 4")
    make.notion("Linen thread", kind="thread", received=2)
    stock.reserve(row=long, project=coat, amount=2 * METRE, person=owner)
    stock.reserve(row=roll, project=coat, amount=2 * METRE, person=owner)
    return coat


EVERYTHING = {
    "fabrics": ["Linen voile", "Wool challis"],
    "lengths": ["C1", "V1", "V2"],
    "notions": ["Linen thread", "Shell buttons"],
}
ASKED = [
    ({}, EVERYTHING),
    ({"words": "lin"}, {"fabrics": ["Linen voile"], "lengths": ["V1", "V2"], "notions": ["Linen thread"]}),
    ({"words": "LINEN écru"}, {"fabrics": ["Linen voile"], "lengths": ["V1", "V2"]}),
    ({"words": "ÉCRU k-118"}, {"lengths": ["V1"]}),
    ({"words": "buttons drawer"}, {"notions": ["Shell buttons"]}),
    ({"words": "white and cream", "what": "notions"}, {"notions": ["Shell buttons"]}),
    ({"words": "linen wool"}, {}),
    ({"words": "%"}, {}),
    ({"family": "red"}, {"fabrics": ["Wool challis"], "lengths": ["C1"]}),
    ({"family": "white", "what": "fabrics"}, {"fabrics": ["Linen voile"]}),
    ({"grams_from": "100"}, {"fabrics": ["Wool challis"], "lengths": ["C1"]}),
    ({"grams_from": "90", "grams_to": "92"}, {"fabrics": ["Linen voile"], "lengths": ["V1", "V2"]}),
    ({"free": "4"}, {"fabrics": ["Linen voile"]}),
    ({"free": "3 m"}, {"fabrics": ["Linen voile"], "lengths": ["V1"]}),
    ({"free": "3.001"}, {"fabrics": ["Linen voile"]}),
    ({"free": "4.001"}, {}),
    ({"pieces": "3"}, {"notions": ["Shell buttons"]}),
    ({"free": "0.5", "pieces": "12.001"}, {"fabrics": ["Linen voile"], "lengths": ["V1", "V2"]}),
    (
        {"only_free": "on"},
        {"fabrics": ["Linen voile"], "lengths": ["V1", "V2"], "notions": ["Linen thread", "Shell buttons"]},
    ),
    ({"place": "chest 2"}, {"fabrics": ["Linen voile"], "lengths": ["V2"]}),
    ({"place": "TOP"}, {"lengths": ["V1"]}),
    ({"place": "drawer"}, {"notions": ["Shell buttons"]}),
    ({"place": "linen"}, {}),
    ({"what": "lengths"}, {"lengths": ["C1", "V1", "V2"]}),
]


@pytest.mark.parametrize(("asked", "found"), ASKED)
def test_what_is_asked_is_what_is_found(
    owner_page: Client, shelf: Project, asked: dict[str, str], found: dict[str, list[str]]
) -> None:
    assert look(owner_page, **asked) == found


def test_each_line_says_where_how_much_and_for_whom(owner_page: Client, shelf: Project) -> None:
    groups = {g.key: g for g in owner_page.get(reverse("cloth")).context["groups"]}
    voile = groups["fabrics"].lines[0]
    assert (voile.place, voile.shelf, voile.free, voile.lengths) == ("Chest 2", 6 * METRE, 4 * METRE, 2)
    assert voile.held_for == [(shelf.pk, "Concert coat", 2 * METRE)]
    places = {str(line.row): line.place for line in groups["lengths"].lines}
    assert places == {"C1": "Cupboard", "V1": "Top shelf", "V2": "Chest 2"}
    text = owner_page.get(reverse("cloth")).content.decode()
    assert reverse("project", args=[shelf.pk]) in text and "2.00 m" in text and "12 pieces" in text


def test_what_was_deleted_is_not_found(owner_page: Client, shelf: Project) -> None:
    voile, buttons = Fabric.objects.get(name="Linen voile"), Notion.objects.get(name="Shell buttons")
    make.deletion(voile, voile.lengths.get(label="V2"), buttons)
    found = look(owner_page)
    assert found == {"fabrics": ["Wool challis"], "lengths": ["C1"], "notions": ["Linen thread"]}


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"grams_from": "heavy"}, "is not a number"),
        ({"grams_from": "200", "grams_to": "100"}, "below the 200"),
        ({"free": "2 spools"}, "Cloth free, at least"),
        ({"pieces": "-1"}, "is not a number"),
        ({"family": "plaid"}, "not in the list"),
        ({"what": "clients"}, "not in the list"),
        ({"words": LONG}, "10000 characters"),
    ],
)
def test_what_can_not_be_read_is_said_and_kept(
    owner_page: Client, shelf: Project, asked: Any, words: str
) -> None:
    answer = owner_page.get(reverse("cloth"), {"place": "Chest", **asked})
    text = answer.content.decode()
    assert answer.status_code == 422 and words in text and 'value="Chest"' in text
    assert answer.context["groups"] == []
    part = owner_page.get(reverse("cloth"), asked, headers={"HX-Request": "true"})
    assert part.status_code == 422 and words in part.content.decode()


@pytest.mark.parametrize("value", ["²", "٤", "-1", "9" * 30, "x"])
def test_odd_pages_and_projects_are_answered(owner_page: Client, shelf: Project, value: str) -> None:
    for name in ("page", "project"):
        for what in ("", "fabrics"):
            look(owner_page, what=what, **{name: value})


def test_while_typing_only_the_lists_come_back_and_the_address_is_kept(
    owner_page: Client, shelf: Project
) -> None:
    asked = {"words": "linen", "what": "", "only_free": "on", "grams_from": "", "project": str(shelf.pk)}
    part = owner_page.get(reverse("cloth"), asked, headers={"HX-Request": "true"})
    text = part.content.decode()
    assert "<html" not in text and "Linen voile" in text and "5 found" not in text and "4 found" in text
    assert part["HX-Replace-Url"] == f"/cloth/?words=linen&only_free=on&project={shelf.pk}"


def test_counting_stops_and_every_page_is_there_all_the_same(
    owner_page: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding_cloth, "MOST_COUNTED", 60)
    for number in range(120):
        make.fabric(f"Voile {number:03}", colour="blue" if number < 60 else "grey")
    answer = owner_page.get(reverse("cloth"))
    assert answer.context["groups"][0].said == "more than 60"
    names = [look(owner_page, what="fabrics", page=n)["fabrics"] for n in (1, 2, 3)]
    assert [len(n) for n in names] == [50, 50, 20] and sum(names, []) == sorted(sum(names, []))
    assert owner_page.get(reverse("cloth"), {"words": "blue"}).context["groups"][0].said == "60"
    assert len(look(owner_page, what="fabrics", words="blue", page=9)["fabrics"]) == 10


def test_an_empty_stash_says_what_to_do_first(owner_page: Client) -> None:
    text = owner_page.get(reverse("cloth")).content.decode()
    assert (
        reverse("fabric_new") in text
        and reverse("notion_new") in text
        and 'role="search" aria-label="Look' not in text
    )
    make.fabric()
    text = owner_page.get(reverse("cloth")).content.decode()
    assert "A length is added on its fabric’s own page" in text and "Add the first notion" in text
    assert (
        "Take a word or a condition away" in owner_page.get(reverse("cloth"), {"words": "x"}).content.decode()
    )


def test_a_noun_that_lacks_what_is_asked_says_so(owner_page: Client, shelf: Project) -> None:
    text = owner_page.get(reverse("cloth"), {"grams_to": "100"}).content.decode()
    assert "Notions have no weight, so none is listed." in text
    text = owner_page.get(reverse("cloth"), {"pieces": "1"}).content.decode()
    assert "so no cloth is listed" in text


def test_the_list_of_notions_keeps_its_address(owner_page: Client, shelf: Project) -> None:
    answer = owner_page.get(reverse("notions"))
    assert [group.key for group in answer.context["groups"]] == ["notions"]
    assert "Shell buttons" in answer.content.decode() and "Linen voile" not in answer.content.decode()


def test_in_yards_amounts_are_read_and_said_in_yards(owner_page: Client, shelf: Project) -> None:
    make.workroom(units="inch")
    assert look(owner_page, free="3 1/4") == {"fabrics": ["Linen voile"], "lengths": ["V1"]}
    assert look(owner_page, free="3 3/8") == {"fabrics": ["Linen voile"]}
    text = owner_page.get(reverse("cloth")).content.decode()
    assert "yd" in text and "5.00 m" not in text


def queries(page: Client, address: str) -> int:
    page.get(address)
    with CaptureQueriesContext(connection) as caught:
        assert page.get(address).status_code == 200
    return len(caught)


def photo(**of: Any) -> Photo:
    return Photo.objects.create(key=f"{Photo.objects.count():032}", width=800, height=600, size=9_000, **of)


def fill(owner: Person, coat: Project, count: int) -> None:
    for number in range(count):
        fabric = make.fabric(f"Cloth {number}", family="blue")
        roll, buttons = make.length(fabric), make.notion(f"Buttons {number}")
        stock.reserve(row=roll, project=coat, amount=METRE, person=owner)
        stock.reserve(row=buttons, project=make.project(), amount=1_000, person=owner)
        make.piece(coat, fabric=fabric, name=f"Front {number}", across=300 * MM, along=300 * MM)
        photo(fabric=fabric), photo(notion=buttons)


def test_one_number_of_queries_whatever_there_is(owner_page: Client, owner: Person) -> None:
    coat = make.project()
    fill(owner, coat, 2)
    address = reverse("cloth")
    asked = [address, f"{address}?what=fabrics", f"{address}?words=cloth", f"{address}?project={coat.pk}"]
    few = [queries(owner_page, a) for a in asked]
    fill(owner, coat, 14)
    assert [queries(owner_page, a) for a in asked] == few


def test_the_first_photograph_of_a_fabric_is_shown_with_its_lengths_too(
    owner_page: Client, shelf: Project
) -> None:
    voile = Fabric.objects.get(name="Linen voile")
    first = photo(fabric=voile)
    photo(fabric=voile)
    gone = photo(notion=Notion.objects.get(name="Shell buttons"))
    make.deletion(gone)
    text = owner_page.get(reverse("cloth")).content.decode()
    assert text.count(f"/{first.key}/thumb") == 3, "the fabric and its two lengths"
    assert gone.key not in text
