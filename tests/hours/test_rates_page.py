"""The page of how long work takes: what each rate begins from beside what hours taught."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import workroom
from projects.models import LabourRate, LearnedRate, Person
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


def test_a_number_is_told_once(owner_page: Client, maker: Person) -> None:
    for technique, person in (("", None), ("tucks", None), ("", maker), ("tucks", maker)):
        learned("tucks", 0.4054651, 14, technique, person)
    page = owner_page.get(reverse("rates")).content.decode()
    assert page.count("2.25") == 1 and "By technique and person" not in page


def test_only_what_hours_have_moved_is_shown_where_it_is_asked_for(owner_page: Client, taught: None) -> None:
    page = owner_page.get(reverse("rates"), {"moved": "1"}).content.decode()
    assert "Tucks folded and fastened off" in page and "Marks drawn" not in page
    assert "Moved by hours: 1" in page


def test_a_studio_in_inches_counts_by_the_yard(owner_page: Client, owner: Person) -> None:
    make.workroom(units="inch")
    page = owner_page.get(reverse("rates")).content.decode()
    assert "Yards of texture sewn" in page and ">2.286<" in page
    assert "Metres" not in page and " metre" not in page
    where = reverse("rate", args=["metres_sewn"])
    shown = owner_page.get(where)
    assert "Minutes a yard" in shown.content.decode() and 'value="2.286"' in shown.content.decode()
    typed = {**shown.context["form"].initial, "minutes": "2", "units": "inch"}
    said = owner_page.post(where, typed, follow=True).content.decode()
    assert "2 minutes a yard" in said and LabourRate.objects.get().minutes == Decimal("2.187")
    again = owner_page.get(where).content.decode()
    assert 'value="2"' in again and "2 at present" in again


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
    assert not looks_wrong(page, phone=width < 700)
    page.get_by_role("heading", name="Sew the texture").click()
    page.get_by_text("By technique and person").first.click()
    assert not looks_wrong(page, phone=width < 700)
