"""Addresses of cloth and notions, and editing and deleting what stands there."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities import stock
from projects.models import ClothLength, Deletion, Fabric, Person, Workroom
from tests import make
from tests.cloth.posts import the_form

PAGES = [("fabric", "fabric"), ("length", "length"), ("notion", "notion")]
EDITS = [("fabric_edit", "fabric"), ("length_edit", "length"), ("notion_edit", "notion")]
POSTS = [
    ("fabric_delete", "fabric"),
    ("length_delete", "length"),
    ("notion_delete", "notion"),
    ("length_book", "length"),
    ("notion_book", "notion"),
]


def row_of(kind: str) -> Any:
    return {"fabric": make.fabric, "length": make.length, "notion": make.notion}[kind]()


@pytest.mark.parametrize(("name", "kind"), [*PAGES, *EDITS, *POSTS])
def test_missing_deleted_and_malformed_are_404(owner_page: Client, name: str, kind: str) -> None:
    row = row_of(kind)
    send = owner_page.post if (name, kind) in POSTS else owner_page.get
    for number in (row.pk + 1000, 99999999999999999999999):
        assert send(reverse(name, args=[number])).status_code == 404
    assert send(reverse(name, args=[row.pk]).replace(str(row.pk), "x1")).status_code == 404
    make.deletion(row)
    assert send(reverse(name, args=[row.pk])).status_code == 404


@pytest.mark.parametrize(("name", "kind"), [*PAGES, *POSTS])
def test_the_wrong_method_is_405(owner_page: Client, name: str, kind: str) -> None:
    address = reverse(name, args=[row_of(kind).pk])
    send = owner_page.get if (name, kind) in POSTS else owner_page.post
    assert send(address).status_code == 405
    assert owner_page.delete(address).status_code == 405


@pytest.mark.parametrize(("name", "kind"), [*PAGES, *EDITS, *POSTS])
def test_a_stranger_sees_and_changes_nothing(
    stranger_page: Client, owner: Person, name: str, kind: str
) -> None:
    address = reverse(name, args=[row_of(kind).pk])
    answer = stranger_page.get(address)
    assert answer.status_code == 302 and "sign-in" in answer["Location"]
    assert stranger_page.post(address).status_code in (302, 403)
    assert not Deletion.objects.exists()


@pytest.mark.parametrize(("name", "kind"), [*PAGES, *EDITS])
def test_a_maker_sees_all_of_the_cloth(maker_page: Client, name: str, kind: str) -> None:
    assert maker_page.get(reverse(name, args=[row_of(kind).pk])).status_code == 200


@pytest.mark.parametrize(("name", "kind"), EDITS)
def test_a_stale_form_keeps_both_versions(owner_page: Client, name: str, kind: str) -> None:
    row = row_of(kind)
    address, field = reverse(name, args=[row.pk]), "label" if kind == "length" else "name"
    mine, theirs = the_form(owner_page, address), the_form(owner_page, address)
    assert owner_page.post(address, {**theirs, field: "Theirs"}).status_code == 303
    answer = owner_page.post(address, {**mine, field: "Mine"})
    assert answer.status_code == 409
    text = answer.content.decode()
    assert "Theirs" in text and "Mine" in text
    row.refresh_from_db()
    assert getattr(row, field) == "Theirs" and row.revision == 2
    answer = owner_page.post(address, {**mine, field: "Mine", "revision": "2", "op": str(uuid.uuid4())})
    row.refresh_from_db()
    assert (answer.status_code, getattr(row, field)) == (303, "Mine")


def test_two_shrinkages_are_compared_in_percent(owner_page: Client) -> None:
    address = reverse("fabric_edit", args=[make.fabric().pk])
    mine, theirs = the_form(owner_page, address), the_form(owner_page, address)
    owner_page.post(address, {**theirs, "shrink_along": "4"})
    text = owner_page.post(address, {**mine, "shrink_along": "5.5 %"}).content.decode()
    assert "4 %" in text and "5.5 %" in text and "0.04" not in text


@pytest.mark.parametrize(("name", "kind"), EDITS)
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_form_left_untouched_changes_no_row(
    owner_page: Client, workroom: Workroom, name: str, kind: str, units: str
) -> None:
    """Opened in one system, or opened after the change, saved untouched: every column stays."""
    known = {"thickness": 152_401, "light": "0.783", "shrink_along": "0.0425", "typed": {"width": "in"}}
    row = {
        "fabric": lambda: make.fabric(width=1_381_125_000, notes="two\nlines", **known),
        "length": lambda: make.length(width=1_390_650_001, notes="two\nlines"),
        "notion": lambda: make.notion(notes="two\nlines"),
    }[kind]()
    address = reverse(name, args=[row.pk])
    before = type(row).objects.filter(pk=row.pk).values().get()
    opened = the_form(owner_page, address)
    make.workroom(units=units)
    for data in (opened, the_form(owner_page, address)):
        data = {k: v.replace("\n", "\r\n") for k, v in data.items()}
        assert owner_page.post(address, {**data, "op": str(uuid.uuid4())}).status_code == 303
        assert type(row).objects.filter(pk=row.pk).values().get() == before


@pytest.mark.parametrize("kind", ["fabric", "length", "notion"])
def test_deletion_can_be_undone(owner_page: Client, kind: str) -> None:
    row = row_of(kind)
    answer = owner_page.post(reverse(f"{kind}_delete", args=[row.pk]), {"op": str(uuid.uuid4())}, follow=True)
    assert answer.status_code == 200 and "Undo" in answer.content.decode()
    row.refresh_from_db()
    assert row.deleted_at is not None
    owner_page.post(reverse("restore", args=[Deletion.objects.get().pk]))
    row.refresh_from_db()
    assert row.deleted_at is None
    assert owner_page.get(reverse(kind, args=[row.pk])).status_code == 200


def test_a_fabric_goes_and_comes_back_with_its_lengths(owner_page: Client) -> None:
    roll = make.length()
    gone = make.length(roll.fabric)
    earlier = make.deletion(gone)
    owner_page.post(reverse("fabric_delete", args=[roll.fabric_id]))
    assert not ClothLength.objects.live().exists()
    owner_page.post(reverse("restore", args=[Deletion.objects.exclude(pk=earlier.pk).get().pk]))
    assert list(ClothLength.objects.live()) == [roll]


@pytest.mark.parametrize("kind", ["fabric", "length", "notion"])
def test_what_is_reserved_is_not_deleted(owner_page: Client, owner: Person, kind: str) -> None:
    held = make.notion() if kind == "notion" else make.length()
    stock.reserve(row=held, project=make.project(), amount=1, person=owner)
    row = held.fabric if kind == "fabric" else held
    answer = owner_page.post(reverse(f"{kind}_delete", args=[row.pk]), follow=True)
    assert "was not deleted" in answer.content.decode()
    row.refresh_from_db()
    assert row.deleted_at is None and not Deletion.objects.exists()


def test_a_fabric_that_a_piece_is_planned_in_is_not_deleted(owner_page: Client) -> None:
    piece = make.piece(fabric=make.fabric())
    answer = owner_page.post(reverse("fabric_delete", args=[piece.fabric_id]), follow=True)
    assert "Front of Concert coat is planned in it" in answer.content.decode()
    assert Fabric.objects.live().exists()
