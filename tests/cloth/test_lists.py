"""Lists and sums: right, and in one number of queries whatever the number of rows."""

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.activities import stock
from projects.models import ClothLength, Fabric, Person
from tests import make
from tests.cloth.posts import METRE, MM


def queries(page: Client, address: str) -> int:
    page.get(address)
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert page.get(address).status_code == 200
    return len(caught)


def many_fabrics(owner: Person, count: int) -> None:
    coat = make.project()
    for number in range(count):
        roll = make.length(make.fabric(f"Fabric {number}"))
        stock.reserve(row=roll, project=coat, amount=METRE, person=owner)


def test_the_lists_take_as_many_queries_for_ten_rows_as_for_forty(owner_page: Client, owner: Person) -> None:
    many_fabrics(owner, 10)
    for number in range(10):
        make.notion(f"Notion {number}")
    few = [queries(owner_page, reverse(name)) for name in ("cloth", "notions")]
    many_fabrics(owner, 30)
    for number in range(30):
        make.notion(f"Notion {number + 10}")
    assert [queries(owner_page, reverse(name)) for name in ("cloth", "notions")] == few


def fill(fabric: Fabric, owner: Person, count: int) -> ClothLength:
    """``count`` lengths, bookings for as many projects, samples and pieces."""
    for _ in range(count):
        roll, coat = make.length(fabric), make.project()
        stock.reserve(row=roll, project=coat, amount=METRE, person=owner)
        make.piece(coat, fabric=fabric)
        make.sample(on=fabric)
    return roll


def test_one_fabric_and_one_length_take_as_many_queries_for_ten_as_for_forty(
    owner_page: Client, owner: Person
) -> None:
    fabric = make.fabric()
    roll = fill(fabric, owner, 10)
    pages = [reverse("fabric", args=[fabric.pk]), reverse("length", args=[roll.pk])]
    few = [queries(owner_page, address) for address in pages]
    fill(fabric, owner, 30)
    for _ in range(30):
        stock.reserve(row=roll, project=make.project(), amount=MM, person=owner)
    assert [queries(owner_page, address) for address in pages] == few


def test_sums_of_a_fabric_leave_out_deleted_lengths(owner_page: Client, owner: Person) -> None:
    fabric = make.fabric()
    kept, gone = make.length(fabric, received=3 * METRE), make.length(fabric, received=7 * METRE)
    stock.reserve(row=kept, project=make.project(), amount=METRE, person=owner)
    make.deletion(gone)
    row = owner_page.get(reverse("cloth")).context["groups"][0].lines[0]
    assert (row.shelf, row.held, row.free, row.lengths) == (3 * METRE, METRE, 2 * METRE, 1)
    page = owner_page.get(reverse("fabric", args=[fabric.pk])).context
    assert (page["on_shelf"], page["reserved"], page["free"]) == (3 * METRE, METRE, 2 * METRE)


def test_the_ledger_shows_what_was_on_the_shelf_after_each_line(owner_page: Client, owner: Person) -> None:
    roll, coat = make.length(received=5 * METRE), make.project()
    stock.reserve(row=roll, project=coat, amount=2 * METRE, person=owner)
    stock.cut(row=roll, amount=METRE, project=coat, person=owner)
    stock.count(row=roll, total=3_900 * MM, person=owner)
    rows = owner_page.get(reverse("length", args=[roll.pk])).context["rows"]
    shown = [(line.kind, line.left) for line in rows]
    assert shown == [
        ("counted", 3_900 * MM),
        ("cut", 4 * METRE),
        ("released", 5 * METRE),
        ("reserved", 5 * METRE),
        ("received", 5 * METRE),
    ]
