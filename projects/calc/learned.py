"""How far work takes longer or shorter than planned, learned from finished steps.

Times are minutes; factors are natural logarithms of actual / planned, 0 where the plan is right. Every spread
here is a starting value: it has no source, and gives way to what logs show.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from math import exp, log, sqrt
from typing import Final

from projects.calc.mixed import Posterior, Row, Spreads, fit
from projects.calc.ranges import SHARED_SD, STEP_SD

FACTOR_SD: Final = 0.35
"""How far a maker's true rate lies from its starting value: sd of the logarithm, a starting value."""

LEVELS: Final = {
    "all": 0.15,
    "driver": 0.30,
    "technique": 0.15,
    "person": 0.10,
    "person's driver": 0.20,
    "person's technique": 0.10,
}
"""How the variance of a factor is divided: starting values of our own."""
ALIKE: Final = LEVELS["all"] + LEVELS["person"]
WILDEST: Final = log(10)
"""A step that took more than ten times what was planned, or less than a tenth, teaches as if it were that."""


def _variance(*levels: str) -> float:
    return sum(LEVELS[level] for level in levels) * FACTOR_SD**2


NEW_PERSON: Final = _variance("person", "person's driver", "person's technique")
NEW_TECHNIQUE: Final = _variance("technique", "person's technique")
NEW_DRIVER: Final = NEW_TECHNIQUE + _variance("driver", "person's driver")

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
        """The nearest that is known: the person's, else the studio's; in the technique, else in all.

        What falls back is less sure: it has the variance of what is not known as well.
        """
        wanted = (driver, technique, person)
        for key, more in _nearest(driver, technique, person):
            if key in self.table:
                found = self.table[key]
                return found if key == wanted else replace(found, variance=found.variance + more, key=wanted)
        return Factor(key=wanted)

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


def _nearest(driver: str, technique: str, person: int | None) -> Iterator[tuple[Key, float]]:
    """Where to look for a factor, and by how much less sure it is there."""
    technical = NEW_TECHNIQUE if technique else 0.0
    if person is not None:
        yield (driver, technique, person), 0.0
        yield (driver, "", person), technical
    personal = NEW_PERSON if person is not None else 0.0
    yield (driver, technique, None), personal
    yield (driver, "", None), personal + technical
    if person is not None:
        yield ("", "", person), 0.0
    yield ("", "", None), personal


def learn(
    observations: Iterable[Observation], curve: Decimal = Decimal(1), *, known: Spreads | None = None
) -> Learned:
    """What finished steps teach; the same whatever their order. `curve` as `learning_curve` gives it.

    The model: ln(actual / planned) = the driver's factor (its parts: the studio, the driver, the driver in a
    technique, the person, the person at the driver, and there in the technique) + a part shared by the steps
    of a person in a project + a part of the step. A step of several drivers teaches each by its share of the
    planned minutes. `known` spreads are taken as they are; otherwise they are learned too, from starting
    values. Source: `mixed`.
    """
    seen = sorted(observations, key=_sorting)
    rows = [_row(one, curve) for one in seen]
    priors: dict[Hashable, float] = {
        part: _variance(str(part[0]))
        for one in seen
        for driver in one.work
        for part in _parts(driver, one.technique, one.person)
    }
    start = known or Spreads(1.0, SHARED_SD**2, STEP_SD**2)
    found = fit(rows, priors, start, learn_spreads=known is None)
    table = {factor.key: factor for factor in _factors(seen, found)}
    return Learned(table, sqrt(found.spreads.shared), sqrt(found.spreads.row))


def _sorting(one: Observation) -> tuple[object, ...]:
    work = tuple(sorted((driver, float(minutes)) for driver, minutes in one.work.items()))
    person = -1 if one.person is None else one.person
    return person, one.project, one.technique, work, one.planned, one.minutes, one.repeat, one.series


