"""Claiming a studio that nobody owns: once, with the code from the console."""

import hashlib

import pytest
from django.test import Client

from projects.models import Person, Workroom
from tests import make

CODE = "k7mpx2hdq4wn"


@pytest.fixture
def unclaimed(db: None) -> Workroom:
    claim_hash = hashlib.sha256(CODE.encode()).hexdigest()
    return make.workroom(name="My workroom", claimed_at=None, claim_hash=claim_hash)


def typed(**changes: str) -> dict[str, str]:
    return {
        "code": CODE, "name": "Larkfield Workroom", "measures_in": "inch", "currency": "gbp",
        "time_zone": "Europe/London", "shown_name": "Wren", "username": "wren",
        "password": make.PASSWORD, "again": make.PASSWORD, **changes,
    }


@pytest.mark.parametrize("address", ["/", "/studio/settings/", "/sign-in/"])
def test_every_way_leads_to_the_claim(unclaimed: Workroom, address: str) -> None:
    answer = Client().get(address, follow=True)
    assert answer.redirect_chain[-1][0] == "/claim/"
    assert b"One-time code" in answer.content


@pytest.mark.parametrize("code", [CODE, CODE.upper(), f" {CODE[:4]}-{CODE[4:8]} {CODE[8:]} "])
def test_the_code_makes_the_first_owner(unclaimed: Workroom, code: str) -> None:
    page = Client()
    answer = page.post("/claim/", typed(code=code))
    assert (answer.status_code, answer["Location"]) == (303, "/")
    owner = Person.objects.get()
    assert owner.is_owner and owner.shown_name == "Wren" and owner.check_password(make.PASSWORD)
    studio = Workroom.load()
    assert (studio.name, studio.units, studio.currency) == ("Larkfield Workroom", "inch", "GBP")
    assert studio.time_zone == "Europe/London" and studio.claimed_at and studio.claim_hash == ""
    assert page.get("/account/").status_code == 200


def test_the_code_is_used_up(unclaimed: Workroom) -> None:
    Client().post("/claim/", typed())
    answer = Client().post("/claim/", typed(username="moss"))
    assert (answer.status_code, answer["Location"]) == (303, "/sign-in/")
    assert Person.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"code": "wrong"}, "not the code printed"),
        ({"code": ""}, "This was left empty"),
        ({"currency": "pounds"}, "no currency in three letters"),
        ({"time_zone": "Larkfield"}, "is not in the list"),
        ({"again": "something else"}, "The two passwords differ"),
        ({"password": "12345678", "again": "12345678"}, "entirely numeric"),
        ({"username": "w r e n"}, "can&#x27;t be a user name"),
        ({"name": "x" * 10_000}, "at most 120"),
        ({"shown_name": "\x00"}, "kept (NUL)"),
    ],
)
def test_bad_input_makes_nobody_and_keeps_what_was_typed(
    unclaimed: Workroom, changes: dict[str, str], said: str
) -> None:
    answer = Client().post("/claim/", typed(**{"shown_name": "Wren of Larkfield", **changes}))
    page = answer.content.decode()
    assert answer.status_code == 422 and said in page
    assert 'value="gbp"' in page or "currency" in changes
    assert not Person.objects.exists() and Workroom.load().claim_hash == unclaimed.claim_hash


def test_without_a_code_nobody_can_claim(db: None) -> None:
    make.workroom(claimed_at=None)
    assert b"There is no code at the moment" in Client().get("/claim/").content
    assert Client().post("/claim/", typed(code="")).status_code == 422
    assert Client().post("/claim/", typed(code="anything")).status_code == 422
    assert not Person.objects.exists()


def test_a_claimed_studio_sends_the_visitor_to_sign_in(owner: Person) -> None:
    assert Client().get("/claim/")["Location"] == "/sign-in/"
