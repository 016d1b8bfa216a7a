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

from projects.calc.lengths import Rounding, System, rounded
from projects.calc.sample_basis import ANOTHER_CLOTH, NO_SAMPLE, THIS_CLOTH, SampleError
from projects.calc.student import t90_millionths

LEAST_SD: Final = Decimal("0.02")  # of ln(flat / finished) before any sample, where a ratio is close to 1
MOST_SD: Final = Decimal("0.10")  # the same where the cloth is drawn up a good deal
BETWEEN_SAMPLES: Final = Decimal("0.02")  # between samples of one cloth, at most half the spread before any
MILLIONTH: Final = Decimal("0.000001")
_EXACT: Final = Context(prec=30, rounding=ROUND_HALF_EVEN)  # the same digits on every machine
LEAST: Final = Fraction(1)  # flat / finished: no technique makes more cloth than there was
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
    """The ratio to plan with, the standard error of its logarithm, and its 80 % range; none is below 1, since
    sewing cannot stretch cloth.

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


def prior_sd(planned: Fraction) -> Decimal:
    """The spread of ln(flat / finished) before any sample: ln(planned), at least 0.02 and at most 0.10.

    What hardly draws the cloth in can't be far off: quilting planned at 1.03 may take nothing or twice that,
    never a fifth more. All three are starting values of our own.
    """
    return _millionths(min(MOST_SD, max(LEAST_SD, _EXACT.ln(_decimal(planned)))))


def ratio_up(readings: Sequence[RatioReading], planned: Fraction) -> RatioUp:
    """Pool samples: the planned ratio x e^f, with its standard error and 80 % range.

    With f_k = ln(flat / finished) - ln(planned) of k samples of n_k units, and s = `prior_sd`: f = the mean
    weighted by n_k, v = (4 s^2 + sum n_k (f_k - f)^2) / (k + 3), se^2 = v / sum n_k + b^2 / k with b = 0.02
    or s / 2 if that is less, of another cloth + (s / 2)^2: half of what is not known before any sample, so
    that measuring never makes a plan less sure. Without a sample f = 0 and se = s. The range is
    x e^(+/- t(0.9; k + 3) se); it ends at 1, as the ratio does. Samples of this cloth are used alone where
    there are any. Derived as the take-up of tucks is, see `sampling.take_up`.
    """
    basis, used = _best(readings)
    prior = prior_sd(planned)
    if not used:
        return _ranged(planned, prior, NO_SAMPLE, 0, 0)
    samples, units = len(used), sum(reading.units for reading in used)
    offs = [(reading.units, reading.off) for reading in used]
    off = sum((n * f for n, f in offs), Decimal(0)) / units
    scatter = sum((n * (f - off) ** 2 for n, f in offs), Decimal(0))
    variance = (4 * prior**2 + scatter) / (samples + 3)
    square = variance / units + min(BETWEEN_SAMPLES, prior / 2) ** 2 / samples
    if basis == ANOTHER_CLOTH:
        square += (prior / 2) ** 2
    ratio = max(LEAST, Fraction(_millionths(_decimal(planned) * _EXACT.exp(off))))
    return _ranged(ratio, _EXACT.sqrt(square), basis, samples, units)


def _best(readings: Sequence[RatioReading]) -> tuple[str, list[RatioReading]]:
    same = [reading for reading in readings if reading.same_cloth]
    if same:
        return THIS_CLOTH, same
    return (ANOTHER_CLOTH, list(readings)) if readings else (NO_SAMPLE, [])


def _ranged(ratio: Fraction, se: Decimal, basis: str, samples: int, units: int) -> RatioUp:
    reach = se * t90_millionths(samples + 3) / 1_000_000
    middle = _decimal(ratio)
    low, high = (max(Decimal(1), _millionths(middle * _EXACT.exp(off))) for off in (-reach, reach))
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


def check_ratio_reading(
    flat: int, finished: int, planned: Fraction, units: int = 1, system: System = System.METRIC
) -> RatioReading:
    """The reading, or SampleError naming the field where the figures can't belong to one sample: less than
    nothing, more finished than flat, more than twice or less than half the ratio sewn (starting values), or
    no unit counted."""
    for field, nm in (("flat", flat), ("finished", finished)):
        if nm <= 0:
            raise _refused(
                field,
                "nothing",
                f"The {field} size is nothing; it must be more.",
                "more than 0",
                "Measure between the same two points both times.",
            )
    if units < 1:
        raise _refused(
            "tucks", str(units), f"{units} were counted; there must be at least one.", "1 or more",
            "Count what lies between the two points measured.",
        )  # fmt: skip
    if finished > flat:
        raise _larger(flat, finished, system)
    _near(flat, finished, planned)
    return RatioReading(flat, finished, planned, units)


def _near(flat: int, finished: int, planned: Fraction) -> None:
    found = Fraction(flat, finished)
    least, most = max(LEAST, planned / FURTHEST_OFF), planned * FURTHEST_OFF
    if not least <= found <= most:
        given, sewn, low, high = (f"{float(ratio):.2f}" for ratio in (found, planned, least, most))
        raise _refused(
            "finished",
            f"{given} times as much flat cloth as finished",
            f"This makes {given} times as much flat cloth as finished; {sewn} was sewn, so expect {low} to "
            f"{high}.",
            f"{low} to {high} times",
            "Measure again between the same two points.",
        )


def _larger(flat: int, finished: int, system: System) -> SampleError:
    """Finished larger than flat. Where both round to the same, they are said as exactly as they are."""
    there, given = (rounded(nm, Rounding.PANEL, system) for nm in (flat, finished))
    said = f"{given} finished is larger than the {there} of flat cloth it was made from"
    if there == given:
        said = f"The finished size is a little larger than the {there} of flat cloth it was made from"
    return _refused(
        "finished", given, f"{said}; sewing can't stretch cloth, so expect at most {there}.",
        f"at most {there}",
        "Measure again between the same two points, and see that the two are not swapped.",
    )  # fmt: skip


def _refused(field: str, given: str, said: str, expected: str, remedy: str) -> SampleError:
    return SampleError(said, field=field, given=given, expected=expected, remedy=remedy)
