"""A run as far as it is sewn, and what its check measures say: how much too long the panel will be (E), and
this hand's steady error. Lengths nm; places count from 0 in the order of sewing.

E and the steady error b are followed together, tuck by tuck, by the usual linear filter (Kalman 1960). A tuck
asked at depth d comes out at d + b, straying by s: E falls by twice what it is deeper than planned, and its
variance grows by 4 s^2. A check measures E with two readings of a tape. Floating-point numbers: estimates.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import sqrt
from typing import Final, NamedTuple

from projects.calc.errors import CalcError
from projects.calc.hand import STARTING_HAND, TAPE, Hand

METRIC_STEP: Final = 500_000
INCH_STEP: Final = 793_750
"""Steps a hand can set: 0.5 mm, 1/32 in."""
SPREAD_COUNTS_AS: Final = 6
"""The spread a run begins with counts as this many checks; a starting value."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A check measure after `after` tucks (in the order of sewing): `excess` E = r + f, None where the far
    reading was left out; `shift` r. The readings don't cover the first `since` tucks where they are taken
    from a seam in the middle. `leap`: E went where no hand's tucks bring it, and a second measure said so
    too: it is so, and says nothing of the hand."""

    after: int
    excess: int | None
    shift: int = 0
    since: int = 0
    leap: bool = False


class Mended(NamedTuple):
    """The tuck at `place` was sewn again after a reading had found it otherwise, and the panel `grown` by
    that (nm): with so many `readings` of the run made before, of those that come after it each shows it."""

    place: int
    readings: int
    grown: int


@dataclass(frozen=True, slots=True)
class RunSoFar:
    """Everything the advice rests on.

    `depths`: planned depths of all tucks, in the order of sewing. `asked`: for each tuck that is sewn, what
    was asked of the hand beyond its planned depth (guide and correction). `sewn`: how many are.
    `deviations`: (place, D) of tucks known to be sewn at another depth, D = sewn - asked. `guide`: what the
    guide is set to now beyond the planned depth. `step`: what this hand can set. `drawn`: marks are drawn.
    Where they are not, `spaces`: the space before each tuck that is left, and `gaps`: the visible gap there.
    Where tucks were sewn out of order, give them in the order in which they were sewn, and `readings` in the
    order in which they were made.
    """

    depths: tuple[int, ...]
    asked: tuple[int, ...] = ()
    sewn: int = 0
    deviations: tuple[tuple[int, int], ...] = ()
    readings: tuple[Reading, ...] = ()
    hand: Hand = STARTING_HAND
    step: int = METRIC_STEP
    drawn: bool = True
    spaces: tuple[int, ...] | None = None
    gaps: tuple[int, ...] | None = None
    guide: int = 0
    mended: tuple[Mended, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.sewn <= len(self.depths):
            raise CalcError("sewn", self.sewn, f"0 to {len(self.depths)} tucks", "Count those sewn.")
        if len(self.asked) != self.sewn:
            raise CalcError("asked", len(self.asked), f"{self.sewn} of them", "One for each tuck sewn.")
        for row in (self.spaces, self.gaps):
            if row is not None and len(row) != self.left:
                raise CalcError("spaces", len(row), f"{self.left} of them", "One for each tuck left.")
        if any(not 0 <= reading.since <= reading.after <= self.sewn for reading in self.readings):
            raise CalcError("readings", "A check", "one after a tuck that is sewn", "Say after which.")
        if self.step <= 0:
            raise CalcError("step", self.step, "a step above 0", "Give what a hand can set.")

    @property
    def left(self) -> int:
        """How many tucks are not sewn."""
        return len(self.depths) - self.sewn


@dataclass(slots=True)
class Drift:
    """E and b as they are believed now, with their variances (nm, nm^2) and the spread of a tuck. ``before``
    is E of the tucks that the readings to come don't cover, with its variance."""

    excess: float = 0.0
    bias: float = 0.0
    excess_variance: float = 0.0
    bias_variance: float = 0.0
    shared: float = 0.0
    spread: float = 0.0
    before: float = 0.0
    before_variance: float = 0.0
    since: int = 0
    strayed: list[tuple[float, float, float]] = field(default_factory=list)
    """Of each reading: how far it was from what was expected, squared; the variance expected; the part of it
    that the tucks' own straying makes."""

    @property
    def total(self) -> float:
        """E of the whole panel."""
        return self.before + self.excess

    @property
    def total_variance(self) -> float:
        return self.before_variance + self.excess_variance

    def set_apart(self, since: int) -> None:
        """From here on readings cover only what is sewn after `since` tucks."""
        self.before, self.before_variance = self.total, self.total_variance
        self.excess = self.excess_variance = self.shared = 0.0
        self.since = since

    def sew(self, asked: float, tucks: int, by_hand: int) -> None:
        """`tucks` tucks, together asked (or known) to be deeper by `asked`; `by_hand` of them stray by b."""
        self.excess -= 2 * (asked + by_hand * self.bias)
        self.excess_variance += (
            4 * self.spread**2 * tucks - 4 * by_hand * self.shared + 4 * by_hand**2 * self.bias_variance
        )
        self.shared -= 2 * by_hand * self.bias_variance

    def mend(self, one: Mended) -> None:
        """A tuck sewn again: readings to come see it where they cover its place."""
        if one.place < self.since:
            self.before += one.grown
        else:
            self.excess += one.grown

    def leap(self, excess: int) -> None:
        """E is what was measured, whatever was believed; the hand stays what it was."""
        self.excess, self.excess_variance, self.shared = float(excess), 2.0 * TAPE**2, 0.0

    def measured(self, excess: int, tucks: int) -> None:
        """A check read `excess`, `tucks` after the one before."""
        expected = self.excess_variance + 2 * TAPE**2
        off = excess - self.excess
        self.strayed.append((off**2, expected, 4 * self.spread**2 * tucks))
        gain, gain_bias = self.excess_variance / expected, self.shared / expected
        self.excess += gain * off
        self.bias += gain_bias * off
        self.bias_variance -= gain_bias * self.shared
        self.shared *= 1 - gain
        self.excess_variance *= 1 - gain


