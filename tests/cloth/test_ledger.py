"""The ledger: whatever people book, in whatever order, nothing goes below nothing."""

import threading
from collections import Counter
from typing import Any

import pytest
from django.db import connection, connections, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from projects.activities import balances, deleting, stock
from projects.models import ClothLength, Notion, Person, Project, StockEntry
from tests import make

CM = 10 * make.MM
METRE = 100 * CM

amounts = st.integers(min_value=1, max_value=400)
bookings = st.lists(
    st.tuples(
        st.sampled_from(["receive", "reserve", "release", "cut", "waste", "count"]),
        amounts,
        st.sampled_from([None, 0, 1]),
    ),
    max_size=25,
)


def book(what: str, row: ClothLength | Notion, amount: int, project: Project | None, person: Person) -> None:
    """One booking as a person would make it; projects only where they belong."""
    common: dict[str, Any] = {"row": row, "person": person}
    if what not in ("receive", "count"):
        common["project"] = project
    key = "total" if what == "count" else "amount"
    getattr(stock, what)(**common, **{key: amount})


class Shelf:
    """The ledger as a child would keep it: a number on the shelf and a number for each project."""

    def __init__(self) -> None:
        self.there = 0
        self.held: Counter[int | None] = Counter()

    @property
    def free(self) -> int:
        return self.there - self.held.total()

    def allows(self, what: str, amount: int, project: int | None) -> bool:
        if what == "reserve":
            return amount <= self.free
        if what == "release":
            return amount <= self.held[project]
        if what in ("cut", "waste"):
            return amount <= self.free + (self.held[project] if project else 0)
        return amount >= self.held.total() if what == "count" else True

    def do(self, what: str, amount: int, project: int | None) -> None:
        if what == "receive":
            self.there += amount
        elif what == "reserve":
            self.held[project] += amount
        elif what == "release":
            self.held[project] -= amount
        elif what == "count":
            self.there = amount
        else:
            self.there -= amount
            if project:
                self.held[project] -= min(amount, self.held[project])