def _row(one: Observation, curve: Decimal) -> Row:
    """The step as a row of the model. A repeat is brought back to what a first time would have taken."""
    told = log(max(one.minutes, 0.5) / float(one.planned))
    if curve != 1:
        told -= log(float(curve), 2) * log(one.repeat)
    total = float(sum(one.work.values()))
    loads: dict[Hashable, float] = {}
    for driver, minutes in one.work.items():
        for part in _parts(driver, one.technique, one.person):
            loads[part] = loads.get(part, 0.0) + float(minutes) / total
    return Row((one.person, one.project), one.person, max(-WILDEST, min(WILDEST, told)), loads)


def _parts(driver: str, technique: str, person: int | None) -> tuple[tuple[str | int | None, ...], ...]:
    return (
        ("all",),
        ("driver", driver),
        ("technique", driver, technique),
        ("person", person),
        ("person's driver", driver, person),
        ("person's technique", driver, technique, person),
    )


def _factors(seen: Sequence[Observation], found: Posterior) -> Iterator[Factor]:
    """For each driver, technique and person that have logs; for all techniques and for the studio, what those
    with logs come to, each by its steps; and for drivers without logs, by person and for the studio."""
    counts: dict[Key, int] = {}
    people: dict[int | None, int] = {}
    for one in seen:
        people[one.person] = people.get(one.person, 0) + 1
        for driver in one.work:
            key = (driver, one.technique, one.person)
            counts[key] = counts.get(key, 0) + 1
    groups: dict[Key, list[Factor]] = {}
    for key, steps in counts.items():
        driver, technique, person = key
        factor = Factor(*found.of(dict.fromkeys(_parts(*key), 1.0)), steps, key)
        for group in {key, (driver, "", person), (driver, technique, None), (driver, "", None)}:
            groups.setdefault(group, []).append(factor)
    for person, steps in people.items():
        mean, variance = found.of({("all",): 1.0, ("person", person): 1.0})
        factor = Factor(mean, variance + NEW_DRIVER, steps, ("", "", person))
        for group in {factor.key, ("", "", None)}:
            groups.setdefault(group, []).append(factor)
    for key, factors in groups.items():
        yield _mixture(key, factors)


def _mixture(key: Key, factors: Sequence[Factor]) -> Factor:
    """One factor for several, each by its steps: it strays as they do, and by how far they lie apart."""
    steps = sum(factor.steps for factor in factors)
    mean = sum(factor.mean * factor.steps for factor in factors) / steps
    spread = sum((factor.variance + (factor.mean - mean) ** 2) * factor.steps for factor in factors) / steps
    return Factor(mean, spread, steps, key)


def rate_variance(loads: Iterable[tuple[float, Factor]]) -> tuple[float, float]:
    """The variance of a sum of factors times their loads, and how much of it all work of the studio shares.

    The same factor is the same everywhere; two different ones are wrong together by `ALIKE`, the part of
    their variance that they share before any log.
    """
    by_key: dict[Key, tuple[float, float]] = {}
    for load, factor in loads:
        total, _ = by_key.get(factor.key, (0.0, 0.0))
        by_key[factor.key] = total + load, factor.variance
    apart = sum(load * load * variance for load, variance in by_key.values())
    together = sum(load * sqrt(variance) for load, variance in by_key.values()) ** 2
    return (1 - ALIKE) * apart + ALIKE * together, ALIKE * together


def moved(parts: Parts) -> float:
    """A step's minutes (the median) as its factors make them."""
    return sum(float(minutes) * exp(factor.mean) for minutes, factor in parts)


def loads_of(steps: Iterable[Parts]) -> list[tuple[float, Factor]]:
    """Each factor's share of the minutes of these steps together; they sum to 1."""
    sizes = [(float(m) * exp(factor.mean), factor) for parts in steps for m, factor in parts if m > 0]
    total = sum(size for size, _ in sizes)
    return [(size / total, factor) for size, factor in sizes]
