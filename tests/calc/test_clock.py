"""Times of day: what is read, and what is asked back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.clock import ClockTime, parse_clock, parse_span
from projects.calc.minutes import TimeError


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("9:10-10:25", "9:10", "10:25"),
        ("9:10 – 10:25", "9:10", "10:25"),
        ("9.10 to 10.25", "9:10", "10:25"),
        ("09:10 until 10:25", "9:10", "10:25"),
        ("9-10:30", "9:00", "10:30"),
        ("22:30-0:15", "22:30", "0:15"),
        ("22:30-24:00", "22:30", "24:00"),
        ("9-10", "9:00", "10:00"),
        ("from 9:10 to 10:25", "9:10", "10:25"),
        ("9:10am-1:05 pm", "9:10", "13:05"),
        ("1:30-2:15 pm", "13:30", "14:15"),
        ("11-1 pm", "11:00", "13:00"),
        ("12:15 am-1 am", "0:15", "1:00"),
    ],
)
def test_from_one_time_to_another(text: str, start: str, end: str) -> None:
    found = parse_span(text)
    assert found and (str(found.start), str(found.end)) == (start, end)


NO_SPANS = ["40 min", "1h20", "1:20", "1.5 h", "90", "9.5-10.5", "", "9:75-10:00", "-"]


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


@given(st.integers(0, 1439), st.sampled_from(["", "first", "second"]))
def test_a_time_of_day_reads_back(minutes: int, which: str) -> None:
    given = ClockTime(minutes, which)
    assert parse_clock(f"{given} {which}".strip()) == given
