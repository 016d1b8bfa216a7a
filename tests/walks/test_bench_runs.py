"""A run from its first unit to its last: a wrong depth, a failing check, no connection, two devices."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from projects.models import BenchFact, Person, Project
from tests.browser import looks_wrong
from tests.walks.bench import Hand, address, forgive_offline, lattice_bag, sewn_units, tucked

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def bench(browser_page: Any, owner: Person, maker: Person) -> Iterator[Callable[..., Hand]]:
    """``bench(run, person)`` opens a run on a phone of that person's own."""

    def opened(run: Any, person: Person = maker) -> Hand:
        page = browser_page(360, person=person, height=780)
        return Hand(page, address(run, Project.objects.get().pk)).open()

    yield opened
    forgive_offline(browser_page)


def test_thirty_six_tucks(bench: Callable[..., Hand], owner: Person) -> None:
    """Every tap becomes one fact, whatever comes between, and two devices show the same."""
    run, wrong = tucked(), []
    assert run.count == 36
    first, second = bench(run), bench(run, owner)
    assert first.unit == second.unit == 1
    wrong += looks_wrong(first.page, phone=True)
    taps = first.sew(3) + a_wrong_depth(first, wrong) + first.sew(4)
    a_failing_check(first, run, wrong)
    second.shows(first.unit)
    taps += ten_without_connection(first, second, wrong)
    taps += a_reload_in_the_middle(first, second)

    taps += second.sew(2)
    first.shows(second.unit)
    while len(taps) < run.count:
        taps += first.sew(1)
    first.page.get_by_role("heading", name="All 36 tucks are sewn").wait_for()
    first.sent()
    second.page.get_by_role("heading", name="All 36 tucks are sewn").wait_for()
    wrong += looks_wrong(first.page, phone=True)

    assert taps == list(range(1, 37))
    assert sewn_units() == taps, "none lost, none doubled, in order"
    assert BenchFact.objects.get(unit=4, kind="sewn").depth == 7_500_000
    others = BenchFact.objects.filter(unit__in=[22, 23], kind="sewn")
    assert set(others.values_list("person_id", flat=True)) == {owner.pk}
    the_last_taken_back(first, second)
    assert wrong == []


def a_wrong_depth(first: Hand, wrong: list[str]) -> list[int]:
    """Typed so that it can't be read, then rightly, and left as it is."""
    first.open_fold("Sewn at another depth")
    unit = first.unit
    form = first.page.locator("form[data-form=depth]")
    form.get_by_label("Depth it was sewn at").fill("six")
    form.get_by_role("button", name="Sewn so").click()
    expect(form).to_contain_text("can't be read")
    assert first.unit == unit
    form.get_by_label("Depth it was sewn at").fill("7,5")
    form.get_by_role("button", name="Sewn so").click()
    first.page.get_by_role("heading", name="Another depth").wait_for()
    wrong += looks_wrong(first.page, phone=True)
    first.button("Leave it").click()
    first.page.get_by_role("heading", name="Another depth").wait_for(state="detached")
    return [unit]


def a_failing_check(first: Hand, run: Any, wrong: list[str]) -> None:
    first.box("check").wait_for()
    wrong += looks_wrong(first.page, phone=True)
    check = run.checks[0]
    first.measure(f"{check.to_seam / 1e6 + 6:.1f}", f"{check.to_edge / 1e6 + 3:.1f}".replace(".", ","))
    first.page.get_by_role("heading", name="What the measures say").wait_for()
    wrong += looks_wrong(first.page, phone=True)
    for answer in ("The guide is moved", "I will"):
        if first.button(answer).count():
            first.button(answer).click()
            first.button(answer).wait_for(state="detached")
    first.sent()
    assert BenchFact.objects.filter(kind__in=["guide", "correct"]).exists()


def ten_without_connection(first: Hand, second: Hand, wrong: list[str]) -> list[int]:
    first.offline()
    taps = first.sew(10)
    assert "10 taps wait here" in first.line and first.waiting() == 10
    wrong += looks_wrong(first.page, phone=True)
    assert second.unit == taps[0], "the other device can't know yet"
    first.offline(False)
    second.shows(first.unit)
    first.sent()
    assert first.line == ""
    return taps


def a_reload_in_the_middle(first: Hand, second: Hand) -> list[int]:
    expect(first.box("kept")).not_to_be_empty(timeout=30_000)
    first.offline()
    taps = first.sew(3)
    first.page.reload()
    first.ready()
    assert first.unit == taps[-1] + 1, "the device has kept the page and its taps"
    first.offline(False)
    first.open()
    assert first.unit == taps[-1] + 1, "what waited here is shown at once after a reload"
    first.sent()
    second.shows(first.unit)
    return taps


def the_last_taken_back(first: Hand, second: Hand) -> None:
    second.open()
    second.page.keyboard.press("PageUp")
    second.page.keyboard.press("PageUp")
    for hand in (second, first):
        hand.box("sewn").wait_for()
        hand.shows(36)
        assert hand.box("deep").is_visible(), "also on a page that came when all was sewn"


def test_the_lattice_bag(bench: Callable[..., Hand], owner: Person) -> None:
    """Rows of squares: no depth, no check measures, the same outbox."""
    run, wrong = lattice_bag(), []
    first, second = bench(run), bench(run, owner)
    wrong += looks_wrong(first.page, phone=True)
    half = run.count // 2
    taps = first.sew(2)
    first.sent()
    first.offline()
    taps += first.sew(half)
    assert f"{half} taps wait here" in first.line
    first.offline(False)
    second.shows(first.unit)
    first.open()
    taps += first.sew(run.count - len(taps) - 1) + second_taps(second, first, run.count)
    for hand in (first, second):
        hand.page.get_by_role("heading", name=f"All {run.count} {run.many} are sewn").wait_for()
    wrong += looks_wrong(first.page, phone=True)
    assert sewn_units() == taps == [unit.number for unit in run.units]
    assert wrong == []


def second_taps(second: Hand, first: Hand, count: int) -> list[int]:
    """The last unit, by the other device once it shows what the first shows."""
    first.sent()
    second.shows(first.unit)
    return second.sew(1)
