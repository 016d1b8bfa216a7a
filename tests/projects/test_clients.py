"""Clients: kept by everybody, reached by owners only."""

import uuid

import pytest
from django.urls import reverse

from projects.models import Client, Deletion
from tests import make

pytestmark = pytest.mark.django_db
MARKERS = {
    "email": "zz-mail@example.org",
    "telephone": "zz-0123",
    "address": "zz-quay lane",
    "notes": "zz-prefers mornings",
}


@pytest.fixture
def client(workroom):
    return make.client("Quayside Choir", **MARKERS)


def pages_with(client):
    yield reverse("clients")
    yield reverse("client", args=[client.pk])
    yield reverse("client_edit", args=[client.pk])
    for project in client.projects.all():
        yield reverse("project", args=[project.pk])
        yield reverse("project_edit", args=[project.pk])
    yield reverse("projects") + "?state=all"
    yield reverse("projects") + "?state=all&words=zz-"
    yield reverse("clients") + "?words=zz-"
    yield reverse("today")


def test_a_maker_sees_name_and_reference_but_no_contact(maker_page, client):
    make.project(client=client)
    for address in pages_with(client):
        shown = maker_page.get(address).content.decode()
        assert not [marker for marker in MARKERS.values() if marker in shown], address
    assert "Quayside Choir" in maker_page.get(reverse("client", args=[client.pk])).content.decode()


def test_an_owner_sees_how_to_reach_a_client(owner_page, client):
    shown = owner_page.get(reverse("client", args=[client.pk])).content.decode()
    assert all(marker in shown for marker in MARKERS.values())


def test_a_maker_cannot_write_contact_details(maker_page, client):
    typed = {
        "name": "Quayside Singers",
        "reference": "QS",
        "revision": 1,
        "email": "other@example.org",
        "notes": "x",
    }
    answer = maker_page.post(reverse("client_edit", args=[client.pk]), typed)
    client.refresh_from_db()
    assert answer.status_code == 303
    assert (client.name, client.email, client.notes) == (
        "Quayside Singers",
        MARKERS["email"],
        MARKERS["notes"],
    )


def test_a_stale_page_tells_a_maker_no_contact(maker_page, client):
    Client.objects.update(name="Changed meanwhile", revision=2)
    answer = maker_page.post(reverse("client_edit", args=[client.pk]), {"name": "Mine", "revision": 1})
    assert answer.status_code == 409
    assert not [marker for marker in MARKERS.values() if marker in answer.content.decode()]


def test_a_doubled_post_makes_one_client(owner_page):
    typed = {"name": "Larkfield Players", "op": str(uuid.uuid4())}
    answers = [owner_page.post(reverse("client_new"), typed) for _ in range(2)]
    assert Client.objects.filter(name="Larkfield Players").count() == 1
    assert answers[0]["Location"] == answers[1]["Location"]


@pytest.mark.parametrize(
    "typed", [{"name": ""}, {"name": "x" * 10_000}, {"name": "A", "email": "no address"}]
)
def test_what_can_not_be_stays_on_the_page(owner_page, typed):
    answer = owner_page.post(reverse("client_new"), typed)
    assert answer.status_code == 422
    assert "to put right" in answer.content.decode()
    assert not Client.objects.exists()


def test_any_script_can_be_a_name(owner_page):
    owner_page.post(reverse("client_new"), {"name": "Ñandú 合唱团 <b>"})
    client = Client.objects.get()
    assert client.name == "Ñandú 合唱团 <b>"
    assert "<b>" not in owner_page.get(reverse("client", args=[client.pk])).content.decode()


def test_delete_and_undo(owner_page, client):
    page = owner_page.post(reverse("client_delete", args=[client.pk]), follow=True)
    deletion = Deletion.objects.get()
    assert reverse("restore", args=[deletion.pk]) in page.content.decode()
    assert owner_page.get(reverse("client", args=[client.pk])).status_code == 404
    owner_page.post(reverse("restore", args=[deletion.pk]))
    assert owner_page.get(reverse("client", args=[client.pk])).status_code == 200


def test_a_client_with_projects_stays(owner_page, client):
    make.project(client=client)
    page = owner_page.post(reverse("client_delete", args=[client.pk]), follow=True)
    assert "1 project has this client" in page.content.decode()
    assert Client.objects.live().exists()


def test_a_maker_does_not_delete_clients(maker_page, client):
    assert maker_page.post(reverse("client_delete", args=[client.pk])).status_code == 403
    assert Client.objects.live().exists()
