"""A person's hand: how much deeper than asked it sews a tuck, and how far single tucks stray from that.

Both belong to a person, a technique and a cloth, and are learned from the changes of E between two check
measures (see ``calc.correct``). They are kept apart from e, which is what the cloth takes up by itself.
Lengths are nm. Statistics are reckoned in floating-point numbers and rounded to whole nm at the end: they
are estimates, no panel is cut by their last digit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import fsum, sqrt
from typing import Final

TAPE: Final = 500_000
"""How far one reading with a tape may be off (standard deviation), nm. A starting value."""
BIAS_SD: Final = 300_000
"""How far the steady error of an unknown hand lies from none (standard deviation), nm. A starting value."""
SPREAD: Final = 400_000
"""How far the depth of one tuck strays (standard deviation), nm. A starting value."""
FROM_RUN_TO_RUN: Final = 100_000
"""How far a known hand's steady error strays from one run to the next, nm. A starting value."""
FROM_CLOTH_TO_CLOTH: Final = 150_000
"""The same from one cloth to another, nm. A starting value."""
FINEST: Final = 10_000
COUNTS_AS: Final = 4
"""The starting spread counts as this many stretches between checks."""


@dataclass(frozen=True, slots=True)
class Hand:
    """``bias``: how much deeper than asked this hand sews a tuck (nm, below 0: shallower), known to
    ``bias_sd``. ``spread``: standard deviation of a tuck's depth about that. ``tucks``: how many it was
    learned from. ``starting``: nothing was learned, these are starting values."""

    bias: int = 0
    bias_sd: int = BIAS_SD
    spread: int = SPREAD
    tucks: int = 0
    starting: bool = True


STARTING_HAND: Final = Hand()


def learn_hand(changes: Iterable[tuple[int, int]], prior: Hand = STARTING_HAND) -> Hand:
    """The hand that ``changes`` show, shrunk to ``prior``.

    Each change is of one stretch between two checks: (tucks n, change of E net of what was asked, nm; above
    0: the panel came out longer, so the tucks shallower). Bias of a stretch: -change / 2n. Its variance:
    (4 s^2 n + 4 tape^2) / 4n^2, two readings at each of its ends. s^2 is the variance of the changes about
    their mean / 4n, less the tape's share, with the prior's spread counting as ``COUNTS_AS`` stretches.
    Stretches of no tuck say nothing.
    """
    seen = [(tucks, change) for tucks, change in changes if tucks > 0]
    if not seen:
        return prior
    spread = _spread(seen, prior)
    precision = 1 / prior.bias_sd**2
    weighed = prior.bias * precision
    for tucks, change in seen:
        precise = 4 * tucks**2 / _variance(tucks, spread)
        precision += precise
        weighed -= precise * change / (2 * tucks)
    straying = sqrt(1 / precision + FROM_RUN_TO_RUN**2)
    return Hand(
        bias=round(weighed / precision),
        bias_sd=min(prior.bias_sd, round(straying)),
        spread=round(spread),
        tucks=prior.tucks + sum(tucks for tucks, _ in seen),
        starting=False,
    )


def _variance(tucks: int, spread: float) -> float:
    """Of the change of E over a stretch: 4 s^2 n, and two readings at each of its ends."""
    return 4 * spread**2 * tucks + 4 * TAPE**2


def _spread(seen: list[tuple[int, int]], prior: Hand) -> float:
    """s from the changes about their mean. A stretch counts as far as its tucks, and not the tape, make it
    stray."""
    start = float(prior.spread)
    weights = [4 * n**2 / _variance(n, start) for n, _ in seen]
    known = 1 / prior.bias_sd**2
    mean = (known * -2 * prior.bias + sum(w * c / n for w, (n, c) in zip(weights, seen, strict=True))) / (
        known + sum(weights)
    )
    square, counts = COUNTS_AS * start**2, float(COUNTS_AS)
    for n, change in seen:
        share = (4 * start**2 * n / _variance(n, start)) ** 2
        square += share * ((change - n * mean) ** 2 - 4 * TAPE**2) / (4 * n)
        counts += share
    if len(seen) > 1 and prior.starting:
        counts -= 1
    return sqrt(max(square / counts, (start / 4) ** 2))


@dataclass(frozen=True, slots=True)
class Scatter:
    """Stretches of one hand on one technique and cloth, summed: how many, `tucks` n, `changes` c of E net of
    what was asked (nm), `squares` c^2 / n (nm^2) and `ones` 1 / n."""

    stretches: int
    tucks: int
    changes: int
    squares: float
    ones: float

    @property
    def strayed(self) -> Strayed:
        tape = 4 * TAPE**2 * (self.ones - self.stretches / self.tucks)
        return Strayed(self.stretches - 1, self.tucks, self.squares - self.changes**2 / self.tucks - tape)


@dataclass(frozen=True, slots=True)
class Strayed:
    """What stretches say of the spread alone, this hand's own bias taken out: `counts` as so many (one less
    than there are), over so many `tucks`. `squares` is four times the sum that s^2 is the mean of: squares of
    changes about their mean / n, less the tape's share (nm^2); below 0 where the tape alone strays more."""

    counts: int
    tucks: int
    squares: float


def scatter_of(changes: Iterable[tuple[int, int]]) -> Scatter:
    """The sums of stretches, each (tucks n above 0, change of E net of what was asked, nm)."""
    known = list(changes)
    return Scatter(
        stretches=len(known),
        tucks=sum(n for n, _ in known),
        changes=sum(change for _, change in known),
        squares=fsum(change**2 / n for n, change in known),
        ones=fsum(1 / n for n, _ in known),
    )


def pooled_spread(hands: Iterable[Strayed], start: int, counts_as: int = COUNTS_AS) -> int:
    """s of all these hands together, shrunk to `start`, which counts as that many stretches; nm, to 0.01 mm,
    so that plans don't change by what nobody could measure."""
    square, counts = counts_as * float(start) ** 2, counts_as
    for hand in hands:
        if hand.counts > 0:
            square += hand.squares / 4
            counts += hand.counts
    spread = sqrt(max(square / counts, (start / 4) ** 2))
    return start if counts == counts_as else round(spread / FINEST) * FINEST
