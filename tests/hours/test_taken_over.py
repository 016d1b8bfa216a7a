"""Hours while somebody else has taken over this device with a PIN."""

import pytest
from django.test import Client
from django.utils import timezone

from projects.activities import pins
from projects.models import LabourLog, Person
from tests import make
from tests.bench_page.test_page import text_of

PIN = "4071"


def taken_over(page: Client, person: Person) -> None:
    pins.set_pin(person, pin=PIN)
    assert page.post(f"/bench/person/{person.pk}/", {"pin": PIN, "back": "/hours/"}).status_code == 303


def test_an_owner_sees_and_logs_for_whose_hours_run(owner_page: Client, maker: Person) -> None:
    taken_over(owner_page, maker)
    shown = owner_page.get("/hours/")
    assert shown.context["whose"] == maker
    assert shown.context["log_form"].initial["person"] == maker.pk
    assert owner_page.get("/hours/new/").context["form"].initial["person"] == maker.pk
    typed = {"date": f"{timezone.localdate()}", "minutes": "40", "person": maker.pk}
    owner_page.post("/hours/new/", typed)
    assert LabourLog.objects.get().person == maker


@pytest.mark.parametrize("asked", ["all", "own"])
def test_an_owner_still_chooses(asked: str, owner_page: Client, owner: Person, maker: Person) -> None:
    taken_over(owner_page, maker)
    shown = owner_page.get(f"/hours/?person={owner.pk if asked == 'own' else asked}")
    assert shown.context["whose"] == (owner if asked == "own" else None)


def test_a_maker_keeps_to_their_own_and_is_told(maker_page: Client, maker: Person, owner: Person) -> None:
    make.log(owner, make.project(), minutes=77, date=timezone.localdate())
    taken_over(maker_page, owner)
    shown = maker_page.get("/hours/")
    assert shown.context["whose"] == maker and "1 h 17 min" not in text_of(shown)
    said = f"These hours are {maker}’s, who is signed in here. Taps and timer are {owner}’s now"
    assert said in text_of(shown) and said in text_of(maker_page.get("/hours/new/"))
    maker_page.post("/bench/person/back/")
    assert "These hours are" not in text_of(maker_page.get("/hours/"))
