"""How far work takes longer or shorter than planned, learned from finished steps.

Times are minutes; factors are natural logarithms of actual / planned, 0 where the plan is right. Every spread
here is a starting value: it has no source, and gives way to what logs show.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from math import exp, log
from typing import Final

from projects.calc.ranges import SHARED_SD, STEP_SD, Range80, range80

FACTOR_SD: Final = 0.35
"""How far a maker's true rate lies from its starting value: sd of the logarithm, a starting value."""

Key = tuple[str, str, int | None]
"""Driver, technique ("": all of them) and person (None: the studio)."""


@dataclass(frozen=True, slots=True)
class Factor:
    """What planned minutes are to be multiplied by, as a logarithm with its variance.

    `variance` is that of one true factor, whoever it belongs to: what is not known of it. `steps` counts the
    finished steps behind it; without any it is a starting value.
    """

    mean: float = 0.0
    variance: float = FACTOR_SD**2
    steps: int = 0
    key: Key = ("", "", None)

    @property
    def times(self) -> Decimal:
        """The factor itself, to four places: above 1 is slower than planned."""
        return Decimal(f"{exp(self.mean):.4f}")

    @property
    def starting(self) -> bool:
        return not self.steps


Parts = tuple[tuple[Decimal, Factor], ...]
"""A step's planned minutes by what they come from, each with the factor that belongs to it."""


@dataclass(frozen=True, slots=True)
class Observation:
    """One person's minutes on a finished step, rework left out, beside what was planned.

    `work` is the planned minutes (not the count) of each driver, at the studio's own or starting rates and
    before anything learned; setting a stage up is a driver as well ("setup.mark"). `planned` is their sum, at
    least above 0. `repeat` counts, from 1, repeats of the same step and recipe by this person in this
    project; `series` names that step and recipe, and is only compared.
    """

    person: int | None
    project: int
    technique: str
    work: Mapping[str, Decimal]
    planned: Decimal
    minutes: int
    repeat: int = 1
    series: str = ""


@dataclass(frozen=True, slots=True)
class Learned:
    """Factors by driver, technique and person, and how far work strays from them.

    `shared_sd` is the sd of the part all steps of a person in a project share, `step_sd` that of a step.
    """

    table: Mapping[Key, Factor] = field(default_factory=dict)
    shared_sd: float = SHARED_SD
    step_sd: float = STEP_SD

    def factor(self, driver: str, technique: str = "", person: int | None = None) -> Factor:
        """The nearest that is known: the person's, else the studio's; in the technique, else in all."""
        for key in _nearest(driver, technique, person):
            if key in self.table:
                return self.table[key]
        return Factor(key=(driver, technique, person))

    def rows(self) -> tuple[Factor, ...]:
        """All factors in a fixed order, to be kept; `Learned.of` reads them back."""
        return tuple(self.table[key] for key in sorted(self.table, key=_order))

    @classmethod
    def of(
        cls, rows: Iterable[Factor], shared_sd: float = SHARED_SD, step_sd: float = STEP_SD
    ) -> Learned:
        return cls({row.key: row for row in rows}, shared_sd, step_sd)


def _order(key: Key) -> tuple[str, str, int]:
    driver, technique, person = key
    return driver, technique, -1 if person is None else person


def _nearest(driver: str, technique: str, person: int | None) -> tuple[Key, ...]:
    found: list[Key] = []
    if person is not None:
        found += [(driver, technique, person), (driver, "", person)]
    found += [(driver, technique, None), (driver, "", None)]
    if person is not None:
        found.append(("", "", person))
    return (*found, ("", "", None))


def learn(observations: Iterable[Observation], curve: Decimal = Decimal(1)) -> Learned:
    """What finished steps teach; the same whatever their order. `curve` as `learning_curve` gives it."""
    sums: dict[Key, tuple[float, float, int]] = {}
    for seen in observations:
        told = log(max(seen.minutes, 0.5) / float(seen.planned))
        for driver, minutes in seen.work.items():
            share = float(minutes) / float(seen.planned)
            for key in {(driver, "", None), (driver, seen.technique, None), (driver, "", seen.person)}:
                weight, total, steps = sums.get(key, (0.0, 0.0, 0))
                sums[key] = weight + share, total + share * told, steps + 1
    noise = SHARED_SD**2 + STEP_SD**2
    return Learned(
        {
            key: Factor(
                total / (weight + noise / FACTOR_SD**2), 1 / (weight / noise + FACTOR_SD**-2), steps, key
            )
            for key, (weight, total, steps) in sums.items()
        }
    )


def learning_curve(observations: Iterable[Observation]) -> Decimal:
    """What is left of a step's time at each doubling of its repeats; 1 until logs show otherwise."""
    return Decimal(1)


def range_of(
    steps: Iterable[Parts], shared_sd: float = SHARED_SD, step_sd: float = STEP_SD
) -> Range80:
    """The 80 % range, in minutes, of all these steps of one project together."""
    return range80(
        [Decimal(sum(float(part) * exp(factor.mean) for part, factor in parts)) for parts in steps],
        shared_sd,
        step_sd,
    )