@pytest.mark.parametrize("kind", ["cloth", "notion"])
def test_any_sequence_of_bookings_agrees_with_a_plain_shelf(owner: Person, kind: str) -> None:
    projects = [make.project("Concert coat"), make.project("Capelet")]

    @settings(derandomize=True, max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
    @given(bookings)
    def check(sequence: list[tuple[str, int, int | None]]) -> None:
        row = make.length(received=0) if kind == "cloth" else make.notion(received=0)
        shelf = Shelf()
        for what, number, which in sequence:
            project = None if which is None else projects[which]
            if what in ("reserve", "release") and project is None:
                continue
            pk = project.pk if project else None
            if shelf.allows(what, number * CM, pk):
                book(what, row, number * CM, project, owner)
                shelf.do(what, number * CM, pk)
            else:
                lines = row.entries.count()
                with pytest.raises(stock.StockError):
                    book(what, row, number * CM, project, owner)
                assert row.entries.count() == lines
            now = balances.balance(row)
            assert now.on_shelf == shelf.there >= 0
            assert now.reserved == shelf.held.total() >= 0
            assert now.free == shelf.free >= 0
            assert now.free + sum(now.reserved_for(p) for p in projects) == now.on_shelf
            assert all(now.reserved_for(p) == shelf.held[p.pk] >= 0 for p in projects)
        assert now_by_hand(row) == (shelf.there, shelf.held.total())

    check()


def now_by_hand(row: ClothLength | Notion) -> tuple[int, int]:
    """On the shelf and held, added up line by line."""
    there = sum(e.amount for e in row.entries.all() if e.kind in StockEntry.ON_SHELF)
    return there, -sum(e.amount for e in row.entries.all() if e.kind in StockEntry.HELD)


def test_cutting_uses_what_is_held_for_the_project_first(owner: Person) -> None:
    coat, capelet = make.project("Concert coat"), make.project("Capelet")
    roll = make.length(received=5 * METRE)
    stock.reserve(row=roll, project=coat, amount=2 * METRE, person=owner)
    stock.reserve(row=roll, project=capelet, amount=3 * METRE, person=owner)
    with pytest.raises(stock.StockError):
        stock.cut(row=roll, amount=1, person=owner)
    with pytest.raises(stock.StockError):
        stock.cut(row=roll, amount=2 * METRE + 1, project=coat, person=owner)
    stock.cut(row=roll, amount=150 * CM, project=coat, person=owner)
    now = balances.balance(roll)
    assert (now.on_shelf, now.reserved_for(coat), now.reserved_for(capelet)) == (350 * CM, 50 * CM, 3 * METRE)


def test_a_count_can_not_fall_below_what_is_reserved(owner: Person) -> None:
    roll = make.length(received=5 * METRE)
    stock.reserve(row=roll, project=make.project(), amount=2 * METRE, person=owner)
    with pytest.raises(stock.StockError) as refused:
        stock.count(row=roll, total=199 * CM, person=owner)
    assert (refused.value.there, refused.value.asked) == (2 * METRE, 199 * CM)
    stock.count(row=roll, total=2 * METRE, person=owner)
    assert roll.entries.get(kind="counted").amount == -3 * METRE
    assert balances.free(roll) == 0


@pytest.mark.parametrize("amount", [0, -1, stock.MOST + 1, True, 1.5])
def test_an_amount_is_a_whole_number_above_nothing(owner: Person, amount: Any) -> None:
    roll = make.length(received=0)
    with pytest.raises(stock.StockError):
        stock.receive(row=roll, amount=amount, person=owner)
    assert not roll.entries.exists()


def test_nothing_is_booked_on_what_was_deleted(owner: Person) -> None:
    roll = make.length()
    deleting.delete([roll], what="a length", person=owner)
    with pytest.raises(stock.StockError):
        stock.receive(row=roll, amount=METRE, person=owner)


def test_many_balances_take_one_query(owner: Person, django_assert_num_queries: Any) -> None:
    rolls = [make.length(received=n * METRE) for n in range(1, 6)]
    coat = make.project()
    stock.reserve(row=rolls[4], project=coat, amount=METRE, person=owner)
    with django_assert_num_queries(1):
        found = balances.balances(rolls)
    assert [found[r.pk].on_shelf for r in rolls] == [n * METRE for n in range(1, 6)]
    assert found[rolls[4].pk].free == 4 * METRE
    with django_assert_num_queries(1):
        rows = list(balances.with_balances(ClothLength.objects.live()).order_by("pk"))
    assert [(r.on_shelf, r.reserved, r.free) for r in rows][-1] == (5 * METRE, METRE, 4 * METRE)


@pytest.mark.django_db(transaction=True)
def test_two_people_reserving_the_last_cloth_at_once(transactional_db: None) -> None:
    """Both ask for the whole metre at the same moment; one has it, the other is told what is left."""
    person, roll = make.person("wren"), make.length(received=METRE)
    projects = [make.project("Concert coat"), make.project("Capelet")]
    ready, said = threading.Barrier(2), []

    def ask(project: Project) -> None:
        try:
            ready.wait(timeout=10)
            stock.reserve(row=roll, project=project, amount=METRE, person=person)
            said.append("reserved")
        except stock.StockError as error:
            said.append(f"there was {error.there}")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=ask, args=(p,)) for p in projects]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert sorted(said) == ["reserved", "there was 0"]
    assert balances.balance(roll).reserved == METRE


@pytest.mark.django_db(transaction=True)
def test_a_booking_waits_for_the_one_before_it(transactional_db: None) -> None:
    """While somebody holds the row, a second booking sees nothing until the first is done."""
    person, roll, coat = make.person("wren"), make.length(received=METRE), make.project()
    said: list[str] = []

    def second() -> None:
        try:
            stock.cut(row=roll, amount=METRE, person=person)
            said.append("cut")
        except stock.StockError:
            said.append("refused")
        finally:
            connections.close_all()

    thread = threading.Thread(target=second)
    with transaction.atomic():
        stock.reserve(row=roll, project=coat, amount=METRE, person=person)
        thread.start()
        thread.join(timeout=0.5)
        assert thread.is_alive(), f"{connection.vendor}: the second did not wait"
    thread.join(timeout=30)
    assert said == ["refused"]
