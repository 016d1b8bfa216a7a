"""Minutes as people type and read them: "40 min", "1h20", "1:20", "1.5 h", "90", "1,5"."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from projects.calc.length_text import LONGEST_TEXT, plain, shorten
from projects.calc.units import PlainError, half_up

A_DAY: Final = 24 * 60
_EXAMPLES: Final = "40 min, 1h20, 1:20 or 1.5 h"
_NUMBER: Final = r"(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+|(?:[0-9]+ )?[0-9]+/[0-9]+)"
_HOUR: Final = r"(?:hours?|hrs?|h)\.?"
_MINUTE: Final = r"(?:minutes?|mins?|m)\.?"
_CLOCK: Final = re.compile(r"([0-9]{1,3}):([0-5][0-9])(?: ?" + _HOUR + ")?")
_HOURS_MINUTES: Final = re.compile(rf"([0-9]{{1,3}}) ?{_HOUR}(?: and)? ?([0-9]{{1,2}})(?: ?{_MINUTE})?")
_HOURS: Final = re.compile(rf"({_NUMBER}) ?{_HOUR}")
_MINUTES: Final = re.compile(rf"({_NUMBER}) ?{_MINUTE}")
_BARE: Final = re.compile(r"[0-9]+")
_BARE_PART: Final = re.compile(r"[0-9]+[.,][0-9]{1,2}")
_BARE_HOURS: Final = re.compile(r"[0-9]+(?:[.,][0-9]{1,2})?")
_HOURS_EXAMPLES: Final = "6 h, 4 h 30 min, 4:30 or 40 min"


class TimeError(PlainError):
    """Time that can't be read or can't be right; its text stands beside the field."""


def parse_minutes(text: str, *, most: int = A_DAY, examples: str = _EXAMPLES) -> int:
    """Whole minutes typed as time; a bare whole number is minutes, and one with a part hours, since nobody
    means half a minute. From 1 to `most` (a day unless set).

    Parts of a minute go half up. Raises TimeError, which offers `examples` for what can't be read.

    >>> [parse_minutes(text) for text in ("40 min", "1h20", "1:20", "1.5 h", "90", "1,5")]
    [40, 80, 80, 90, 90, 90]
    """
    given = shorten(text)
    if not text.strip():
        raise TimeError(
            "No time was typed.", given="", expected="a time", remedy=f"Type a time such as {examples}."
        )
    line = plain(text) if len(text) <= LONGEST_TEXT else ""
    if line.startswith("-"):
        raise _wrong(f"“{given}” is less than nothing.", given, "Type the minutes spent, without the minus.")
    value = _read(line)
    if value is None:
        raise _wrong(f"“{given}” can't be read as a time.", given, f"Type a time such as {examples}.")
    minutes = half_up(value.numerator, value.denominator)
    if minutes < 1:
        raise _wrong(f"“{given}” is less than a minute.", given, "Type at least 1 min.")
    if minutes > most:
        limit = format_minutes(most)
        raise _wrong(
            f"“{given}” is longer than {limit}.", given, f"Type at most {limit}, and the rest apart."
        )
    return minutes


def parse_hours(text: str, *, most: int = A_DAY) -> int:
    """Whole minutes typed where hours are asked for: as `parse_minutes`, but a bare number is hours.

    Raises TimeError.

    >>> [parse_hours(text) for text in ("6", "4.5", "4:30", "40 min")]
    [360, 270, 270, 40]
    """
    line = plain(text) if len(text) <= LONGEST_TEXT else ""
    if not _BARE_HOURS.fullmatch(line):
        return parse_minutes(text, most=most, examples=_HOURS_EXAMPLES)
    if Fraction(line.replace(",", ".")) * 60 > most:
        raise _wrong(
            f"“{shorten(text)}” without a unit is hours, and more than {format_minutes(most)}.",
            shorten(text),
            f"Type a time such as {_HOURS_EXAMPLES}.",
        )
    return parse_minutes(f"{line} h", most=most, examples=_HOURS_EXAMPLES)


def _wrong(problem: str, given: str, remedy: str) -> TimeError:
    return TimeError(problem, given=given, expected=f"a time such as {_EXAMPLES}", remedy=remedy)


def _read(line: str) -> Fraction | None:
    """The minutes a plain line means, or None."""
    if found := _CLOCK.fullmatch(line) or _HOURS_MINUTES.fullmatch(line):
        hours, minutes = int(found[1]), int(found[2])
        return Fraction(60 * hours + minutes) if minutes < 60 else None
    if found := _HOURS.fullmatch(line):
        return _times(found[1], 60)
    if found := _MINUTES.fullmatch(line):
        return _times(found[1], 1)
    if _BARE_PART.fullmatch(line):
        return _times(line, 60)
    return Fraction(int(line)) if _BARE.fullmatch(line) else None


def _times(number: str, minutes: int) -> Fraction | None:
    if re.search(r",[0-9]{3}$", number):
        return None  # a comma before three digits is as unclear here as in a length
    whole, _, part = number.rpartition(" ")
    try:
        value = Fraction(part.replace(",", ".").removesuffix(".")) + int(whole or 0)
    except ZeroDivisionError:
        return None
    return value * minutes


def format_minutes(minutes: int) -> str:
    """Minutes as text that `parse_minutes` reads back to the same: "40 min", "2 h", "1 h 20 min".

    >>> format_minutes(40), format_minutes(80), format_minutes(1260)
    ('40 min', '1 h 20 min', '21 h')
    """
    sign = "−" if minutes < 0 else ""
    hours, rest = divmod(abs(minutes), 60)
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours} h {rest} min" if rest else f"{sign}{hours} h"
