"""Times of day: what is read, what is asked back, and the two days a year when the clock jumps."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.clock import ClockTime, Span, clock, parse_clock, parse_span, span_text
from projects.calc.minutes import TimeError

LONDON = ZoneInfo("Europe/London")
SPRING, AUTUMN, PLAIN = date(2026, 3, 29), date(2026, 10, 25), date(2026, 6, 2)


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("9:10-10:25", "9:10", "10:25"),
        ("9:10 – 10:25", "9:10", "10:25"),
        ("9.10 to 10.25", "9:10", "10:25"),
        ("09:10 until 10:25", "9:10", "10:25"),
        ("9-10:30", "9:00", "10:30"),
        ("22:30-0:15", "22:30", "0:15"),
        ("22:30-24:00", "22:30", "0:00"),
        ("9:10am-1:05 pm", "9:10", "13:05"),
        ("1:30-2:15 pm", "13:30", "14:15"),
        ("11-1 pm", "11:00", "13:00"),
        ("12:15 am-1 am", "0:15", "1:00"),
    ],
)
def test_from_one_time_to_another(text: str, start: str, end: str) -> None:
    found = parse_span(text)
    assert found and (str(found.start), str(found.end)) == (start, end)


NO_SPANS = ["40 min", "1h20", "1:20", "1.5 h", "90", "9-10", "9.5-10.5", "", "9:75-10:00", "-"]


@pytest.mark.parametrize("text", NO_SPANS)
def test_what_is_no_pair_of_times_is_left_to_lengths_of_time(text: str) -> None:
    assert parse_span(text) is None


def test_a_time_no_clock_shows_is_said() -> None:
    with pytest.raises(TimeError, match="a time that no clock shows.*0 to 23"):
        parse_span("25:00-26:00")


@pytest.mark.parametrize("text", ["", "17", "soon", "17:60", "25:00", "13 pm", "9" * 200])
def test_a_time_of_day_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(TimeError, match="17:40"):
        parse_clock(text)


def minutes(text: str, day: date) -> int:
    found = parse_span(text)
    assert found
    began, ended = found.on(day, LONDON)
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


TIMES = st.times().map(lambda at: at.replace(second=0, microsecond=0))


@given(TIMES, TIMES, st.dates(date(2020, 1, 1), date(2030, 1, 1)))
def test_a_span_lasts_what_the_clock_in_utc_says_and_reads_back(start: time, end: time, day: date) -> None:
    span = Span(ClockTime(start, "first"), ClockTime(end, "second"))
    try:
        began, ended = span.on(day, LONDON)
    except TimeError:
        return
    assert timedelta(0) < ended - began <= timedelta(hours=16)
    assert began.astimezone(LONDON).date() == day
    again = parse_span(span_text(began, ended, LONDON))
    assert again and (again.start.time, again.end.time) == (start, end)


@given(TIMES)
def test_a_time_of_day_reads_back(at: time) -> None:
    assert parse_clock(clock(at)).time == at


def test_a_moment_is_in_utc() -> None:
    assert parse_clock("17:40").on(PLAIN, LONDON) == datetime(2026, 6, 2, 16, 40, tzinfo=UTC)
