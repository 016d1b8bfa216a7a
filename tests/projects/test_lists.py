"""Lists of projects and clients: tabs, words, pages, order."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from tests import make

pytestmark = pytest.mark.django_db


def titles(signed_in, **asked):
    return [project.title for project in signed_in.get(reverse("projects"), asked).context["rows"]]


def test_each_state_has_its_tab_and_its_count(owner_page):
    make.project("Coat")
    make.project("Bag", state="asked")
    make.deletion(make.project("Gone"))
    page = owner_page.get(reverse("projects"))
    assert titles(owner_page) == ["Coat"]
    assert titles(owner_page, state="asked") == ["Bag"]
    assert sorted(titles(owner_page, state="all")) == ["Bag", "Coat"]
    assert {key: number for key, _, number in page.context["tabs"]}["all"] == 2


def test_the_nearest_date_comes_first_and_none_last(owner_page):
    today = timezone.localdate()
    make.project("No date")
    make.project("Later", due=today + timedelta(days=9))
    make.project("Late", due=today - timedelta(days=9))
    assert titles(owner_page) == ["Late", "Later", "No date"]
    assert "9 days late" in owner_page.get(reverse("projects")).content.decode()


@pytest.mark.parametrize("words", ["coat", "COAT", "quayside", "qc-7", "17", "#17"])
def test_words_are_looked_for_in_title_client_and_number(owner_page, words):
    make.project("Concert coat", number=17, client=make.client("Quayside Choir", reference="QC-7"))
    make.project("Evening bag", number=18)
    assert titles(owner_page, words=words) == ["Concert coat"]


def test_strange_words_find_nothing_and_break_nothing(owner_page):
    make.project()
    for words in ("%", "²", "9" * 400, "'; --", "合唱"):
        assert owner_page.get(reverse("projects"), {"words": words, "state": "all"}).status_code == 200
    assert owner_page.get(reverse("projects"), {"words": "\x00"}).status_code == 400


def test_fifty_a_page_and_the_words_stay(owner_page):
    for number in range(60):
        make.project(f"Coat {number}")
    page = owner_page.get(reverse("projects"), {"words": "coat"})
    assert len(page.context["rows"]) == 50
    assert "?state=in_hand&amp;words=coat&amp;page=2" in page.content.decode()
    assert len(titles(owner_page, words="coat", page=2)) == 10
    assert len(titles(owner_page, page="nonsense")) == 50
    assert len(titles(owner_page, page=999)) == 10


def test_empty_lists_say_what_to_do_first(owner_page):
    assert "Start the first project" in owner_page.get(reverse("projects")).content.decode()
    assert "Add the first client" in owner_page.get(reverse("clients")).content.decode()
    project = make.project()
    assert "Add the first piece" in owner_page.get(reverse("project", args=[project.pk])).content.decode()


def test_clients_are_found_by_name_and_reference_only(owner_page):
    make.client("Quayside Choir", reference="QC-7", notes="secret")
    make.client("Larkfield Players", reference="LP")
    for words, number in (("quay", 1), ("qc", 1), ("secret", 0), ("", 2)):
        assert len(owner_page.get(reverse("clients"), {"words": words}).context["rows"]) == number
