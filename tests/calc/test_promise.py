"""Days on which work gets done and can be promised: by hand, by properties, and in simulated studios."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.promise import Outlook, Share, Work, Worker, promise_for, share_of, simulate
from projects.calc.working_days import NEVER, Curve, minutes_by_day, queue_of
from tests.bench.promise_bench import run
from tests.strategies import FIXED
from tests.studio_sim import Truth

MONDAY = date(2026, 3, 2)
FULL = (300, 300, 300, 300, 300, 0, 0)
SURE = Share(1.0, 0.0, 99, 0.0)
ANNA, BERT = Worker("Anna", FULL), Worker("Bert", FULL)


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


def sure(key: object, due: int | None, minutes: float, **more: object) -> Work:
    return Work(key, None if due is None else day(due), minutes, 0.0, 0.0, **more)  # type: ignore[arg-type]


def look(works: Sequence[Work], workers: Sequence[Worker] = (ANNA,)) -> dict[object, Outlook]:
    return simulate(works, workers, MONDAY, share=SURE, draws=20)  # type: ignore[return-value]


# -- by hand -------------------------------------------------------------------------------------------------


def test_works_follow_one_another_by_due_date() -> None:
    """600 min are Monday and Tuesday; then 900 until Friday; then, undated, 300 on the next Monday."""
    found = look([sure("undated", None, 300), sure("second", 20, 900), sure("first", 10, 600)])
    assert [found[key].likely for key in ("first", "second", "undated")] == [day(1), day(4), day(7)]
    assert found["first"].safe == day(1) and found["first"].on_time == 1
    assert found["undated"].on_time is None and not found["undated"].late


def test_what_gets_late_and_by_how_much() -> None:
    found = look([sure("first", 0, 600), sure("second", 7, 600)])
    assert (found["first"].late, found["first"].late_days, found["first"].on_time) == (True, 1, 0)
    assert (found["second"].late, found["second"].late_days) == (False, 0)
    overdue = look([sure("first", -3, 300)])["first"]
    assert overdue.late and overdue.late_days == 3


def test_days_off_are_not_worked() -> None:
    off = replace(ANNA, off=((day(1), day(3)), (day(-9), day(-2))))
    assert minutes_by_day(off, MONDAY, 7) == [300, 0, 0, 0, 300, 0, 0]
    assert look([sure("one", None, 600)], (off,))["one"].likely == day(4)


def test_two_people_are_twice_as_quick() -> None:
    assert look([sure("one", None, 1_200)], (ANNA, BERT))["one"].likely == day(1)


def test_people_work_on_what_is_theirs_and_join_when_free() -> None:
    """Anna's 600 until Tuesday; the 900 of both: Bert's 600 until Tuesday, both 300 on Wednesday."""
    only = frozenset({"Anna"})
    found = look([sure("hers", 5, 600, people=only), sure("both", 9, 900)], (ANNA, BERT))
    assert found["hers"].likely == day(1)
    assert found["both"].likely == day(2)
    nobody = look([sure("one", 5, 60, people=frozenset({"Carla"}))], (ANNA,))["one"]
    assert nobody.likely is None and nobody.late and nobody.late_days is None


def test_without_hours_nothing_gets_done() -> None:
    for workers in ((), (Worker("Anna", (0,) * 7),)):
        found = look([sure("one", 9, 60), sure("two", None, 60)], workers)
        assert found["one"].safe is None and found["one"].late and found["one"].on_time == 0
        assert found["two"].likely is None and not found["two"].late
        assert promise_for(60, [], workers, MONDAY).safe is None


def test_what_is_beyond_three_years_is_not_within_reach() -> None:
    assert look([sure("one", None, 10**7)])["one"].likely is None


def test_a_share_of_the_hours() -> None:
    half = Share(0.5, 0.0, 9, 0.0)
    found = simulate([sure("one", None, 600)], [ANNA], MONDAY, share=half)
    assert found["one"].likely == day(3)


def test_share_is_learned_from_weeks() -> None:
    assert share_of([]).starting and share_of([(10, 0)]) == Share()
    few, many = share_of([(600, 1_000)] * 2), share_of([(600, 1_000)] * 40)
    assert 0.6 < many.mean < few.mean < 1 and many.sd < few.sd < Share().sd
    assert few.weeks == 2 and not few.starting
    assert many.week_sd < few.week_sd
    assert share_of([(1_000, 900), (500, 800)]) == share_of([(500, 800), (1_000, 900)])


# -- promises ------------------------------------------------------------------------------------------------


def test_new_work_waits_for_what_is_due() -> None:
    """900 of the work in hand and 600 of the new one: five days, so Friday."""
    promise = promise_for(600, [sure("one", 4, 900)], [ANNA], MONDAY, own_sd=0, common_sd=0, share=SURE)
    assert promise.likely == promise.safe == day(4)


def test_new_work_goes_before_what_is_due_much_later() -> None:
    later = [sure("one", 60, 3_000)]
    promise = promise_for(600, later, [ANNA], MONDAY, own_sd=0, common_sd=0, share=SURE)
    assert promise.safe == day(1)


def test_new_work_makes_nothing_late() -> None:
    """3,000 min end on day 11, a Friday; due then, it leaves no room before it."""
    tight = [sure("one", 11, 3_000)]
    promise = promise_for(600, tight, [ANNA], MONDAY, own_sd=0, common_sd=0, share=SURE)
    assert promise.safe == day(15)
    late = [sure("one", 5, 3_000)]
    assert promise_for(600, late, [ANNA], MONDAY, own_sd=0, common_sd=0, share=SURE).safe == day(15)


def test_undated_work_waits_for_promises() -> None:
    promise = promise_for(600, [sure("one", None, 9_000)], [ANNA], MONDAY, own_sd=0, common_sd=0, share=SURE)
    assert promise.safe == day(1)


# -- properties ----------------------------------------------------------------------------------------------

jobs = st.lists(
    st.tuples(st.none() | st.integers(0, 60), st.integers(30, 4_000), st.sampled_from(("", "Anna", "Bert"))),
    max_size=6,
)


def _works(found: list[tuple[int | None, int, str]]) -> list[Work]:
    return [
        Work(n, None if due is None else day(due), minutes, people=frozenset({who} if who else ()), begun=n)
        for n, (due, minutes, who) in enumerate(found)
    ]


@given(found=jobs, minutes=st.integers(30, 3_000), due=st.integers(61, 99))
@settings(FIXED, max_examples=30)
def test_what_is_due_later_never_delays_what_is_due_before(
    found: list[tuple[int | None, int, str]], minutes: int, due: int
) -> None:
    dated = [work for work in _works(found) if work.due]
    before = simulate(dated, [ANNA, BERT], MONDAY, draws=60)
    after = simulate([*dated, Work("new", day(due), minutes)], [ANNA, BERT], MONDAY, draws=60)
    assert {key: after[key] for key in before} == before


@given(found=jobs)
@settings(FIXED, max_examples=30)
def test_somebody_who_is_always_off_does_nothing(found: list[tuple[int | None, int, str]]) -> None:
    works = [work for work in _works(found) if not work.people]
    away = replace(BERT, off=((MONDAY, day(3 * 366)),))
    one = simulate(works, [ANNA], MONDAY, draws=60, share=SURE)
    assert simulate(works, [ANNA, away, Worker("Carla", (0,) * 7)], MONDAY, draws=60, share=SURE) == one


@given(found=jobs, seed=st.integers(0, 9))
@settings(FIXED, max_examples=30)
def test_answers_are_in_order_and_the_same_again(
    found: list[tuple[int | None, int, str]], seed: int
) -> None:
    works = _works(found)
    once = simulate(works, [ANNA, BERT], MONDAY, draws=60, seed=seed)
    assert simulate(list(reversed(works)), [BERT, ANNA], MONDAY, draws=60, seed=seed) == once
    for work in works:
        outlook = once[work.key]
        assert outlook.likely and outlook.safe and MONDAY <= outlook.likely <= outlook.safe
        assert outlook.late == (work.due is not None and outlook.safe > work.due)
        if outlook.on_time is not None:
            assert outlook.late == (outlook.on_time < 0.8)


@given(found=jobs, minutes=st.integers(60, 3_000))
@settings(FIXED, max_examples=20)
def test_more_work_is_never_promised_earlier(found: list[tuple[int | None, int, str]], minutes: int) -> None:
    works = [work for work in _works(found) if work.due is None]
    less = promise_for(minutes, works, [ANNA, BERT], MONDAY, draws=60)
    more = promise_for(minutes * 2, works, [ANNA, BERT], MONDAY, draws=60)
    assert less.safe and more.safe and MONDAY <= less.safe <= more.safe


@given(found=jobs)
@settings(FIXED, max_examples=20)
def test_groups_of_people_agree_with_one_queue_where_all_work_on_all(
    found: list[tuple[int | None, int, str]],
) -> None:
    minutes = [float(m) for _, m, _ in found]
    one = queue_of([frozenset()] * len(minutes), [ANNA, BERT], MONDAY, 1)
    names = [frozenset({"Anna", "Bert"})] * len(minutes) + [frozenset({"Anna"})]
    several = queue_of(names, [ANNA, BERT], MONDAY, 1)
    for at, wanted in enumerate(minutes):
        assert one.take(at, [wanted]) == several.take(at, [wanted])


def test_a_curve_reads_both_ways() -> None:
    curve = Curve([0, 300, 0, 300])
    assert curve.when(150) == 1.5 and curve.at(1.5) == 150
    assert curve.when(300) == 2 and curve.day(300) == 1 and curve.day(301) == 3
    assert curve.when(601) == curve.day(601) == NEVER and curve.at(99) == 600


# -- simulated studios: the bench with fewer of them ---------------------------------------------------------


def test_promises_are_kept_about_as_often_as_they_say() -> None:
    kept = [hit for seed in range(2) for hit in run(Truth(), seed).kept]
    assert len(kept) > 20
    assert 0.6 < sum(kept) / len(kept) < 0.99
