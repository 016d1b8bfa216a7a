"""Booking on the page of a length or notion: every kind of line, and what is refused."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.activities import balances
from projects.models import StockEntry, Workroom
from tests import make
from tests.cloth.posts import LONG, METRE, book_post


@pytest.mark.parametrize("kind", ["length", "notion"])
def test_every_kind_of_line_can_be_booked(owner_page: Client, kind: str) -> None:
    row = make.length(received=0) if kind == "length" else make.notion(received=0)
    unit = METRE if kind == "length" else 1000
    coat, address = make.project(), reverse(f"{kind}_book", args=[row.pk])
    for what, amount, project in [
        ("received", "5", ""),
        ("reserved", "3", coat.pk),
        ("released", "1", coat.pk),
        ("cut", "1.5", coat.pk),
        ("wasted", "0.25", ""),
        ("counted", "3", ""),
        ("counted", "3", ""),
    ]:
        answer = owner_page.post(address, book_post(kind=what, amount=amount, project=project))
        assert answer.status_code == 303, answer.context["form"].errors
    now = balances.balance(row)
    assert (now.on_shelf, now.reserved_for(coat)) == (3 * unit, unit // 2)
    text = owner_page.get(reverse(kind, args=[row.pk])).content.decode()
    assert "Concert coat" in text and ("−0.25" in text)


def test_lines_stand_as_entered_and_earlier_dates_among_them_are_explained(owner_page: Client) -> None:
    """A project's file brings lines with the dates they had, after lines that are younger."""
    roll = make.length()
    address = reverse("length", args=[roll.pk])
    page = owner_page.get(address).content.decode()
    assert "the latest entry first" in page and "stand where they came in" not in page
    line = {**make.received_line(METRE), "at": timezone.now() - timedelta(days=9)}
    StockEntry.objects.create(cloth=roll, **line)
    assert "stand where they came in" in owner_page.get(address).content.decode()


def test_a_doubled_booking_is_one_line(owner_page: Client) -> None:
    roll, data = make.length(received=0), book_post()
    for _ in range(2):
        assert owner_page.post(reverse("length_book", args=[roll.pk]), data).status_code == 303
    assert balances.on_shelf(roll) == 2 * METRE


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"kind": "cut", "amount": "5.01"}, "amount"),
        ({"kind": "reserved", "amount": "1"}, "project"),
        ({"kind": "stolen"}, "kind"),
        ({"amount": "0"}, "amount"),
        ({"amount": ""}, "amount"),
        ({"amount": "2000 m"}, "amount"),
        ({"note": "n" * 301}, "note"),
        ({"amount": LONG}, "amount"),
        ({"kind": "reserved", "project": "99999999999999999999999"}, "project"),
        ({"kind": "released", "amount": "1", "project": "coat"}, "amount"),
    ],
)
def test_a_booking_that_can_not_be_says_why(owner_page: Client, values: dict[str, Any], field: str) -> None:
    roll, coat = make.length(received=5 * METRE), make.project()
    values = {k: coat.pk if v == "coat" else v for k, v in values.items()}
    answer = owner_page.post(reverse("length_book", args=[roll.pk]), book_post(**{"note": "kept", **values}))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert roll.entries.count() == 1


def test_a_refusal_speaks_in_the_units_of_the_form(owner_page: Client) -> None:
    roll = make.length(received=5 * 914_400_000)
    data = book_post(kind="cut", amount="5 1/4", units="inch")
    answer = owner_page.post(reverse("length_book", args=[roll.pk]), data)
    assert "Only 5 yd is there; 5 1/4 yd can't be taken" in answer.content.decode().replace("&#x27;", "'")


def test_yards_are_read_as_yards(owner_page: Client, workroom: Workroom) -> None:
    make.workroom(units="inch")
    roll = make.length(received=0)
    owner_page.post(reverse("length_book", args=[roll.pk]), book_post(amount="2 1/4", units="inch"))
    assert balances.on_shelf(roll) == 2_057_400_000
    assert "2 ¹⁄₄ yd" in owner_page.get(reverse("length", args=[roll.pk])).content.decode()


@pytest.mark.parametrize(
    ("there", "typed", "said"),
    [(243_999_236, "9", "Only 0.243 m is there; 9 m"), (243_999_236, "243.9993 mm", "Only 0.243 m"),
     (243_000_000, "0.2431", "Only 0.243 m is there; 0.2431 m"), (999_236, "0.5", "Only 0 m is there")],
)  # fmt: skip
def test_what_is_there_is_said_so_that_it_can_be_typed(
    owner_page: Client, there: int, typed: str, said: str
) -> None:
    roll = make.length(received=there)
    answer = owner_page.post(reverse("length_book", args=[roll.pk]), book_post(kind="cut", amount=typed))
    assert answer.status_code == 422
    assert said in str(answer.context["form"].errors["amount"])
