"""Which weeks tell how much of the hours somebody gives goes into projects."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.promise import share_of
from projects.calc.weeks_worked import Span, days_with_work, weeks_worked
from projects.calc.working_days import Worker
from tests.strategies import FIXED

MONDAY = date(2026, 3, 2)
FULL = (300, 300, 300, 300, 300, 0, 0)
ANNA, BERT = Worker("Anna", FULL), Worker("Bert", FULL)
DAYS = 28


def on(day: int) -> date:
    return MONDAY + timedelta(days=day)


def span(first: int, last: int | None) -> Span:
    return Span(on(first), None if last is None else on(last))


def logged(who: Worker, *by_day: int, start: int = 0) -> dict[tuple[object, int], int]:
    return {(who.person, start + n): minutes for n, minutes in enumerate(by_day) if minutes}


def test_the_day_work_comes_and_the_day_it_runs_out_are_not_whole() -> None:
    assert days_with_work([span(2, 6)], MONDAY, DAYS) == {3, 4, 5}
    assert days_with_work([span(2, 2)], MONDAY, DAYS) == frozenset()
    assert days_with_work([], MONDAY, DAYS) == frozenset()
    assert days_with_work([span(-9, None)], MONDAY, DAYS) == set(range(DAYS))
    assert days_with_work([span(-9, 3), span(20, 90)], MONDAY, DAYS) == {0, 1, 2, *range(21, DAYS)}


def test_other_work_in_hand_carries_it_on() -> None:
    assert days_with_work([span(1, 4), span(4, 7)], MONDAY, DAYS) == {2, 3, 4, 5, 6}
    assert days_with_work([span(1, 9), span(2, 4)], MONDAY, DAYS) == set(range(2, 9))
    assert days_with_work([span(1, 4), span(5, 7)], MONDAY, DAYS) == {2, 3, 6}, "nothing overnight"


spans = st.lists(
    st.tuples(st.integers(-30, 60), st.none() | st.integers(0, 60)).map(
        lambda pair: span(pair[0], None if pair[1] is None else pair[0] + pair[1])
    ),
    max_size=6,
)


@settings(FIXED)
@given(spans)
def test_a_day_counts_where_its_night_before_and_after_had_work(found: list[Span]) -> None:
    """By hand: half-days (a morning or a night) are covered by a span from the evening of its first day to
    the noon of its last; two that touch on one day join."""
    covered = set()
    for one in found:
        begin = (one.first - MONDAY).days
        until = DAYS + 5 if one.last is None else (one.last - MONDAY).days
        # Day d is the points 4d (morning) to 4d + 3 (night); work comes at 4d + 1 and runs out at 4d + 2.
        covered |= set(range(4 * begin + 1, 4 * until + 3))
    expected = {d for d in range(DAYS) if set(range(4 * d, 4 * d + 4)) <= covered}
    assert days_with_work(found, MONDAY, DAYS) == expected


def test_a_week_that_ran_out_of_work_counts_by_its_days_with_work() -> None:
    """Four days of 240 of 300 minutes, then nothing was left: a share of 0.8, not 0.64."""
    done = logged(ANNA, 240, 240, 240, 240)
    assert weeks_worked(done, [ANNA], [span(-5, 3)], MONDAY, 1) == [(720, 900)]
    assert weeks_worked(done, [ANNA], [span(-5, None)], MONDAY, 1) == [(960, 1500)]


def test_a_week_with_little_work_tells_nothing() -> None:
    assert weeks_worked(logged(ANNA, 200, 100), [ANNA], [span(-5, 1)], MONDAY, 1) == []


def test_days_off_are_not_given() -> None:
    away = Worker("Anna", FULL, ((on(3), on(10)),))
    done = logged(away, 300, 300, 150)
    assert weeks_worked(done, [away], [span(-5, None)], MONDAY, 2) == [(750, 900)]


def test_a_week_away_unannounced_counts_only_between_weeks_of_work() -> None:
    there = logged(BERT, *[250] * 5, start=7) | logged(BERT, *[250] * 5, start=21)
    found = weeks_worked(there, [ANNA, BERT], [span(-5, None)], MONDAY, 6)
    assert found == [(1250, 1500), (0, 1500), (1250, 1500)]


def test_hours_on_days_without_work_count_for_nothing() -> None:
    """A hem let down for a client long after is no sign of how the studio works through what it has."""
    done = logged(ANNA, *[300] * 5) | logged(ANNA, 60, start=9)
    assert weeks_worked(done, [ANNA], [span(-5, 5)], MONDAY, 2) == [(1500, 1500)]


@settings(FIXED)
@given(st.integers(1, 4), st.integers(50, 290))
def test_an_idle_studio_is_no_slower(whole: int, minutes: int) -> None:
    """However many of its days have work, the share is that of the days that had."""
    days = [minutes] * (whole + 1)
    idle = weeks_worked(logged(ANNA, *days), [ANNA], [span(-5, whole)], MONDAY, 1)
    if idle:
        assert idle[0][0] / idle[0][1] == minutes / 300
        busy = weeks_worked(logged(ANNA, *[minutes] * 5), [ANNA], [span(-5, None)], MONDAY, 1)
        assert share_of(idle).mean == share_of(busy).mean
