"""What was planned when work on a project began, as ``Project.first_budget`` keeps it: ``format`` 1, the day
(``on``), minutes as text in all (``minutes``) and by stage (``stages``). Empty where nobody kept it.

``let_go``, the row of the latest log at that moment, stands in one whose work was all removed: it counts for
nothing until what was removed is put back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from .plan import Plan

FORMAT = 1
LET_GO = "let_go"
UNKNOWN: dict[str, Any] = {}
"""Kept of a project that was begun when nobody kept it."""


@dataclass(frozen=True, slots=True)
class FirstBudget:
    """Minutes planned on the day work began, in all and by stage."""

    on: date
    minutes: Decimal
    stages: Mapping[str, Decimal]


def budget_of(plan: Plan, today: date) -> dict[str, Any] | None:
    """What is kept of a plan; None where it has no minutes."""
    if not plan.minutes:
        return None
    stages = {line.stage: str(line.planned) for line in plan.budget if line.planned}
    return {"format": FORMAT, "on": today.isoformat(), "minutes": str(plan.minutes), "stages": stages}


def read_budget(kept: Mapping[str, Any] | None) -> FirstBudget | None:
    """None where nothing was kept, or it was let go, or it is of a version that this one does not know."""
    if not kept or kept.get("format") != FORMAT or LET_GO in kept:
        return None
    try:
        stages = {stage: Decimal(minutes) for stage, minutes in kept["stages"].items()}
        return FirstBudget(date.fromisoformat(kept["on"]), Decimal(kept["minutes"]), stages)
    except (KeyError, ValueError, TypeError, AttributeError, InvalidOperation):
        return None
