"""One-time links: shown once, kept only as a hash, one answer for all that do not work."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from projects.activities import people
from projects.models import Invitation, Person
from tests import make

TYPED = {"username": "fern", "password": make.PASSWORD, "again": make.PASSWORD}


def invited(owner_page: Client, **changes: str):
    return owner_page.post("/studio/people/invite/", {"shown_name": "Fern", "role": "maker", **changes})


def link_in(answer) -> str:
    return re.search(r'value="http://testserver(/join/[^"]+)"', answer.content.decode()).group(1)


def test_the_link_makes_a_maker_and_is_used_up(owner_page: Client) -> None:
    address = link_in(invited(owner_page))
    page = Client()
    assert b"Hello Fern" in page.get(address).content
    assert page.post(address, TYPED)["Location"] == "/"
    fern = Person.objects.get(username="fern")
    assert (fern.role, fern.shown_name) == ("maker", "Fern") and fern.check_password(make.PASSWORD)
    assert page.get("/account/").status_code == 200
    assert Client().get(address).status_code == 404
    assert Client().post(address, {**TYPED, "username": "ash"}).status_code == 404
    assert not Person.objects.filter(username="ash").exists()


def test_a_link_for_an_owner(owner_page: Client) -> None:
    Client().post(link_in(invited(owner_page, role="owner")), TYPED)
    assert Person.objects.get(username="fern").is_owner


def test_only_the_hash_is_kept_and_the_token_is_long(owner: Person) -> None:
    token = people.invite(shown_name="Fern", role="maker", by=owner)
    kept = Invitation.objects.values().get()
    assert len(token) >= 43 and not any(token in str(value) for value in kept.values())


def test_the_link_is_shown_once(owner_page: Client) -> None:
    key = str(uuid4())
    first = invited(owner_page, op=key)
    assert b"Shown only now" in first.content
    second = invited(owner_page, op=key)
    assert second["Location"] == "/studio/people/" and Invitation.objects.count() == 1
    after = owner_page.get("/studio/people/").content
    assert b"is shown only once" in after and link_in(first).encode() not in after


def test_the_public_address_stands_in_the_link(owner_page: Client) -> None:
    make.workroom(public_address="https://studio.example.org")
    assert b'value="https://studio.example.org/join/' in invited(owner_page).content


@pytest.fixture
def dead_links(owner: Person) -> list[str]:
    """Addresses of a used, an old and a revoked link, and of one that never was."""
    now, addresses = timezone.now(), []
    for changes in ({"used_at": now}, {"expires_at": now - timedelta(seconds=1)}, {"revoked_at": now}):
        token = people.invite(shown_name="Fern", role="owner", by=owner)
        Invitation.objects.filter(token_hash=people.hash_of(token)).update(**changes)
        addresses.append(f"/join/{token}/")
    return [*addresses, "/join/never-was/"]


def test_all_dead_links_get_the_same_answer(dead_links: list[str]) -> None:
    token = re.compile(rb"X-CSRFToken[^}]+")
    shown = {token.sub(b"", Client().get(address).content) for address in dead_links}
    assert len(shown) == 1
    for address in dead_links:
        assert Client().get(address).status_code == Client().post(address, TYPED).status_code == 404
    assert not Person.objects.filter(username="fern").exists()


def test_a_link_lasts_seven_days(owner: Person) -> None:
    people.invite(shown_name="Fern", role="maker", by=owner)
    left = Invitation.objects.get().expires_at - timezone.now()
    assert timedelta(days=6, hours=23) < left <= timedelta(days=7)


def test_an_owner_takes_a_link_back(owner_page: Client) -> None:
    address = link_in(invited(owner_page))
    pk = Invitation.objects.get().pk
    assert b"Take back" in owner_page.get("/studio/people/").content
    owner_page.post(f"/studio/people/links/{pk}/revoke/")
    assert Client().get(address).status_code == 404
    assert b"None. A link works once" in owner_page.get("/studio/people/").content


@pytest.mark.parametrize("name", ["wren", "WREN", "Wren"])
def test_a_taken_name_uses_up_no_link(owner_page: Client, name: str) -> None:
    address = link_in(invited(owner_page))
    answer = Client().post(address, {**TYPED, "username": name})
    assert answer.status_code == 422 and b"is taken" in answer.content
    assert Client().get(address).status_code == 200


def test_an_invitation_needs_a_name_and_a_role(owner_page: Client) -> None:
    answer = invited(owner_page, shown_name="", role="king")
    assert answer.status_code == 422 and not Invitation.objects.exists()
    assert "“king” is not in the list" in answer.content.decode()
