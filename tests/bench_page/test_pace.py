"""How long what is left takes: at first as this person's hours taught, then as this run goes."""

from math import log

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from projects.models import LearnedRate, Person, Piece
from tests import make
from tests.bench_page.runs import fact, page_of, piece, send, sew
from tests.conftest import signed_in


@pytest.fixture
def front(db: None) -> Piece:
    make.workroom()
    return piece()


def pace(page: Client, front: Piece) -> float:
    return page.get(page_of(front)).context["data"]["now"]["pace"]


def test_it_begins_with_the_persons_own_minutes(owner_page: Client, maker: Person, front: Piece) -> None:
    usual = pace(signed_in(maker), front)
    work = [driver for driver, _ in owner_page.get(page_of(front)).context["run"].step.work]
    for driver in work:
        LearnedRate.objects.create(person=maker, driver=driver, mean=log(2), variance=0.0001, steps=40)
    assert pace(signed_in(maker), front) > 1.5 * usual
    assert pace(owner_page, front) == pytest.approx(usual)


def test_then_it_follows_the_taps_of_this_run(maker_page: Client, front: Piece) -> None:
    first = pace(maker_page, front)
    sew(maker_page, front, 1, 2, 3, 4)
    assert pace(maker_page, front) == pytest.approx((3 * first + 3) / 6, abs=0.01), "a minute each"


def test_a_tap_asks_for_nobodys_rates(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1)
    with CaptureQueriesContext(connection) as seen:
        send(maker_page, front, fact(unit=2, minute=1))
    rates = [q["sql"] for q in seen if 'FROM "projects_learnedrate"' in q["sql"] and "UNION" not in q["sql"]]
    assert rates == []
