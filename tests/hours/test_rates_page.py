"""The page of how long work takes: what each rate begins from beside what hours taught."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import workroom
from projects.models import LearnedRate, Person
from tests import make
from tests.browser import looks_wrong


def learned(driver: str, mean: float, steps: int, technique: str = "", person: Person | None = None) -> None:
    LearnedRate.objects.create(
        driver=driver, technique=technique, person=person, mean=mean, variance=0.02, steps=steps
    )  # fmt: skip


@pytest.fixture
def taught(maker: Person) -> None:
    learned("tucks", 0.4054651, 14)
    learned("tucks", 0.4054651, 12, "tucks")
    learned("tucks", 0.6931472, 2, "lattice")
    learned("tucks", 0.0953102, 8, person=maker)
    learned("spread.step", 0.25, 14, "texture")


def test_a_starting_value_stands_beside_what_was_learned(owner_page: Client, taught: None) -> None:
    page = " ".join(owner_page.get(reverse("rates")).content.decode().split())
    assert "have moved 1 of them" in page
    assert "<strong>2.25</strong> <span class=\"quiet\">from 14 steps" in page
    assert "Tucks: 2.25" in page and "Lattice smocking: 3" in page and "All techniques, Moss: 1.65" in page


def test_learning_starts_from_an_own_rate(owner_page: Client, taught: None) -> None:
    workroom.set_rate(driver="tucks", minutes=Decimal(2), from_date=timezone.localdate())
    page = owner_page.get(reverse("rates")).content.decode()
    assert "<strong>3</strong>" in page and "our own, from" in page


def test_without_hours_it_says_what_would_move_them(owner_page: Client) -> None:
    page = owner_page.get(reverse("rates")).content.decode()
    assert "Hours logged on steps move them" in page and "the same, no hours yet" in page


def test_as_many_queries_whatever_was_learned(owner_page: Client, maker: Person, taught: None) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as captured:
            owner_page.get(reverse("rates"))
        return len(captured)

    asked()
    few = asked()
    for n in range(8):
        learned("marks", 0.1, n + 1, person=make.person())
        learned("tucks", 0.1, n + 1, "tucks", make.person())
    assert asked() == few


@pytest.mark.parametrize("width", [360, 1280])
def test_it_looks_right(browser_page: object, owner: Person, taught: None, width: int) -> None:
    page = browser_page(width, person=owner)
    page.goto(reverse("rates"))
    page.get_by_text("By technique and person").first.click()
    assert not looks_wrong(page, phone=width < 700)
