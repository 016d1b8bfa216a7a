"""A post that comes twice is done once."""

import threading
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client

from projects.activities import operations
from projects.models import Invitation, LabourRate, Operation, Person
from tests import make
from tests.conftest import signed_in


def test_the_same_post_twice_leads_to_the_first_ones_page(owner_page: Client) -> None:
    data = {"minutes": "2", "from_date": "2026-03-02", "seen": "", "op": str(uuid4())}
    first = owner_page.post("/studio/rates/tucks/", data)
    LabourRate.objects.update(minutes=9)
    data["seen"] = "2026-03-02:9"
    second = owner_page.post("/studio/rates/tucks/", data)
    assert first["Location"] == second["Location"] == "/studio/rates/"
    assert LabourRate.objects.get().minutes == 9


@pytest.mark.parametrize("key", ["", "nonsense", "0", "x" * 10_000, "\x00"])
def test_without_a_readable_key_it_is_simply_done(owner_page: Client, maker: Person, key: str) -> None:
    for _ in range(2):
        answer = owner_page.post("/studio/people/invite/", {"shown_name": "Fern", "role": "maker", "op": key})
        assert answer.status_code in (200, 422)
    assert Invitation.objects.count() in (0, 2) and not Operation.objects.exists()


def test_a_failed_post_can_be_tried_again(owner: Person) -> None:
    key = str(uuid4())
    claimed = operations.claim(key, person=owner)
    operations.finish(claimed, location=None)
    assert operations.claim(key, person=owner)


def test_somebody_elses_key_tells_nothing(owner: Person, maker: Person) -> None:
    key = str(uuid4())
    operations.finish(operations.claim(key, person=owner), location="/studio/people/")
    with pytest.raises(operations.Doubled) as doubled:
        operations.claim(key, person=maker)
    assert doubled.value.location == "/"


@pytest.mark.django_db(transaction=True)
def test_two_posts_at_the_same_moment_do_it_once() -> None:
    make.workroom()
    owner = make.person("wren", role=Person.OWNER)
    pages = [signed_in(owner), signed_in(owner)]
    data = {"shown_name": "Fern", "role": "maker", "op": str(uuid4())}
    gate, answers = threading.Barrier(2), []

    def post(page: Client) -> None:
        gate.wait()
        answers.append(page.post("/studio/people/invite/", data).status_code)
        connection.close()

    threads = [threading.Thread(target=post, args=[page]) for page in pages]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answers) == [200, 303] and Invitation.objects.count() == 1
