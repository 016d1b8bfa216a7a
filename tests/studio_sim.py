"""Makers whose true rates nobody knows, and the minutes their work really takes: not the program's own code.

All of it is drawn from a seeded generator. Minutes are floats until they are logged, whole then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from math import exp, sqrt
from random import Random

from projects.calc.learned import Observation

TECHNIQUES = {
    "tucks": ("tucks", "metres_sewn", "checks"),
    "smocking": ("dots_picked", "smocking_stitches"),
    "pleats": ("pleats", "metres_sewn", "checks"),
}
STEPS = ("cut", "mark", "sew", "sew", "sew", "press", "trim", "finish")


@dataclass(frozen=True)
class Truth:
    """How the world is: sds of rates, of projects, of steps, of how much all of a maker's rates move
    together (`alike`, from 0 to 1), and the bias of every plan (0.2: all takes 20 % longer)."""

    rate_sd: float = 0.35
    shared_sd: float = 0.3
    step_sd: float = 0.3
    alike: float = 0.0
    by_technique: bool = False
    bias: float = 0.0


@dataclass
class Maker:
    """One person; what a driver really takes beside its starting value is drawn when it is first needed."""

    truth: Truth
    rng: Random
    person: int = 1
    factors: dict[tuple[str, str], float] = field(default_factory=dict)
    together: float | None = None

    def factor(self, driver: str, technique: str) -> float:
        t = self.truth
        if self.together is None:
            self.together = self.rng.gauss(0, t.rate_sd * sqrt(t.alike))
        key = (driver, technique if t.by_technique else "")
        if key not in self.factors:
            self.factors[key] = self.rng.gauss(0, t.rate_sd * sqrt(1 - t.alike))
        return exp(self.factors[key] + self.together) * (1 + t.bias)


@dataclass(frozen=True)
class SimStep:
    """A step as planned: its technique and planned minutes by driver, at starting rates."""

    technique: str
    work: dict[str, float]

    @property
    def planned(self) -> float:
        return sum(self.work.values())


def make_project(rng: Random, hours: float) -> list[SimStep]:
    """A project of eight steps of one technique, about so many hours as planned."""
    technique = rng.choice(sorted(TECHNIQUES))
    steps = [_step(rng, technique, kind) for kind in STEPS]
    times = hours * 60 / sum(step.planned for step in steps)
    return [SimStep(s.technique, {d: m * times for d, m in s.work.items()}) for s in steps]


def _step(rng: Random, technique: str, kind: str) -> SimStep:
    usual = {
        "cut": {"panels": 30.0, "setup.cut": 15.0},
        "mark": {"marks": 60.0, "setup.mark": 10.0},
        "press": {"metres_pressed": 45.0, "setup.press": 10.0},
        "trim": {"panels_trimmed": 30.0},
        "finish": {"pieces_finished": 30.0, "hand_metres": 40.0, "edge_metres": 30.0},
    }
    work = usual.get(kind) or dict.fromkeys(TECHNIQUES[technique], 80.0)
    return SimStep(technique, {driver: minutes * exp(rng.gauss(0, 0.4)) for driver, minutes in work.items()})


def true_minutes(maker: Maker, step: SimStep, shared: float) -> float:
    """What the step really takes this maker: her rates, the project's part and the step's own."""
    rates = sum(minutes * maker.factor(driver, step.technique) for driver, minutes in step.work.items())
    return rates * exp(shared + maker.rng.gauss(0, maker.truth.step_sd))


def observed(maker: Maker, project: int, step: SimStep, minutes: float) -> Observation:
    """As it gets logged: whole minutes."""
    work = {driver: Decimal(f"{planned:.2f}") for driver, planned in step.work.items()}
    planned = sum(work.values(), Decimal(0))
    return Observation(
        maker.person, project, step.technique, work, planned, max(1, round(minutes)), 1, ""
    )


def work_through(maker: Maker, steps: Sequence[SimStep]) -> list[float]:
    """The true minutes of a whole project's steps, in order, as one person works them."""
    shared = maker.rng.gauss(0, maker.truth.shared_sd)
    return [true_minutes(maker, step, shared) for step in steps]
