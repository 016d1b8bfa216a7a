"""Times of day as moments, on the two days a year when the clock jumps too."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.clock import ClockTime, Span, parse_clock, parse_span
from projects.calc.minutes import TimeError
from projects.planning.moments import moment, moments, span_text

LONDON = ZoneInfo("Europe/London")
SPRING, AUTUMN, PLAIN = date(2026, 3, 29), date(2026, 10, 25), date(2026, 6, 2)


def minutes(text: str, day: date) -> int:
    found = parse_span(text)
    assert found
    began, ended = moments(found, day, LONDON)
    return int((ended - began) / timedelta(minutes=1))


def test_a_span_over_midnight_ends_on_the_next_day() -> None:
    assert minutes("22:30-0:15", PLAIN) == 105


def test_the_hour_that_is_left_out_in_spring_is_not_counted() -> None:
    assert minutes("0:30-2:30", SPRING) == 60
    assert minutes("23:30-3:00", SPRING - timedelta(days=1)) == 150


def test_the_hour_that_comes_twice_in_autumn_counts_twice() -> None:
    assert minutes("0:30-2:30", AUTUMN) == 180
    assert minutes("0:30-1:30 first", AUTUMN) == 60
    assert minutes("0:30-1:30 second", AUTUMN) == 120
    assert minutes("1:30 first-1:30 second", AUTUMN) == 60


def test_a_time_the_clock_jumps_over_is_said() -> None:
    with pytest.raises(TimeError, match="There is no 1:30 on 29 March 2026"):
        minutes("1:30-3:00", SPRING)


def test_a_time_that_comes_twice_is_asked_about() -> None:
    with pytest.raises(TimeError, match="1:30 comes twice on 25 October 2026.*“1:30 first”"):
        minutes("0:30-1:30", AUTUMN)


def test_times_the_wrong_way_round_are_no_day_and_a_half_of_work() -> None:
    with pytest.raises(TimeError, match="22 h 45 min.*earlier time first"):
        minutes("10:25-9:10", PLAIN)
    with pytest.raises(TimeError, match="is no time"):
        minutes("9:10-9:10", PLAIN)


def test_a_day_ends_at_24_as_it_was_typed() -> None:
    assert minutes("22:30-24:00", PLAIN) == 90
    with pytest.raises(TimeError, match="From 0:00 to 24:00 is 24 h"):
        minutes("0:00-24:00", PLAIN)


TIMES = st.integers(0, 1439)


@given(TIMES, TIMES, st.dates(date(2020, 1, 1), date(2030, 1, 1)))
def test_a_span_lasts_what_the_clock_in_utc_says_and_reads_back(start: int, end: int, day: date) -> None:
    span = Span(ClockTime(start, "first"), ClockTime(end, "second"))
    try:
        began, ended = moments(span, day, LONDON)
    except TimeError:
        return
    assert timedelta(0) < ended - began <= timedelta(hours=16)
    assert began.astimezone(LONDON).date() == day
    again = parse_span(span_text(began, ended, LONDON))
    assert again and (again.start.minutes, again.end.minutes) == (start, end)


def test_a_moment_is_in_utc() -> None:
    assert moment(parse_clock("17:40"), PLAIN, LONDON) == datetime(2026, 6, 2, 16, 40, tzinfo=UTC)
