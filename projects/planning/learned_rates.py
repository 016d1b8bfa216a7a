"""How long work takes here: the studio's own or starting rates, moved by what finished steps taught."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from math import exp
from typing import TYPE_CHECKING

from django.db.models import Q
from django.utils import timezone

from projects.calc.labour import DRIVERS, SETUP, STARTING_SETUP
from projects.calc.learned import Factor, Learned, Parts
from projects.calc.ranges import SHARED_SD, STEP_SD
from projects.models import LabourRate, LearnedRate

if TYPE_CHECKING:
    from .plan import PlannedStep  # a plan is made with these rates

CENT, SIX = Decimal("0.01"), Decimal("0.000001")
SPREADS = {"spread.shared": "shared_sd", "spread.step": "step_sd"}
"""Rows of ``LearnedRate`` that hold, as their mean, how far steps stray: the part all of a project share, and
that of a step. Their technique is the stage they were learned from; together each counts by its steps."""

CURVE = "curve"
"""The row that holds, as its mean, what is left of the time at each doubling of repeats in a stage."""


class Rates(dict[str, Decimal]):
    """Minutes by driver where they are not starting values: the studio's own (``own``), moved by logs.

    As a mapping it holds all techniques together; ``of`` knows those of one technique. A driver nobody logged
    time on stays as it was. ``person``: whose rates, None for the studio's as a whole.
    """

    def __init__(
        self,
        own: Mapping[str, Decimal],
        learned: Learned | None = None,
        person: int | None = None,
        curves: Mapping[str, float] | None = None,
    ) -> None:
        self.own, self.learned, self.person = dict(own), learned or Learned(), person
        self.curves = curves or {}
        """By stage, what is left of the time at each doubling of repeats, where hours show that less is."""
        self._drivers = {driver for driver, _, _ in self.learned.table if driver}
        self._techniques = {technique for _, technique, _ in self.learned.table}
        self._factors: dict[tuple[str, str], Factor] = {}
        super().__init__(self.own | self._moved(""))
        self._known: dict[str, Mapping[str, Decimal]] = {"": self}

    def of(self, technique: str) -> Mapping[str, Decimal]:
        """Minutes by driver of one technique, where it taught something of its own."""
        if technique not in self._techniques:
            return self
        if technique not in self._known:
            self._known[technique] = {**self.own, **self._moved(technique)}
        return self._known[technique]

    def factor(self, driver: str, technique: str = "") -> Factor:
        """How far a driver takes longer than its own or starting rate; a starting value without logs."""
        key = (driver, technique)
        if key not in self._factors:
            known = self.learned if driver in self._drivers else Learned()
            self._factors[key] = known.factor(driver, technique, self.person)
        return self._factors[key]

    def steps(self, driver: str, technique: str = "") -> int:
        """How many finished steps a rate rests on."""
        return self.factor(driver, technique).steps

    def minutes(self, driver: str, technique: str = "") -> float:
        """Minutes for one, as logs made them."""
        return float(self.of(technique).get(driver) or base_of(driver, self.own))

    def parts(self, work: Iterable[tuple[str, Decimal | int]], technique: str = "") -> Parts:
        """Work counted by driver as minutes before anything learned, each with its factor."""
        return tuple(
            (count * base_of(driver, self.own), self.factor(driver, technique)) for driver, count in work
        )

    def _moved(self, technique: str) -> dict[str, Decimal]:
        return {
            driver: moved(base_of(driver, self.own), self.factor(driver, technique))
            for driver in self._drivers
        }


def moved(minutes: Decimal, factor: Factor) -> Decimal:
    """A rate as logs make it, to a millionth of a minute."""
    return (minutes * Decimal(exp(factor.mean))).quantize(SIX)


def base_of(driver: str, own: Mapping[str, Decimal]) -> Decimal:
    """The value that learning starts from: the studio's own minutes for one, else the starting value."""
    if driver in own:
        return own[driver]
    return STARTING_SETUP[driver[len(SETUP) :]] if driver.startswith(SETUP) else DRIVERS[driver].minutes


def rates_on(day: date) -> dict[str, Decimal]:
    """The studio's own minutes by driver that hold on a day: of several the latest. One query."""
    return {r.driver: r.minutes for r in LabourRate.objects.filter(from_date__lte=day).order_by("from_date")}


def rates_for(person_id: int | None = None, *, today: date | None = None) -> Rates:
    """Rates of the studio as a whole, or of one person where they taught something. Two queries."""
    whose = Q(person=None) | Q(person=person_id) if person_id else Q(person=None)
    rows = list(LearnedRate.objects.filter(whose))
    return Rates(rates_on(today or timezone.localdate()), read_learned(rows), person_id, curves_of(rows))


def curves_of(rows: Iterable[LearnedRate]) -> dict[str, float]:
    """By stage, what is left of the time at each doubling of repeats."""
    return {row.technique: row.mean for row in rows if row.driver == CURVE}


def read_learned(rows: Iterable[LearnedRate]) -> Learned:
    """Kept rows as calc knows them. What a later version of the program may have kept is passed over."""
    sums = {name: [0.0, 0] for name in SPREADS}
    found = []
    for row in rows:
        if row.driver in SPREADS:
            sums[row.driver] = [sums[row.driver][0] + row.steps * row.mean, sums[row.driver][1] + row.steps]
        elif not row.driver or row.driver in DRIVERS or row.driver.removeprefix(SETUP) in STARTING_SETUP:
            key = (row.driver, row.technique, row.person_id)
            found.append(Factor(row.mean, row.variance, row.steps, key))
    usual = {"shared_sd": SHARED_SD, "step_sd": STEP_SD}
    spreads = {SPREADS[name]: total / steps for name, (total, steps) in sums.items() if steps}
    return Learned.of(found, **(usual | spreads))


def base_minutes(work: Iterable[tuple[str, Decimal | int]], own: Mapping[str, Decimal]) -> Decimal:
    """What work counted by driver takes before anything learned."""
    return sum((count * base_of(driver, own) for driver, count in work), Decimal(0))


def work_of(step: PlannedStep) -> tuple[tuple[str, Decimal | int], ...]:
    """All a step's minutes come from, its part of setting up its stage included."""
    return (*step.work, (SETUP + step.stage, step.setup)) if step.setup else step.work


def minutes_of(step: PlannedStep, rates: Rates) -> Decimal:
    """What a step takes at these rates (one person's, say); an own step what was typed for it."""
    if not step.work:
        return step.minutes
    known = rates.of(step.technique)
    parts = ((count, known.get(driver) or base_of(driver, rates.own)) for driver, count in work_of(step))
    return (step.pace * sum((count * minutes for count, minutes in parts), Decimal(0))).quantize(CENT)
