"""How far the time of each stage may stray from its plan, once logs say so; until then by starting values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import sqrt

from projects.calc.labour import SETUP
from projects.calc.learned import Factor, rate_variance
from projects.calc.ranges import SHARED_SD, STEP_SD

from .learned_rates import Rates
from .plan import PlannedStep

ALL = "all stages"


@dataclass(frozen=True, slots=True)
class Taught:
    """By stage (and ``ALL`` together) the sd that its steps share, what is not known of their rates included,
    and on how many finished steps that rests. What nothing was learned of strays by the starting values."""

    shared: Mapping[str, float] = field(default_factory=dict)
    steps: Mapping[str, int] = field(default_factory=dict)
    step_sd: float = STEP_SD

    def shared_of(self, stage: str) -> float:
        return self.shared.get(stage, SHARED_SD)

    def steps_of(self, stage: str) -> int:
        return self.steps.get(stage, 0)


def taught_by(rates: Rates, steps: Iterable[PlannedStep]) -> Taught:
    """To two places, so that a range that was drawn once serves again. Nothing learned: starting values."""
    if not rates.learned.table:
        return Taught()
    counts = _counts(steps)
    loads: dict[str, list[tuple[float, Factor]]] = defaultdict(list)
    minutes: dict[str, float] = defaultdict(float)
    for (stage, technique, driver), count in counts.items():
        factor = rates.factor(driver, technique)
        size = count * rates.minutes(driver, technique)
        for key in (stage, ALL):
            minutes[key] += size
            if factor.steps:
                loads[key].append((size, factor))
    shared = {key: _shared(found, minutes[key], rates) for key, found in loads.items() if minutes[key]}
    behind = {key: max(factor.steps for _, factor in found) for key, found in loads.items()}
    return Taught(shared, behind, round(rates.learned.step_sd, 2))


def _counts(steps: Iterable[PlannedStep]) -> dict[tuple[str, str, str], float]:
    """What is counted in each stage, by technique and driver."""
    counts: dict[tuple[str, str, str], float] = defaultdict(float)
    for step in steps:
        if step.work and step.in_plan and step.state != "skipped":
            for driver, count in step.work:
                counts[step.stage, step.technique, driver] += float(count)
            counts[step.stage, step.technique, SETUP + step.stage] += float(step.setup)
    return counts


def _shared(loads: Iterable[tuple[float, Factor]], minutes: float, rates: Rates) -> float:
    variance, _ = rate_variance((size / minutes, factor) for size, factor in loads)
    return round(sqrt(rates.learned.shared_sd**2 + variance), 2)
