"""What samples say of a ratio: how much more, or less, a cloth takes than the recipe says, and how sure.

Ratios are exact fractions, spreads decimals without a unit. The spreads below are starting values: they have
no source, until the studio's own samples replace them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from typing import Final

from projects.calc.sample_basis import ANOTHER_CLOTH, NO_SAMPLE, THIS_CLOTH, SampleError
from projects.calc.student import t90_millionths

PRIOR_SD: Final = Decimal("0.10")  # of ln(flat / finished) before any sample
BETWEEN_SAMPLES: Final = Decimal("0.02")  # between samples of one cloth
OTHER_CLOTH: Final = Decimal("0.05")  # added where the samples are of another cloth
MILLIONTH: Final = Decimal("0.000001")
_EXACT: Final = Context(prec=30, rounding=ROUND_HALF_EVEN)  # the same digits on every machine
FURTHEST_OFF: Final = 2  # a sample's ratio is refused beyond twice, or under half, what was planned


@dataclass(frozen=True, slots=True)
class RatioReading:
    """One direction of one sample: extents flat and finished (nm), the ratio planned for it, and the units
    (dots, squares, lines) counted between the points measured; 1 where nothing is counted."""

    flat: int
    finished: int
    planned: Fraction
    units: int = 1
    same_cloth: bool = True

    @property
    def off(self) -> Decimal:
        """f: ln(flat / finished) - ln(planned); above 0 where the cloth takes more than planned."""
        measured = Fraction(self.flat, self.finished) / self.planned
        return _EXACT.ln(_decimal(measured))


@dataclass(frozen=True, slots=True)
class RatioUp:
    """The ratio to plan with, the standard error of its logarithm, and its 80 % range.

    `basis` is "this cloth", "another cloth" or "none"; `samples` and `units` are what it rests on.
    """

    ratio: Fraction
    se: Decimal
    low: Decimal
    high: Decimal
    basis: str
    samples: int
    units: int


@dataclass(frozen=True, slots=True)
class RatioUps:
    """What samples say of both directions of one recipe."""

    across: RatioUp
    along: RatioUp

    def of(self, name: str) -> RatioUp:
        """Of "across" or "along"."""
        return self.across if name == "across" else self.along


def ratio_up(readings: Sequence[RatioReading], planned: Fraction) -> RatioUp:
    """Pool samples: the planned ratio x e^f, with its standard error and 80 % range.

    With f_k = ln(flat / finished) - ln(planned) of k samples of n_k units: f = the mean weighted by n_k,
    v = (4 x 0.10^2 + sum n_k (f_k - f)^2) / (k + 3), se^2 = v / sum n_k + 0.02^2 / k, of another cloth
    + 0.05^2. Without a sample f = 0 and se = 0.10. The range is x e^(+/- t(0.9; k + 3) se). Samples of this
    cloth are used alone where there are any. Derived as the take-up of tucks is, see `sampling.take_up`.
    """
    basis, used = _best(readings)
    if not used:
        return _ranged(planned, planned, PRIOR_SD, NO_SAMPLE, 0, 0)
    samples, units = len(used), sum(reading.units for reading in used)
    offs = [(reading.units, reading.off) for reading in used]
    off = sum((n * f for n, f in offs), Decimal(0)) / units
    scatter = sum((n * (f - off) ** 2 for n, f in offs), Decimal(0))
    variance = (4 * PRIOR_SD**2 + scatter) / (samples + 3)
    square = variance / units + BETWEEN_SAMPLES**2 / samples
    if basis == ANOTHER_CLOTH:
        square += OTHER_CLOTH**2
    ratio = Fraction(_millionths(_decimal(planned) * _EXACT.exp(off)))
    return _ranged(ratio, planned, _EXACT.sqrt(square), basis, samples, units)


def _best(readings: Sequence[RatioReading]) -> tuple[str, list[RatioReading]]:
    same = [reading for reading in readings if reading.same_cloth]
    if same:
        return THIS_CLOTH, same
    return (ANOTHER_CLOTH, list(readings)) if readings else (NO_SAMPLE, [])


def _ranged(ratio: Fraction, planned: Fraction, se: Decimal, basis: str, samples: int, units: int) -> RatioUp:
    reach = se * t90_millionths(samples + 3) / 1_000_000
    middle = _decimal(ratio)
    low, high = (_millionths(middle * _EXACT.exp(off)) for off in (-reach, reach))
    return RatioUp(ratio, _millionths(se), low, high, basis, samples, units)


def larger_by(length: int, se: Decimal, z: Decimal) -> int:
    """length x (e^(z se) - 1) in whole nm, rounded up: how much larger to cut so that it is not short."""
    if not se:
        return 0
    more = length * (_EXACT.exp(z * se) - 1)
    return -int(-more // 1)


def _decimal(value: Fraction) -> Decimal:
    return _EXACT.divide(Decimal(value.numerator), Decimal(value.denominator))


def _millionths(value: Decimal) -> Decimal:
    return value.quantize(MILLIONTH, rounding=ROUND_HALF_EVEN)


def check_ratio_reading(flat: int, finished: int, planned: Fraction, units: int = 1) -> RatioReading:
    """The reading, or SampleError naming the field where the figures can't belong to one sample: less than
    nothing, or more than twice (less than half) the ratio that was sewn (starting values)."""
    for field, nm in (("flat", flat), ("finished", finished)):
        if nm <= 0:
            raise _refused(field, "Nothing", "more than 0", "Measure between the same two points both times.")
    if units < 0:
        raise _refused("tucks", str(units), "0 or more", "Count what lies between the two points measured.")
    found = Fraction(flat, finished)
    least, most = planned / FURTHEST_OFF, planned * FURTHEST_OFF
    if not least <= found <= most:
        raise _refused(
            "finished",
            f"{float(found):.2f} times as much flat cloth as finished",
            f"{float(least):.2f} to {float(most):.2f} times, since {float(planned):.2f} was sewn",
            "Measure again between the same two points.",
        )
    return RatioReading(flat, finished, planned, max(1, units))


def _refused(field: str, given: str, expected: str, remedy: str) -> SampleError:
    said = f"{given} can't be right; {expected} was expected."
    return SampleError(said, field=field, given=given, expected=expected, remedy=remedy)
