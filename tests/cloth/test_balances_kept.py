"""Balances kept beside lengths and notions: what the ledger comes to, after anything and at any moment."""

import contextlib
import importlib
import threading
from collections.abc import Callable
from io import StringIO

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connections
from hypothesis import HealthCheck, given, settings

from projects.activities import balances, stock
from projects.models import ClothLength, Notion, Person, StockEntry
from tests import make
from tests.cloth.test_ledger import CM, METRE, book, bookings, now_by_hand

Row = ClothLength | Notion


def kept(row: Row) -> tuple[int, int]:
    row.refresh_from_db()
    return row.shelf, row.held


@pytest.mark.parametrize("kind", ["cloth", "notion"])
def test_what_is_kept_is_the_sum_after_any_sequence(owner: Person, kind: str) -> None:
    projects = [make.project("Concert coat"), make.project("Capelet")]

    @settings(derandomize=True, max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
    @given(bookings)
    def check(sequence: list[tuple[str, int, int | None]]) -> None:
        row = make.length(received=0) if kind == "cloth" else make.notion(received=0)
        for what, number, which in sequence:
            project = None if which is None else projects[which]
            if what in ("reserve", "release") and project is None:
                continue
            with contextlib.suppress(stock.StockError):
                book(what, row, number * CM, project, owner)
            assert kept(row) == now_by_hand(row)

    check()
    assert StockEntry.objects.count() > 40
    assert balances.recount() == []


def test_a_row_read_before_a_booking_does_not_write_its_old_balance(owner: Person) -> None:
    roll = make.length(received=0)
    stock.receive(row=ClothLength.objects.get(), amount=3 * METRE, person=owner)
    roll.place = "Shelf 2"
    roll.save()
    assert kept(roll) == (3 * METRE, 0) and roll.place == "Shelf 2"


def test_taking_a_cut_back_is_kept_too(owner: Person) -> None:
    roll, coat = make.length(received=5 * METRE), make.project()
    stock.reserve(row=roll, project=coat, amount=2 * METRE, person=owner)
    line = stock.cut(row=roll, project=coat, amount=METRE, person=owner)
    assert kept(roll) == (4 * METRE, METRE)
    stock.uncut(entry=line, person=owner, note="not cut after all")
    assert kept(roll) == (5 * METRE, 2 * METRE) == now_by_hand(roll)


def at_once(*deeds: Callable[[], object]) -> None:
    """Everybody at the same moment, each on a connection of their own."""
    ready = threading.Barrier(len(deeds))

    def one(deed: Callable[[], object]) -> None:
        try:
            ready.wait(timeout=10)
            deed()
        except stock.StockError:
            pass
        finally:
            connections.close_all()

    threads = [threading.Thread(target=one, args=(deed,)) for deed in deeds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert not any(thread.is_alive() for thread in threads)


@pytest.mark.django_db(transaction=True)
def test_what_is_kept_is_the_sum_after_many_at_once(transactional_db: None) -> None:
    person, roll, coat = make.person("wren"), make.length(received=2 * METRE), make.project()
    other = make.length(received=METRE)

    def work(number: int) -> Callable[[], object]:
        def deeds() -> None:
            for row in (roll, other):
                stock.receive(row=row, amount=number * CM, person=person)
                stock.reserve(row=row, project=coat, amount=30 * CM, person=person)
                stock.cut(row=row, project=coat, amount=7 * CM, person=person)

        return deeds

    at_once(*(work(number) for number in range(1, 7)))
    for row in (roll, other):
        assert kept(row) == now_by_hand(row)
        assert row.shelf > 0 and 0 <= row.held <= row.shelf
    assert balances.recount(mend=False) == []


@pytest.fixture
def strayed(owner: Person) -> tuple[ClothLength, Notion]:
    """A length and a notion whose balances somebody changed by hand, beside two that are right."""
    roll, buttons = make.length(received=METRE), make.notion(received=12)
    make.length(received=2 * METRE), make.notion(received=3)
    ClothLength.objects.filter(pk=roll.pk).update(shelf=7)
    Notion.objects.filter(pk=buttons.pk).update(held=5)
    return roll, buttons


def test_a_recount_says_what_differs_and_mends_it_when_told_to(strayed: tuple[ClothLength, Notion]) -> None:
    roll, buttons = strayed
    said = StringIO()
    call_command("recount_stock", stdout=said)
    text = said.getvalue()
    assert f"length {roll.pk}" in text and "kept 7 nm" in text and f"{METRE} and 0" in text
    assert f"notion {buttons.pk}" in text and "Different: 2" in text
    assert kept(roll) == (7, 0), "nothing is written unless it is asked for"
    call_command("recount_stock", "--mend", stdout=StringIO())
    assert (kept(roll), kept(buttons)) == ((METRE, 0), (12_000, 0))
    said = StringIO()
    call_command("recount_stock", stdout=said)
    assert "Every length and notion agrees" in said.getvalue()


def test_rows_from_before_are_filled(owner: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    """The migration makes of bare columns what the program keeps, batch by batch."""
    migration = importlib.import_module("projects.migrations.0003_fill_balances_and_words")
    monkeypatch.setattr(migration, "BATCH", 2)
    coat = make.project()
    fabric = make.fabric("Crêpe", fibre="ﬁne wool", colour="Écru", family="white", place="Chest")
    rows: list[Row] = [make.length(fabric, label=f"V{n}", dye_lot="K-118") for n in range(3)]
    rows += [make.notion(f"Buttons {n}", size="15 mm", received=n) for n in range(3)]
    stock.reserve(row=rows[0], project=coat, amount=METRE, person=owner)
    fabric.refresh_from_db()
    should = [(kept(row), row.words) for row in rows]
    for model in (ClothLength, Notion):
        model.objects.update(shelf=0, held=0, words="")
    type(fabric).objects.update(words="")
    migration.fill(apps, None)
    assert [(kept(row), row.words) for row in rows] == should
    assert should[0][0] == (5 * METRE, METRE) and "fine wool" in should[0][1]
    assert type(fabric).objects.get().words == fabric.words != ""


def test_a_length_is_found_by_its_fabric_whatever_becomes_of_that(owner: Person) -> None:
    fabric = make.fabric("Linen voile", colour="ivory")
    roll = make.length(fabric, label="V1")
    assert "linen voile" in roll.words and "v1" in roll.words and "ivory" in roll.words
    fabric.name, fabric.family = "Wool CHALLIS", "red"
    fabric.save()
    roll.refresh_from_db()
    assert "wool challis" in roll.words and "red and pink" in roll.words and "linen" not in roll.words
    fabric.refresh_from_db()
    assert fabric.words.splitlines() == ["wool challis", "ivory", "red and pink"]
