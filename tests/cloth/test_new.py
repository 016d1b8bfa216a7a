"""A new fabric, length or notion: what is known, what is unknown, what can't be read."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities import balances
from projects.models import ClothLength, Fabric, Notion
from tests import make
from tests.cloth.posts import LONG, MM, fabric_post, length_post, notion_post


def test_a_fabric_is_added_with_what_is_known_and_what_is_not(owner_page: Client) -> None:
    data = fabric_post(shrink_along="4 %", shrink_across="1,5", light="78", thickness="0.15", grams="92")
    answer = owner_page.post(reverse("fabric_new"), data)
    fabric = Fabric.objects.get()
    assert (answer.status_code, answer["Location"]) == (303, reverse("fabric", args=[fabric.pk]))
    assert (str(fabric.shrink_along), str(fabric.shrink_across), str(fabric.light)) == (
        "0.0400",
        "0.0150",
        "0.780",
    )
    assert (fabric.width, fabric.thickness) == (1_400 * MM, 150_000)
    text = owner_page.get(answer["Location"]).content.decode()
    assert "1.5\N{NO-BREAK SPACE}%" in text and "78\N{NO-BREAK SPACE}%" in text and "92 g/m²" in text


def test_unknown_is_said_plainly(owner_page: Client) -> None:
    owner_page.post(reverse("fabric_new"), fabric_post())
    fabric = Fabric.objects.get()
    assert (fabric.grams, fabric.thickness, fabric.light, fabric.shrink_along) == (None, None, None, None)
    text = owner_page.get(reverse("fabric", args=[fabric.pk])).content.decode()
    for words in (
        "panels show no weight",
        "can’t be told",
        "no look through the light",
        "what to buy counts none",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", LONG),
        ("width", ""),
        ("width", "0"),
        ("width", "-3"),
        ("width", "40 m"),
        ("width", "1e9"),
        ("width", LONG),
        ("shrink_along", "60"),
        ("shrink_along", "four"),
        ("light", "101"),
        ("light", "NaN"),
        ("grams", "0"),
        ("grams", "1,000"),
        ("thickness", "1 m"),
        ("fibre", "x" * 121),
        ("shrink_across", "1.234"),
        ("notes", "y" * 10_001),
        ("name", "a\x00b"),
    ],
)
def test_what_can_not_be_read_is_said_at_its_field(owner_page: Client, field: str, typed: str) -> None:
    answer = owner_page.post(reverse("fabric_new"), fabric_post(**{field: typed, "place": "kept words"}))
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert "kept words" in answer.content.decode()
    assert not Fabric.objects.exists()


def test_a_length_comes_with_its_first_line(owner_page: Client) -> None:
    fabric = make.fabric()
    answer = owner_page.post(reverse("length_new", args=[fabric.pk]), length_post(dye_lot="А-7 ünïcode"))
    roll = ClothLength.objects.get()
    assert answer["Location"] == reverse("length", args=[roll.pk])
    assert (roll.dye_lot, balances.on_shelf(roll)) == ("А-7 ünïcode", 4_500 * MM)


def test_a_notion_comes_with_thousandths(owner_page: Client) -> None:
    owner_page.post(reverse("notion_new"), notion_post(name="Cord", unit="metres", received="2.125"))
    cord = Notion.objects.get()
    assert balances.on_shelf(cord) == 2_125
    assert "2.125 metres" in owner_page.get(reverse("notion", args=[cord.pk])).content.decode()
    answer = owner_page.post(reverse("notion_new"), notion_post(received="0.0001"))
    assert answer.status_code == 422 and Notion.objects.count() == 1


NEW = [
    ("fabric_new", [], fabric_post, Fabric),
    ("length_new", ["fabric"], length_post, ClothLength),
    ("notion_new", [], notion_post, Notion),
]


@pytest.mark.parametrize(("name", "needs", "post", "model"), NEW)
def test_a_doubled_post_makes_one_row(
    owner_page: Client, name: str, needs: list[str], post: Callable[..., dict[str, Any]], model: type
) -> None:
    address = reverse(name, args=[make.fabric().pk] if needs else [])
    before, data = model.objects.count(), post()
    first, second = owner_page.post(address, data), owner_page.post(address, data)
    assert (first.status_code, second.status_code) == (303, 303)
    assert first["Location"] == second["Location"]
    assert model.objects.count() == before + 1
