"""Flaws of a length on its page: put down, refused with what was typed kept, taken out."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.models import ClothFlaw, ClothLength
from tests import make
from tests.cloth.posts import MM


def post(page: Client, of: ClothLength, **values: str) -> Any:
    usual = {"along": "1.2", "across": "30", "length": "5", "width": "8", "note": "A stain"}
    data = {"op": str(uuid.uuid4()), "units": "metric", **usual, **values}
    return page.post(reverse("flaw_add", args=[of.pk]), data)


def test_a_flaw_is_put_down_where_it_was_measured_and_taken_out(owner_page: Client) -> None:
    length = make.length()
    assert post(owner_page, length).status_code == 303
    flaw = ClothFlaw.objects.get()
    assert (flaw.along, flaw.across, flaw.length, flaw.width) == (1_200 * MM, 300 * MM, 50 * MM, 80 * MM)
    text = owner_page.get(reverse("length", args=[length.pk])).content.decode()
    assert "A stain" in text and "120.0 cm" in text and "8.0 cm × 5.0 cm" in text
    address = reverse("flaw_remove", args=[length.pk])
    for _ in range(2):
        assert owner_page.post(address, {"op": str(uuid.uuid4()), "flaw": flaw.pk}).status_code == 303
    assert not ClothFlaw.objects.exists()


def test_a_doubled_post_is_one_flaw(owner_page: Client) -> None:
    length, key = make.length(), str(uuid.uuid4())
    for _ in range(2):
        post(owner_page, length, op=key)
    assert ClothFlaw.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"along": "7"}, "along"),
        ({"across": "140"}, "across"),
        ({"width": "0"}, "width"),
        ({"length": "long"}, "length"),
        ({"along": ""}, "along"),
        ({"note": "x" * 200}, "note"),
    ],
)
def test_what_is_not_on_the_cloth_is_said_beside_its_field(
    owner_page: Client, typed: dict[str, str], field: str
) -> None:
    answer = post(owner_page, make.length(received=5_000 * MM), **typed)
    text = answer.content.decode()
    assert answer.status_code == 422 and not ClothFlaw.objects.exists()
    assert field in answer.context["flaw_form"].errors and f'id="flaw_{field}_error"' in text
    assert 'value="A stain"' in text or field == "note"
    assert "Book something" in text, "the other form is still there"


def test_a_flaw_of_another_length_stays(owner_page: Client) -> None:
    first, other = make.length(), make.length()
    post(owner_page, first)
    for number in (ClothFlaw.objects.get().pk, "x", "9" * 30):
        owner_page.post(reverse("flaw_remove", args=[other.pk]), {"flaw": number})
    assert ClothFlaw.objects.count() == 1
