"""Times of day as moments: on a date in a zone, in UTC, and back.

On the two days a year when clocks change, an hour is left out or comes twice: a time that never was is
refused, and one that was twice has to be said which.
"""

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final

from projects.calc.clock import DAY_END, ClockTime, Span
from projects.calc.minutes import TimeError, format_minutes

LONGEST_SPAN: Final = timedelta(hours=16)
"""Longer from one time to the next, and the two were rather typed the wrong way round."""


def moment(given: ClockTime, day: date, zone: tzinfo) -> datetime:
    """When the clock of ``zone`` shows ``given`` on ``day``, in UTC.

    Raises TimeError where it shows this time never, or twice and nobody said which.
    """
    at = time(*divmod(given.minutes, 60))
    early, late = (datetime.combine(day, at, zone).replace(fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return early.astimezone(UTC)
    if _shown(early.astimezone(UTC), zone) != at:
        raise TimeError(
            f"There is no {given} on {_day(day)}: the clocks are put forward over it.",
            given=str(given),
            expected="a time the clock shows on that day",
            remedy="Type a time before or after.",
        )
    if not given.which:
        raise TimeError(
            f"{given} comes twice on {_day(day)}, when the clocks are put back.",
            given=str(given),
            expected="which of the two",
            remedy=f"Type “{given} first” or “{given} second”.",
        )
    return (early if given.which == "first" else late).astimezone(UTC)


def moments(given: Span, day: date, zone: tzinfo) -> tuple[datetime, datetime]:
    """Start and end in UTC, of a span that starts on ``day``. Raises TimeError."""
    began = moment(given.start, day, zone)
    ended = _end(given, day, began, zone)
    if ended - began > LONGEST_SPAN:
        long = format_minutes(int((ended - began).total_seconds()) // 60)
        later = "" if given.end.minutes == DAY_END else " on the next day"
        raise TimeError(
            f"From {given.start} to {given.end}{later} is {long}.",
            given=f"{given.start}-{given.end}",
            expected=f"at most {format_minutes(int(LONGEST_SPAN.total_seconds()) // 60)}",
            remedy="Type the earlier time first, or each sitting by itself.",
        )
    return began, ended


def _end(given: Span, day: date, began: datetime, zone: tzinfo) -> datetime:
    if given.end.minutes == DAY_END:
        return moment(ClockTime(0), day + timedelta(days=1), zone)
    try:
        same = moment(given.end, day, zone)
    except TimeError:
        if given.end.minutes >= given.start.minutes:
            raise
        same = began
    if same == began and given.end.minutes == given.start.minutes:
        raise TimeError(
            f"From {given.start} to {given.end} is no time.",
            given=f"{given.start}-{given.end}",
            expected="two different times",
            remedy="Type when it began and when it ended.",
        )
    return same if same > began else moment(given.end, day + timedelta(days=1), zone)


def clock(at: datetime, zone: tzinfo) -> str:
    """What the clock of ``zone`` shows at a moment: "9:05"."""
    local = at.astimezone(zone)
    return str(ClockTime(60 * local.hour + local.minute))


def span_text(start: datetime, end: datetime, zone: tzinfo) -> str:
    """Start and end as somebody would type them, for the day it began on: "9:10-10:25"."""
    return f"{clock(start, zone)}-{clock(end, zone)}"


def _shown(at: datetime, zone: tzinfo) -> time:
    return at.astimezone(zone).time()


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
