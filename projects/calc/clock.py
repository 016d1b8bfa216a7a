"""Times of day as people type them: "17:40", "5:40 pm", and from one to another, "9:10-10:25".

A time of day becomes a moment (UTC) on a date in a zone. On the two days a year when clocks change, an hour
is left out or comes twice; a time that never was is refused, and one that was twice has to be said which.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final

from projects.calc.length_text import LONGEST_TEXT, plain, shorten
from projects.calc.minutes import TimeError, format_minutes

LONGEST_SPAN: Final = timedelta(hours=16)
"""Longer from one time to the next, and the two were rather typed the wrong way round."""
_TIME: Final = r"([0-9]{1,2})(?:([:.])([0-5][0-9]))? ?([ap]\.?m\.?)?(?: (first|second))?"
_ALONE: Final = re.compile(_TIME)
_BETWEEN: Final = re.compile(rf"{_TIME} ?(?:-|to|until|till) ?{_TIME}")


@dataclass(frozen=True, slots=True)
class ClockTime:
    """A time of day; ``which`` is "first" or "second" where somebody said which of two alike is meant."""

    time: time
    which: str = ""

    def __str__(self) -> str:
        return clock(self.time)

    def on(self, day: date, zone: tzinfo) -> datetime:
        """The moment, in UTC. Raises TimeError where the zone's clock shows this time never, or twice and
        nobody said which."""
        early, late = (datetime.combine(day, self.time, zone).replace(fold=fold) for fold in (0, 1))
        if early.utcoffset() == late.utcoffset():
            return early.astimezone(UTC)
        if _shown(early.astimezone(UTC), zone) != self.time:
            raise TimeError(
                f"There is no {self} on {_day(day)}: the clocks are put forward over it.",
                given=str(self),
                expected="a time the clock shows on that day",
                remedy="Type a time before or after.",
            )
        if not self.which:
            raise TimeError(
                f"{self} comes twice on {_day(day)}, when the clocks are put back.",
                given=str(self),
                expected="which of the two",
                remedy=f"Type “{self} first” or “{self} second”.",
            )
        return (early if self.which == "first" else late).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class Span:
    """From one time of day to another; to the same or an earlier one is over midnight."""

    start: ClockTime
    end: ClockTime

    def on(self, day: date, zone: tzinfo) -> tuple[datetime, datetime]:
        """Start and end in UTC, of a span that starts on ``day``. Raises TimeError."""
        began = self.start.on(day, zone)
        ended = self._end(day, began, zone)
        if ended - began > LONGEST_SPAN:
            long = format_minutes(int((ended - began).total_seconds()) // 60)
            raise TimeError(
                f"From {self.start} to {self.end} on the next day is {long}.",
                given=f"{self.start}-{self.end}",
                expected=f"at most {format_minutes(int(LONGEST_SPAN.total_seconds()) // 60)}",
                remedy="Type the earlier time first, or each sitting by itself.",
            )
        return began, ended

    def _end(self, day: date, began: datetime, zone: tzinfo) -> datetime:
        try:
            same = self.end.on(day, zone)
        except TimeError:
            if self.end.time >= self.start.time:
                raise
            same = began
        if same == began and self.end.time == self.start.time:
            raise TimeError(
                f"From {self.start} to {self.end} is no time.",
                given=f"{self.start}-{self.end}",
                expected="two different times",
                remedy="Type when it began and when it ended.",
            )
        return same if same > began else self.end.on(day + timedelta(days=1), zone)


def parse_clock(text: str) -> ClockTime:
    """A time of day. Raises TimeError.

    >>> [str(parse_clock(text)) for text in ("17:40", "9.05", "5:40 pm")]
    ['17:40', '9:05', '17:40']
    """
    found = _ALONE.fullmatch(_line(text))
    read = _read(found.groups()) if found else None
    if read is None or (found and not found[2] and not found[4]):
        given = shorten(text)
        raise TimeError(
            f"“{given}” can't be read as a time of day." if given else "No time was typed.",
            given=given,
            expected="a time such as 17:40",
            remedy="Type hours and minutes, such as 17:40.",
        )
    return read


def parse_span(text: str) -> Span | None:
    """Two times of day, "9:10-10:25" or "9.10 to 10.25"; None where the text is none (it may be a length of
    time). Hours alone ("9-10:30") are read where the other time has minutes. Raises TimeError for times that
    no clock shows.

    >>> str(parse_span("22:30-0:15").end), parse_span("1h20")
    ('0:15', None)
    """
    found = _BETWEEN.fullmatch(_line(text))
    if found is None:
        return None
    one, two = found.groups()[:5], found.groups()[5:]
    if not any((one[1], two[1], one[3], two[3])):
        return None
    start, end = _read(one, other=two[3]), _read(two)
    if start and end and start.time > end.time and not one[3]:
        start = _read(one)  # "11-1 pm" begins before noon
    if start is None or end is None:
        given = shorten(text)
        raise TimeError(
            f"“{given}” has a time that no clock shows.",
            given=given,
            expected="two times such as 9:10-10:25",
            remedy="Type hours from 0 to 23 and minutes from 00 to 59.",
        )
    return Span(start, end)


def clock(at: time) -> str:
    """A time of day for reading, which `parse_clock` reads back: "9:05"."""
    return f"{at.hour}:{at.minute:02}"


def span_text(start: datetime, end: datetime, zone: tzinfo) -> str:
    """Start and end as somebody would type them, for the day it began on: "9:10-10:25"."""
    return "-".join(clock(at.astimezone(zone).time()) for at in (start, end))


def _line(text: str) -> str:
    return plain(text) if len(text) <= LONGEST_TEXT else ""


def _read(parts: tuple[str | None, ...], other: str | None = None) -> ClockTime | None:
    """``other`` is what stands behind the second of two times: "1:30-2:15 pm" means both."""
    hour, minute = int(parts[0] or 0), int(parts[2] or 0)
    half = (parts[3] or "").replace(".", "")
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif other and hour <= 12:
        hour = hour % 12 + (12 if other.startswith("p") else 0)
    if hour == 24 and minute == 0:
        hour = 0
    return ClockTime(time(hour, minute), parts[4] or "") if hour < 24 else None


def _shown(at: datetime, zone: tzinfo) -> time:
    return at.astimezone(zone).time()


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
