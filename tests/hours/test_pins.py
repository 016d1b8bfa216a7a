"""A name and a PIN take over taps and timer on a device, and nothing else."""

import re
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from projects.activities import pins, signing_in, timing
from projects.models import LabourLog, Person, SignInTries
from projects.views import bench_person
from tests import make
from tests.conftest import signed_in

PIN = "4071"


@pytest.fixture
def with_pin(owner):
    pins.set_pin(owner, pin=PIN)
    return owner


def change_to(page, person, pin=PIN, back="/hours/"):
    return page.post(f"/bench/person/{person.pk}/", {"pin": pin, "back": back})


def runs(person) -> bool:
    return timing.running(person) is not None


@pytest.mark.parametrize("pin", ["4071", "80613", "90317264"])
def test_a_pin_is_kept_as_a_hash(maker, pin):
    pins.set_pin(maker, pin=pin)
    assert pin not in Person.objects.get(pk=maker.pk).pin
    pins.check(person=maker, pin=pin, asked_by=maker, now=timezone.now())


OBVIOUS = ["1234", "0123", "7890", "4321", "987654", "0000", "1212", "5757", "123123", "1987", "2024"]


@pytest.mark.parametrize("pin", [*OBVIOUS, "", "407", "407140714", "40a1", "４０７１", "40 71"])
def test_what_is_no_pin_or_tried_first_is_refused(maker_page, maker, pin):
    with pytest.raises(ValidationError):
        pins.check_new(pin)
    answer = maker_page.post("/account/pin/", {"pin": pin, "pin_again": pin})
    maker.refresh_from_db()
    assert (answer.status_code, maker.pin) == (422, "")


def test_a_pin_is_set_changed_and_removed_on_ones_own_page(maker_page, maker):
    assert maker_page.post("/account/pin/", {"pin": "4071", "pin_again": "4017"}).status_code == 422
    for pin in ("4071", "5092"):
        assert maker_page.post("/account/pin/", {"pin": pin, "pin_again": pin}).status_code == 303
        maker.refresh_from_db()
        pins.check(person=maker, pin=pin, asked_by=maker, now=timezone.now())
    assert "Remove my PIN" in maker_page.get("/account/").content.decode()
    maker_page.post("/account/pin/remove/")
    maker.refresh_from_db()
    assert maker.pin == ""


def test_the_timer_is_theirs_until_changed_back(maker_page, maker, with_pin):
    assert change_to(maker_page, with_pin)["Location"] == "/hours/"
    maker_page.post("/hours/start/", {})
    assert (runs(with_pin), runs(maker)) == (True, False)
    log = LabourLog.objects.get()
    assert log.entered_by == with_pin
    assert "Wren" in maker_page.get("/").content.decode()
    maker_page.post("/bench/person/back/", {"back": "/"})
    maker_page.post("/hours/start/", {})
    assert (runs(with_pin), runs(maker)) == (True, True)


def test_a_wrong_pin_changes_nothing(maker_page, with_pin):
    answer = change_to(maker_page, with_pin, "9999")
    assert answer.status_code == 422
    assert "That is not the PIN of Wren" in answer.content.decode()
    assert "9999" not in answer.content.decode()
    maker_page.post("/hours/start/", {})
    assert not runs(with_pin)


def test_wrong_pins_have_to_wait_like_wrong_passwords(maker_page, maker, with_pin):
    for _ in range(signing_in.FREE_TRIES):
        assert change_to(maker_page, with_pin, "9170").status_code == 422
    answer = change_to(maker_page, with_pin)
    assert answer.status_code == 429
    assert int(answer["Retry-After"]) > 0
    assert "Wait" in answer.content.decode()
    # Another address, another device: who is signed in counts.
    again = signed_in(maker).post(
        f"/bench/person/{with_pin.pk}/", {"pin": PIN}, REMOTE_ADDR="10.0.0.9"
    )
    assert again.status_code == 429
    SignInTries.objects.update(last_at=timezone.now() - timedelta(hours=2))
    assert change_to(maker_page, with_pin).status_code == 303
    assert not SignInTries.objects.exists()


def test_somebody_without_a_pin_cannot_be_changed_to(maker_page, owner):
    shown = maker_page.get(f"/bench/person/{owner.pk}/").content.decode()
    assert "Wren has no PIN yet" in shown
    assert "My account" in shown
    for pin in ("", "0", PIN):
        assert change_to(maker_page, owner, pin).status_code == 422


def test_an_owners_pin_opens_nothing_on_a_makers_device(maker_page, maker, with_pin):
    coat = make.project()
    change_to(maker_page, with_pin)
    for address in ("/studio/people/", "/studio/settings/", f"/projects/{coat.pk}/costs/"):
        assert maker_page.get(address).status_code == 403
    theirs = make.log(with_pin, coat, note="only the owner's")
    assert "only the owner's" not in maker_page.get("/hours/?week=2026-03-02&person=all").content.decode()
    assert maker_page.get(f"/hours/{theirs.pk}/edit/").status_code == 403
    table = b"".join(maker_page.get("/hours/csv/").streaming_content).decode()
    assert "only the owner's" not in table
    assert "only the owner's" not in maker_page.get(f"/projects/{coat.pk}/hours/").content.decode()



def test_it_ends_with_twelve_hours_a_sign_out_and_another_pin(maker_page, maker, with_pin, monkeypatch):
    def whose():
        maker_page.post("/hours/start/", {})
        found = Person.objects.get(pk=LabourLog.objects.get().person_id)
        LabourLog.objects.all().delete()
        return found

    change_to(maker_page, with_pin)
    assert whose() == with_pin
    pins.set_pin(with_pin, pin="5092")
    assert whose() == maker
    change_to(maker_page, with_pin, "5092")
    later = timezone.now() + timedelta(hours=12, minutes=1)
    monkeypatch.setattr(bench_person.timezone, "now", lambda: later)
    assert whose() == maker
    monkeypatch.undo()
    change_to(maker_page, with_pin, "5092")
    maker_page.post("/sign-out/")
    maker_page.force_login(maker)
    assert whose() == maker


def test_it_ends_when_they_are_switched_off(maker_page, maker, with_pin):
    change_to(maker_page, with_pin)
    Person.objects.filter(pk=with_pin.pk).update(is_active=False)
    maker_page.post("/hours/start/", {})
    assert runs(maker)
    assert maker_page.get(f"/bench/person/{with_pin.pk}/").status_code == 404


def test_an_owner_removes_somebodys_pin(owner_page, maker):
    pins.set_pin(maker, pin=PIN)
    assert "Remove the PIN" in owner_page.get(f"/studio/people/{maker.pk}/").content.decode()
    owner_page.post(f"/studio/people/{maker.pk}/pin/")
    maker.refresh_from_db()
    assert maker.pin == ""


@pytest.mark.parametrize("back", ["//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere", "x"])
def test_it_never_leads_elsewhere(maker_page, with_pin, back):
    assert change_to(maker_page, with_pin, back=back)["Location"] == "/"


def test_a_pin_never_stands_on_a_page(maker_page, with_pin):
    shown = maker_page.get(f"/bench/person/{with_pin.pk}/").content.decode()
    assert not re.search(r"pbkdf2|argon|\b4071\b", shown)
