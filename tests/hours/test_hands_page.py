"""The page of a person's hand: whose is shown, in both systems of units, on a phone."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest

from projects.models import BenchFact, HandChange, Run
from tests import make
from tests.browser import looks_wrong

pytestmark = pytest.mark.django_db
PAGE = "/hours/hands/"


def taught(person, cloth, change, times=6):
    row = Run.objects.create(project=make.project(), key=str(uuid4()))
    for _ in range(times):
        fact = BenchFact.objects.create(
            run=row, op=uuid4(), kind="check", device_at=datetime(2026, 3, 4, tzinfo=UTC)
        )
        HandChange.objects.create(
            fact=fact, person=person, technique="tucks", fabric=cloth, tucks=10, change=change
        )


def test_a_maker_sees_the_own_hand_and_nobody_elses(maker, maker_page):
    assert "starting value" in maker_page.get(PAGE).content.decode()
    taught(maker, make.fabric("Linen voile"), -6_000_000)
    taught(make.person(shown_name="Signe Holm"), make.fabric("Heavy linen"), 6_000_000)
    shown = maker_page.get(PAGE).content.decode()
    assert "about 0.3 mm deeper than asked" in shown
    assert "Signe Holm" not in shown
    assert "Heavy linen" not in shown


def test_an_owner_sees_everybodys_in_the_studios_units(owner_page):
    taught(make.person(shown_name="Signe Holm"), make.fabric("Heavy linen"), 8_000_000)
    shown = owner_page.get(PAGE).content.decode()
    assert "Signe Holm" in shown
    assert "about 0.4 mm shallower than asked" in shown
    make.workroom(units="inch")
    assert "about 0.015 in shallower than asked" in owner_page.get(PAGE).content.decode()


@pytest.mark.parametrize("width", [360, 1280])
def test_it_is_read_on_a_phone_and_a_screen(browser_page, owner, width):
    page = browser_page(width, person=owner)
    taught(owner, make.fabric("Linen voile with a very long name for a summer coat"), -6_000_000)
    page.goto(PAGE)
    assert looks_wrong(page, phone=width == 360) == []