def drift_of(run: RunSoFar) -> Drift:
    """What is believed after the last tuck sewn. The spread is first the hand's; where checks strayed more or
    less than that explains, all is gone through once more with the spread they show."""
    first = _followed(run, float(run.hand.spread))
    spread = _spread_shown(first, run.hand.spread)
    return first if spread == run.hand.spread else _followed(run, spread)


def _followed(run: RunSoFar, spread: float) -> Drift:
    drift = Drift(bias=float(run.hand.bias), bias_variance=float(run.hand.bias_sd) ** 2, spread=spread)
    known, before = dict(run.deviations), 0
    mended = sorted(run.mended, key=lambda one: one.readings)
    for number, reading in enumerate(run.readings):
        if reading.excess is None:
            continue
        if reading.since > drift.since:
            _sew(drift, run, known, before, reading.since)
            drift.set_apart(reading.since)
            before = max(before, reading.since)
        _sew(drift, run, known, before, reading.after)
        while mended and mended[0].readings <= number:
            drift.mend(mended.pop(0))
        if reading.leap:
            drift.leap(reading.excess)
        else:
            drift.measured(reading.excess, reading.after - before)
        before = reading.after
    _sew(drift, run, known, before, run.sewn)
    for one in mended:
        drift.mend(one)
    return drift


def _sew(drift: Drift, run: RunSoFar, known: dict[int, int], start: int, end: int) -> None:
    """Tucks from place `start` up to `end`."""
    wrong = [known[place] for place in range(start, end) if place in known]
    many = max(0, end - start)
    drift.sew(sum(run.asked[start:end]) + sum(wrong), many, many - len(wrong))


def _spread_shown(drift: Drift, start: int) -> float:
    """s from how far checks were from what was expected; never below half the start or above twice."""
    square, counts = SPREAD_COUNTS_AS * float(start) ** 2, float(SPREAD_COUNTS_AS)
    for off, expected, own in drift.strayed:
        if own:
            share = (own / expected) ** 2
            square += share * start**2 * (off - (expected - own)) / own
            counts += share
    return min(2.0 * start, max(0.5 * start, sqrt(max(0.0, square / counts))))
