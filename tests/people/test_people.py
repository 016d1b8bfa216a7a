"""Roles, switching off and on, passwords; there is always an owner left."""

import re
import threading
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from projects.activities import people, timing
from projects.models import LabourTotal, Person
from tests import make
from tests.conftest import signed_in


def test_the_list_shows_everybody(owner_page: Client, maker: Person) -> None:
    make.person("ash", is_active=False)
    page = owner_page.get("/studio/people/").content.decode()
    assert "3 people" in page and "Moss" in page and "switched off" in page


def test_the_list_asks_as_often_for_many_as_for_few(owner_page: Client, owner: Person) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            owner_page.get("/studio/people/")
        return len(queries)

    few = count()
    for _ in range(10):
        make.person()
        people.invite(shown_name="Fern", role="maker", by=owner)
    assert count() == few


def test_switching_off_signs_out_at_once(owner_page: Client, maker: Person) -> None:
    theirs = signed_in(maker)
    assert theirs.get("/account/").status_code == 200
    owner_page.post(f"/studio/people/{maker.pk}/off/")
    assert theirs.get("/account/")["Location"].startswith("/sign-in/")
    owner_page.post(f"/studio/people/{maker.pk}/on/")
    maker.refresh_from_db()
    assert maker.is_active


def test_the_last_owner_stays(owner_page: Client, owner: Person, maker: Person) -> None:
    answer = owner_page.post(f"/studio/people/{owner.pk}/off/", follow=True)
    assert b"A studio needs an owner" in answer.content
    answer = owner_page.post(f"/studio/people/{owner.pk}/", {"shown_name": "Wren", "role": "maker"})
    assert answer.status_code == 422 and b"A studio needs an owner" in answer.content
    owner.refresh_from_db()
    assert owner.is_owner


@pytest.mark.usefixtures("midday")
def test_switching_off_stops_and_logs_a_running_timer(owner_page: Client, maker: Person) -> None:
    project, began = make.project(), timezone.now() - timedelta(minutes=50)
    log = timing.start(person=maker, project=project, now=began, zone=make.workroom().zone)
    owner_page.post(f"/studio/people/{maker.pk}/off/")
    log.refresh_from_db()
    assert timing.running(maker) is None and log.minutes == 50
    assert LabourTotal.objects.get(project=project, person=maker).minutes == 50


def test_the_last_owner_s_timer_runs_on(owner_page: Client, owner: Person) -> None:
    timing.start(person=owner, project=None, now=timezone.now(), zone=make.workroom().zone)
    owner_page.post(f"/studio/people/{owner.pk}/off/")
    assert timing.running(owner) is not None


def test_an_owner_who_is_switched_off_does_not_count(owner: Person) -> None:
    make.person("ash", role=Person.OWNER, is_active=False)
    with pytest.raises(ValidationError):
        people.switch_off(owner)


def test_with_two_owners_one_may_go(owner_page: Client, owner: Person, maker: Person) -> None:
    owner_page.post(f"/studio/people/{maker.pk}/", {"shown_name": "Moss", "role": "owner"})
    owner_page.post(f"/studio/people/{owner.pk}/", {"shown_name": "Wren", "role": "maker"})
    assert owner_page.get("/studio/people/").status_code == 403
    assert list(Person.objects.filter(role="owner")) == [maker]


@pytest.mark.django_db(transaction=True)
def test_two_owners_switching_each_other_off_leave_one() -> None:
    pair = [make.person(name, role=Person.OWNER) for name in ("wren", "moss")]
    gate, refused = threading.Barrier(2), []

    def off(person: Person) -> None:
        gate.wait()
        try:
            people.switch_off(person)
        except ValidationError:
            refused.append(person)
        finally:
            connection.close()

    threads = [threading.Thread(target=off, args=[person]) for person in pair]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(refused) == 1 and Person.objects.filter(is_active=True).count() == 1


def test_a_fresh_password_is_shown_once(owner_page: Client, maker: Person) -> None:
    theirs, key = signed_in(maker), str(uuid4())
    answer = owner_page.post(f"/studio/people/{maker.pk}/password/", {"op": key})
    password = re.search(r'readonly value="([^"]+)"', answer.content.decode()).group(1)
    maker.refresh_from_db()
    assert maker.check_password(password) and len(password) >= 16
    assert theirs.get("/account/")["Location"].startswith("/sign-in/")
    again = owner_page.post(f"/studio/people/{maker.pk}/password/", {"op": key}, follow=True)
    assert password.encode() not in again.content and b"is shown only once" in again.content
    maker.refresh_from_db()
    assert maker.check_password(password)


def test_an_owners_own_fresh_password_keeps_them_signed_in(owner_page: Client, owner: Person) -> None:
    owner_page.post(f"/studio/people/{owner.pk}/password/")
    assert owner_page.get("/studio/people/").status_code == 200


def own(page: Client, **changes: str):
    new = "a quieter afternoon"
    return page.post("/account/", {"old": make.PASSWORD, "password": new, "again": new, **changes})


def test_somebody_changes_their_own_password(maker_page: Client, maker: Person) -> None:
    elsewhere = signed_in(maker)
    assert own(maker_page)["Location"] == "/account/"
    maker.refresh_from_db()
    assert maker.check_password("a quieter afternoon")
    assert maker_page.get("/account/").status_code == 200
    assert elsewhere.get("/account/")["Location"].startswith("/sign-in/")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"old": "wrong"}, "not your present password"),
        ({"again": "different"}, "The two passwords differ"),
        ({"password": "mossmoss", "again": "mossmoss"}, "too similar"),
        ({"password": "password", "again": "password"}, "too common"),
        ({"password": "short", "again": "short"}, "too short"),
    ],
)
def test_a_password_that_will_not_do(
    maker_page: Client, maker: Person, changes: dict[str, str], said: str
) -> None:
    Person.objects.filter(pk=maker.pk).update(username="mossmos")
    answer = own(maker_page, **changes)
    assert answer.status_code == 422 and said in answer.content.decode()
    maker.refresh_from_db()
    assert maker.check_password(make.PASSWORD)
