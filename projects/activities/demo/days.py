"""The demo's calendar: everything in it happened on working days counted back from the day it is loaded."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

SATURDAY = 5


@dataclass(frozen=True, slots=True)
class Days:
    """``today`` in the studio's time zone. The same day gives the same demo."""

    today: date
    zone: ZoneInfo

    def ago(self, working: int) -> date:
        """The day so many working days before today; 0 is today, or the Friday before a weekend."""
        day = self._worked(self.today)
        for _ in range(working):
            day = self._worked(day - timedelta(days=1))
        return day

    @staticmethod
    def _worked(day: date) -> date:
        return day - timedelta(days=max(0, day.weekday() - SATURDAY + 1))

    def ahead(self, weeks: int) -> date:
        """The Friday so many weeks after this week."""
        return self.today - timedelta(days=self.today.weekday()) + timedelta(weeks=weeks, days=4)

    def at(self, working: int, hour: int) -> datetime:
        """A moment on a working day before today, in UTC."""
        return datetime.combine(self.ago(working), time(hour), self.zone).astimezone(UTC)
