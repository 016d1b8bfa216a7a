"""Times of day as people type them: "17:40", "5:40 pm", and from one to another, "9:10-10:25".

Which moment a time of day is on a date depends on the studio's zone: ``planning.moments`` finds it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from projects.calc.length_text import LONGEST_TEXT, plain, shorten
from projects.calc.minutes import TimeError

_TIME: Final = r"([0-9]{1,2})(?:([:.])([0-5][0-9]))? ?([ap]\.?m\.?)?(?: (first|second))?"
_ALONE: Final = re.compile(_TIME)
_BETWEEN: Final = re.compile(rf"(?:from )?{_TIME} ?(?:-|to|until|till) ?{_TIME}")
DAY_END: Final = 24 * 60


@dataclass(frozen=True, slots=True)
class ClockTime:
    """A time of day in minutes since midnight (0 to 1439, and 1440 for the 24:00 that ends a span).

    ``which`` is "first" or "second" where somebody said which of two alike is meant, on the day the clocks
    are put back.
    """

    minutes: int
    which: str = ""

    def __str__(self) -> str:
        """As it is read, and read back by `parse_clock`: "9:05"."""
        hour, minute = divmod(self.minutes, 60)
        return f"{hour}:{minute:02}"


@dataclass(frozen=True, slots=True)
class Span:
    """From one time of day to another; to the same or an earlier one is over midnight."""

    start: ClockTime
    end: ClockTime


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
    time). Hours alone are whole ones ("9-10:30", "9-10"). Raises TimeError for times that no clock shows.

    >>> str(parse_span("22:30-0:15").end), parse_span("1h20")
    ('0:15', None)
    """
    found = _BETWEEN.fullmatch(_line(text))
    if found is None:
        return None
    one, two = found.groups()[:5], found.groups()[5:]
    start, end = _read(one, other=two[3]), _read(two)
    if start and end and start.minutes > end.minutes and not one[3]:
        start = _read(one)  # "11-1 pm" begins before noon
    if start is None or end is None:
        given = shorten(text)
        raise TimeError(
            f"“{given}” has a time that no clock shows.",
            given=given,
            expected="two times such as 9:10-10:25",
            remedy="Type hours from 0 to 23 and minutes from 00 to 59.",
        )
    if two[0] == "24":
        end = ClockTime(DAY_END)
    return Span(start, end)


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
    return ClockTime(60 * hour + minute, parts[4] or "") if hour < 24 else None
