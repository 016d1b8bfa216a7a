"""What an hour costs: which rate holds on which day, and the page where owners set it."""

import html
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from projects.activities import hour_rates as activity
from projects.models import Deletion, HourRate, Person, Workroom
from projects.planning.hour_rates import HourRates
from tests import make
from tests.people.test_settings import as_shown

FIRST = date(2026, 1, 1)


def row(amount: int, day: int, person: int | None = None, kind: str = "pay") -> HourRate:
    return HourRate(kind=kind, person_id=person, amount=amount, from_date=FIRST + timedelta(days=day))


def test_a_rate_holds_from_its_day_until_the_next() -> None:
    rates = HourRates([row(2000, 20), row(1800, 10), row(400, 15, kind="overhead")])
    days = [FIRST + timedelta(days=day) for day in (9, 10, 19, 20, 400)]
    assert [rates.work(day) for day in days] == [None, 1800, 1800, 2000, 2000]
    assert [rates.overhead(day) for day in days] == [None, None, 400, 400, 400]


def test_a_person_without_a_rate_of_that_day_counts_at_the_studios() -> None:
    rates = HourRates([row(1800, 0), row(2500, 10, person=7), row(0, 20, person=7)])
    days = [FIRST + timedelta(days=day) for day in (5, 10, 20)]
    assert [rates.work(day, 7) for day in days] == [1800, 2500, 0]
    assert [rates.work(day, 8) for day in days] == [1800, 1800, 1800]


@settings(derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(st.integers(0, 60), st.integers(0, 9999)), st.integers(0, 70), st.randoms())
def test_the_latest_before_the_day_holds_in_any_order(found: dict[int, int], day: int, mixed: Any) -> None:
    rows = [row(amount, when) for when, amount in found.items()]
    mixed.shuffle(rows)
    held = [found[when] for when in sorted(found) if when <= day]
    assert HourRates(rows).work(FIRST + timedelta(days=day)) == (held[-1] if held else None)


def post(page: Client, **values: Any) -> Any:
    usual = {"whose": "studio", "amount": "18", "from_date": "2026-03-01"}
    return page.post(reverse("hour_rates"), {**usual, **values})


def test_an_owner_sets_rates_and_the_same_day_replaces(owner_page: Client, maker: Person) -> None:
    for values in ({}, {"amount": "18,50"}, {"whose": "overhead", "amount": "4.50"}, {"whose": maker.pk}):
        assert post(owner_page, **values).status_code == 303
    kept = sorted((r.kind, r.person_id or 0, r.amount) for r in HourRate.objects.live())
    assert kept == [("overhead", 0, 450), ("pay", 0, 1850), ("pay", maker.pk, 1800)]
    page = owner_page.get(reverse("hour_rates")).content.decode().replace("\xa0", " ")
    assert "An hour of Moss" in page and "18.50 EUR" in page and "1 March 2026" in page


@pytest.mark.parametrize(
    "values, says",
    [
        ({"amount": "1,800"}, "one way only"), ({"amount": "lots"}, "such as 12.50"),
        ({"amount": ""}, "12.50"),
        ({"amount": "99999999999"}, "a digit too many"), ({"whose": "999"}, "not in the list"),
        ({"from_date": "1066-10-14"}, "from 2000 on"), ({"from_date": "soon"}, "not a date"),
    ],
)  # fmt: skip
def test_what_cant_be_is_refused_and_kept(owner_page: Client, values: dict[str, str], says: str) -> None:
    answer = post(owner_page, **values)
    page = answer.content.decode()
    assert answer.status_code == 422 and says in page
    assert all(not v or f'value="{v}"' in page for k, v in values.items() if k == "amount")
    assert not HourRate.objects.exists()


