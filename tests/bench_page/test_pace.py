"""How long what is left takes: at first as this person's hours taught, then as this run goes."""

from math import log

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import steps
from projects.models import LearnedRate, Person, Piece
from projects.planning import plan_project
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


def test_the_list_the_bench_and_today_say_the_same_of_what_is_left(
    owner_page: Client, maker: Person, front: Piece
) -> None:
    """At the pace of this run, which begins with what a tuck takes whoever asks."""
    page, project = signed_in(maker), front.project
    run = page.get(page_of(front)).context["run"]
    for driver, _ in run.step.work:
        LearnedRate.objects.create(person=maker, driver=driver, mean=log(2), variance=0.0001, steps=40)
    for step in plan_project(project).steps:
        if step.key == run.key:
            break
        steps.tick(project=project, key=step.key, person=maker, now=timezone.now())
    for taps in ((), (1, 2, 3, 4)):
        for number in taps:
            send(page, front, fact(unit=number, minute=9 * number))
        now = page.get(page_of(front)).context["now"]
        row = next(r for r in page.get(reverse("bench_list", args=[project.pk])).context["rows"] if r["left"])
        shown = page.get(reverse("today")).context["work"][0][1]
        assert row["run"].key == shown.next_step.key == run.key
        assert shown.next_minutes == row["minutes"] == now.minutes_left
        studio = owner_page.get(reverse("today")).context["work"][0][1].next_minutes
        assert (studio < now.minutes_left) and not (taps and studio == run.minutes)


def test_a_tap_asks_for_nobodys_rates(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1)
    with CaptureQueriesContext(connection) as seen:
        send(maker_page, front, fact(unit=2, minute=1))
    rates = [q["sql"] for q in seen if 'FROM "projects_learnedrate"' in q["sql"] and "UNION" not in q["sql"]]
    assert rates == []
