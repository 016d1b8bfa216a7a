"""The rows that costs are reckoned from, summed in the database: no more queries for a thousand logs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Sum

from projects.models import Fabric, LabourLog, Notion, OtherCost, Project, StockEntry, Workroom

from .forecasts import Forecast, forecast, spent_on
from .hour_rates import HourRates
from .learned_rates import rates_for
from .own_settings import basis_of
from .plan import Plan

USED = ("cut", "counted")
"""Kinds of lines that tell what the work took. Cut and then not cut after all is counted in again with its
project; what somebody counts on a shelf belongs to no project."""
SPOILED = ("wasted",)


@dataclass(frozen=True, slots=True)
class Worked:
    """Minutes of one person on one day; of hours that came with a file only the worker's name is known."""

    person: int | None
    name: str
    day: date
    minutes: int


@dataclass(frozen=True, slots=True)
class Taken:
    """What the work took of one fabric (nm) or notion (thousandths), and what of it was spoiled."""

    used: int = 0
    spoiled: int = 0


@dataclass(frozen=True)
class CostRows:
    """Everything money is reckoned from beside the Plan. ``forecast`` is of the hours; None where no work is
    planned."""

    fabrics: dict[int, Fabric]
    notions: dict[int, Notion]
    cloth: dict[int, Taken]
    counted: dict[int, Taken]
    worked: tuple[Worked, ...]
    forecast: Forecast | None
    others: tuple[OtherCost, ...]
    rates: HourRates


def load_cost_rows(project: Project, plan: Plan, workroom: Workroom, today: date) -> CostRows:
    """A fixed number of queries, whatever the number of logs, lines and pieces."""
    paces = basis_of(project, workroom, rates_for(today=today)).rates
    entries = StockEntry.objects.filter(project=project, kind__in=(*USED, *SPOILED)).order_by()
    cloth, counted = _taken(entries, "cloth__fabric_id"), _taken(entries, "notion_id")
    fabrics = {*cloth, *(fabric.fabric_id for fabric in plan.fabrics)}
    notions = {*counted, *(notion.notion_id for notion in plan.notions)}
    logs = LabourLog.objects.filter(project=project, removed_at=None, minutes__isnull=False).order_by()
    return CostRows(
        fabrics=Fabric.objects.in_bulk(fabrics),
        notions=Notion.objects.in_bulk(notions),
        cloth=cloth,
        counted=counted,
        worked=tuple(_worked(logs)),
        forecast=forecast(plan, paces, spent_on([project])[project.pk]),
        others=tuple(OtherCost.objects.live().filter(project=project)),
        rates=HourRates.load(),
    )


def _taken(entries: object, key: str) -> dict[int, Taken]:
    """By fabric or notion. The ledger's lines are negative for what leaves the shelf."""
    found: dict[int, dict[str, int]] = {}
    rows = entries.exclude(**{key: None}).values_list(key, "kind").annotate(all=Sum("amount"))  # type: ignore[attr-defined]
    for pk, kind, amount in rows:
        found.setdefault(pk, {})[kind] = -amount
    return {
        pk: Taken(max(0, sum(sums.get(kind, 0) for kind in USED)), sum(sums.get(kind, 0) for kind in SPOILED))
        for pk, sums in found.items()
    }


def _worked(logs: object) -> Iterable[Worked]:
    names = ("person", "person__shown_name", "person__username", "worker", "date")
    rows = logs.values_list(*names).annotate(all=Sum("minutes")).order_by("person", "worker", "date")  # type: ignore[attr-defined]
    for person, shown, username, worker, day, minutes in rows:
        yield Worked(person, shown or username or worker, day, minutes)
