"""One query count, whatever the number of rows."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities.pieces import create_piece
from projects.models import LabourTotal
from tests import make

pytestmark = pytest.mark.django_db
MM = make.MM


def count(page, address):
    page.get(address)
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert page.get(address).status_code == 200
    return len(seen)


def add_projects(number, person):
    client = make.client(f"Client {number}")
    for _ in range(number):
        project = make.project(client=client, due=timezone.localdate() + timedelta(days=5))
        LabourTotal.objects.create(project=project, person=person, stage="cut", minutes=30)


def add_pieces(project, number, version, fabric):
    for place in range(number):
        values = {
            "name": f"Piece {place}",
            "across": 300 * MM,
            "along": 300 * MM,
            "version": version,
            "fabric": fabric,
        }
        create_piece(project=project, values={**values, "count": 2, "mirrored": True})


@pytest.mark.parametrize("address", ["/projects/", "/projects/?state=all", "/projects/?state=all&words=coat"])
@pytest.mark.parametrize("who", ["owner_page", "maker_page"])
def test_the_list_of_projects(request, owner, address, who):
    page = request.getfixturevalue(who)
    add_projects(10, owner)
    few = count(page, address)
    add_projects(30, owner)
    assert count(page, address) == few
    add_projects(30, owner)
    assert count(page, address) == few


def test_the_list_of_clients(owner_page, owner):
    for _ in range(10):
        make.client()
    few = count(owner_page, reverse("clients"))
    for _ in range(30):
        make.project(client=make.client())
    assert count(owner_page, reverse("clients")) == few


def test_a_client_with_projects(owner_page, owner):
    add_projects(10, owner)
    client = make.project(client=make.client("One")).client
    few = count(owner_page, reverse("client", args=[client.pk]))
    for _ in range(30):
        make.project(client=client)
    assert count(owner_page, reverse("client", args=[client.pk])) == few


@pytest.mark.parametrize("name", ["project", "project_buy"])
def test_a_project_with_three_and_twelve_pieces(owner_page, name):
    project, version, fabric = make.project(client=make.client()), make.version(), make.fabric()
    add_pieces(project, 3, version, fabric)
    few = count(owner_page, reverse(name, args=[project.pk]))
    add_pieces(project, 9, version, fabric)
    add_pieces(project, 1, make.version(), make.fabric("Wool challis"))
    assert count(owner_page, reverse(name, args=[project.pk])) == few


@pytest.mark.parametrize("name", ["piece", "panel_marks"])
def test_a_piece_with_two_and_twelve_panels(owner_page, name):
    project, version, fabric = make.project(), make.version(), make.fabric()
    values = {"name": "Front", "across": 300 * MM, "along": 300 * MM, "version": version, "fabric": fabric}
    few, many = (create_piece(project=project, values={**values, "count": number}) for number in (2, 12))
    assert count(owner_page, reverse(name, args=[few.pk])) == count(owner_page, reverse(name, args=[many.pk]))


def test_the_piece_form_with_one_and_twenty_recipes(owner_page):
    project = make.project()
    make.version()
    make.fabric()
    few = count(owner_page, reverse("piece_new", args=[project.pk]))
    for _ in range(20):
        make.version()
        make.fabric()
    assert count(owner_page, reverse("piece_new", args=[project.pk])) == few


def test_today_with_two_and_forty_projects_in_hand(owner_page, owner):
    version, fabric = make.version(), make.fabric()

    def add(number):
        for _ in range(number):
            project = make.project(due=timezone.localdate() + timedelta(days=number), client=make.client())
            add_pieces(project, 2, version, fabric)

    add(2)
    few = count(owner_page, reverse("today"))
    add(20)
    assert count(owner_page, reverse("today")) == few
