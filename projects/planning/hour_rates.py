"""What an hour costs on a day: a person's own rate, else the studio's, and the overhead on every hour."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from projects.models import HourRate

PAY, OVERHEAD = "pay", "overhead"


@dataclass(frozen=True, slots=True)
class Series:
    """Rates of one kind and person, each from a date on."""

    dates: list[date] = field(default_factory=list)
    amounts: list[int] = field(default_factory=list)

    def on(self, day: date) -> int | None:
        """The rate that holds on a day; None before the first."""
        found = bisect_right(self.dates, day)
        return self.amounts[found - 1] if found else None


class HourRates:
    """All rates of the studio, ready to be asked. Minor units an hour."""

    def __init__(self, rows: Iterable[HourRate]) -> None:
        self._series: dict[tuple[str, int | None], Series] = {}
        for row in sorted(rows, key=lambda row: row.from_date):
            series = self._series.setdefault((row.kind, row.person_id), Series())
            series.dates.append(row.from_date)
            series.amounts.append(row.amount)

    @classmethod
    def load(cls) -> HourRates:
        """One query: a studio has few rates."""
        return cls(HourRate.objects.live())

    def _on(self, kind: str, person: int | None, day: date) -> int | None:
        series = self._series.get((kind, person))
        return series.on(day) if series else None

    def work(self, day: date, person: int | None = None) -> int | None:
        """An hour's work: the person's own rate on that day, else the studio's; None where neither holds."""
        own = self._on(PAY, person, day) if person is not None else None
        return self._on(PAY, None, day) if own is None else own

    def overhead(self, day: date) -> int | None:
        return self._on(OVERHEAD, None, day)
