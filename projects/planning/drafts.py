"""A step as the plan makes it, before anybody touched it, and what its minutes come from."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from projects.calc.labour import DRIVERS, SETUP, STARTING_SETUP

from .learned_rates import Rates
from .plan import CheckMeasure, Measure

CENT, NOTHING = Decimal("0.01"), Decimal("0.00")


class Draft(NamedTuple):
    """One generated step. ``place`` is where it stands in working order; ``work`` counts by driver."""

    key: str
    stage: str
    place: float
    title: str
    detail: str = ""
    panel: str = ""
    panel_id: int | None = None
    measures: tuple[Measure, ...] = ()
    checks: Sequence[CheckMeasure] = ()
    cautions: tuple[str, ...] = ()
    work: tuple[tuple[str, Decimal | int], ...] = ()
    booked: bool | None = None
    """Whether what the step does is booked elsewhere (a panel as cut): that decides, not its tick."""
    technique: str = ""
    """What is sewn, marked or pressed; empty where that makes no difference."""
    fixed: Decimal = NOTHING
    """Minutes somebody set for it, whatever it counts."""

    def minutes(self, rates: Rates) -> Decimal:
        """What its drivers make, to a hundredth, without setting up."""
        if not self.work:
            return self.fixed
        known = rates.of(self.technique) if self.technique else rates
        return sum((count * rate_of(key, known) for key, count in self.work), Decimal(0)).quantize(CENT)


def rate_of(driver: str, rates: Mapping[str, Decimal]) -> Decimal:
    """The studio's own minutes for one, else the starting value."""
    return rates.get(driver, DRIVERS[driver].minutes)


def setup_of(stage: str, rates: Mapping[str, Decimal]) -> Decimal:
    """Minutes to set a stage up, once a project."""
    return rates.get(SETUP + stage, STARTING_SETUP[stage])


def starting(draft: Draft, rates: Rates) -> bool:
    """Whether any of its minutes rest on a starting value alone."""
    known = rates.of(draft.technique)
    return any(key not in known for key, _ in draft.work)