def test_only_the_last_figure_is_taken_back(owner_page: Client, owner: Person) -> None:
    first, last = make.hour_rate(1800), make.hour_rate(2000, from_date=date(2026, 5, 1))
    page = owner_page.get(reverse("hour_rates")).content.decode()
    assert reverse("hour_rate_delete", args=[last.pk]) in page
    assert reverse("hour_rate_delete", args=[first.pk]) not in page
    with pytest.raises(ValidationError, match="only the last"):
        activity.delete_last(first, by=owner)
    assert owner_page.post(reverse("hour_rate_delete", args=[first.pk])).status_code == 303
    assert HourRate.objects.count() == 2
    answer = owner_page.post(reverse("hour_rate_delete", args=[last.pk]), follow=True)
    assert HourRates.load().work(date(2026, 6, 1)) == 1800
    deletion = Deletion.objects.get()
    assert reverse("restore", args=[deletion.pk]) in answer.content.decode()
    assert owner_page.post(reverse("hour_rate_delete", args=[last.pk])).status_code == 404
    owner_page.post(reverse("restore", args=[deletion.pk]))
    assert HourRates.load().work(date(2026, 6, 1)) == 2000


def test_a_figure_that_was_replaced_comes_back_in_its_place(owner_page: Client) -> None:
    post(owner_page, amount="18")
    answer = owner_page.post(
        reverse("hour_rates"), {"whose": "studio", "amount": "20", "from_date": "2026-03-01"}, follow=True
    )
    first = Deletion.objects.get()
    assert reverse("restore", args=[first.pk]) in answer.content.decode()
    assert HourRates.load().work(date(2026, 6, 1)) == 2000
    owner_page.post(reverse("restore", args=[first.pk]))
    assert HourRates.load().work(date(2026, 6, 1)) == 1800
    second = Deletion.objects.exclude(pk=first.pk).get()
    owner_page.post(reverse("restore", args=[second.pk]))
    assert HourRates.load().work(date(2026, 6, 1)) == 2000
    assert HourRate.objects.live().count() == 1


def test_the_same_figure_again_changes_nothing(owner_page: Client) -> None:
    post(owner_page), post(owner_page)
    assert HourRate.objects.count() == 1 and not Deletion.objects.exists()


def test_a_maker_neither_sees_nor_brings_back_a_rate(owner_page: Client, maker_page: Client) -> None:
    last = make.hour_rate(1800)
    owner_page.post(reverse("hour_rate_delete", args=[last.pk]))
    deletion = Deletion.objects.get()
    assert "18" not in deletion.what.replace("2018", "")
    seen = [page.get(reverse("deleted")).content.decode() for page in (owner_page, maker_page)]
    assert [deletion.what in html.unescape(page) for page in seen] == [True, False]
    assert maker_page.post(reverse("restore", args=[deletion.pk])).status_code == 403
    assert not HourRate.objects.live().exists()


def test_overhead_is_nobodys_own(maker: Person) -> None:
    with pytest.raises(ValidationError, match="everybody's hours"):
        activity.set_hour_rate(kind="overhead", person=maker, amount=1, from_date=FIRST, by=maker)
    with pytest.raises(IntegrityError), transaction.atomic():
        HourRate.objects.create(kind="overhead", person=maker, amount=1, from_date=FIRST)


def test_as_many_queries_for_many_rates_as_for_one(owner_page: Client) -> None:
    counts = []
    for many in (1, 8):
        for _ in range(many):
            make.hour_rate(1800, of=make.person())
        with CaptureQueriesContext(connection) as asked:
            owner_page.get(reverse("hour_rates"))
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_margin_and_tax_stand_among_the_settings(owner_page: Client, workroom: Workroom) -> None:
    typed = {**as_shown(workroom), "margin": "25", "tax": "8,1 %"}
    assert owner_page.post(reverse("settings"), typed).status_code == 303
    kept = Workroom.load()
    assert (kept.margin, kept.tax) == (Decimal("0.25"), Decimal("0.081"))
    wrong = owner_page.post(reverse("settings"), {**as_shown(kept), "margin": "100"})
    assert wrong.status_code == 422 and "between 0 and 95 %" in wrong.content.decode()


def test_a_day_ahead_does_not_hold_yet(owner_page: Client) -> None:
    make.hour_rate(1800)
    make.hour_rate(9900, from_date=timezone.localdate() + timedelta(days=30))
    page = owner_page.get(reverse("hour_rates")).content.decode().replace("\xa0", " ")
    assert "18.00 EUR at present" in page
