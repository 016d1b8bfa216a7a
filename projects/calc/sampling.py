"""What samples say: the take-up a cloth adds by itself, how sure that is, and what sample to make.

All lengths are whole nanometres. The spreads below are starting values: they have no source, and say so
wherever they show, until the studio's own samples replace them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import Final

from projects.calc.lengths import NM_PER_MM, Rounding, System, half_up, rounded
from projects.calc.sample_advice import SampleAdvice, sample_to_make
from projects.calc.sample_basis import ANOTHER_CLOTH, NO_SAMPLE, THIS_CLOTH, SampleError
from projects.calc.sample_extent import SampleExtent
from projects.calc.student import t90_millionths

__all__ = [
    "ANOTHER_CLOTH",
    "DEPTH_SPREAD",
    "NO_SAMPLE",
    "THIS_CLOTH",
    "Reading",
    "SampleAdvice",
    "SampleError",
    "SampleExtent",
    "TakeUp",
    "check_reading",
    "draw_in",
    "even_extra",
    "root",
    "sample_to_make",
    "t90_millionths",
    "take_up",
]

DEPTH_SPREAD: Final = 400_000  # s: how much the depth of one tuck varies, 0.4 mm
BETWEEN_SAMPLES: Final = 150_000  # 0.15 mm: how much e varies between samples of one cloth
OTHER_CLOTH: Final = 200_000  # 0.2 mm: added where the samples are of another cloth
UNSAMPLED: Final = 300_000  # 0.3 mm: standard error of e without any sample
ADDED_AT_MOST: Final = 3 * NM_PER_MM  # one tuck never adds more than this by itself


@dataclass(frozen=True, slots=True)
class Reading:
    """One direction of one sample: flat and finished extent, its tucks, and the sum of twice their depths."""

    flat: int
    finished: int
    tucks: int
    depths_sum: int
    same_cloth: bool = True

    @property
    def added(self) -> int:
        """What the cloth added by itself over all tucks (nm, may be negative)."""
        return self.flat - self.finished - self.depths_sum


@dataclass(frozen=True, slots=True)
class TakeUp:
    """What the cloth adds to each tuck: `extra` (e, even), its standard error and its 80 % range, in nm.

    `basis` is "this cloth", "another cloth" or "none"; `samples` and `tucks` are what it rests on.
    """

    extra: int
    se: int
    low: int
    high: int
    basis: str
    samples: int
    tucks: int


def even_extra(value: Fraction | int) -> int:
    """The nearest even whole number of nm (a tie goes up): q = 2 d + e is then even and folds are whole."""
    exact = Fraction(value)
    return 2 * half_up(exact.numerator, 2 * exact.denominator)


def take_up(readings: Sequence[Reading], depth_spread: int = DEPTH_SPREAD) -> TakeUp:
    """Pool samples: e, its standard error and 80 % range.

    With k samples of n_k tucks, e = sum(measured take-up - sum 2d) / sum of tucks,
    v = (4 (2s)^2 + sum n_k (e_k - e)^2) / (k + 3) and se^2 = v / sum n_k + 0.15^2 / k, of another cloth
    + 0.2^2 (mm). Without a sample e = 0 and se = 0.3 mm. The range is e +/- t(0.9; k + 3) se. Samples of
    this cloth are used alone where there are any. Source: a normal model with a prior worth four degrees of
    freedom at twice the depth spread; derived, and tested by simulation.
    """
    basis, used = _best(readings)
    if not used:
        return _ranged(Fraction(0), UNSAMPLED, NO_SAMPLE, 0, 0)
    samples, tucks = len(used), sum(reading.tucks for reading in used)
    extra = Fraction(sum(reading.added for reading in used), tucks)
    scatter = sum(reading.tucks * (Fraction(reading.added, reading.tucks) - extra) ** 2 for reading in used)
    variance = (4 * (2 * depth_spread) ** 2 + scatter) / Fraction(samples + 3)
    square = variance / tucks + Fraction(BETWEEN_SAMPLES**2, samples)
    if basis == ANOTHER_CLOTH:
        square += OTHER_CLOTH**2
    return _ranged(extra, root(square), basis, samples, tucks)


def _best(readings: Sequence[Reading]) -> tuple[str, list[Reading]]:
    """The readings to use: those of this cloth if there are any; plain ones (no tucks) say nothing of e."""
    tucked = [reading for reading in readings if reading.tucks > 0]
    same = [reading for reading in tucked if reading.same_cloth]
    if same:
        return THIS_CLOTH, same
    return (ANOTHER_CLOTH, tucked) if tucked else (NO_SAMPLE, [])


def _ranged(extra: Fraction, se: int, basis: str, samples: int, tucks: int) -> TakeUp:
    middle = even_extra(extra)
    reach = half_up(t90_millionths(samples + 3) * se, 1_000_000)
    return TakeUp(middle, se, middle - reach, middle + reach, basis, samples, tucks)


def root(square: Fraction | int) -> int:
    """The square root of a number that is not negative, to the nearest whole number."""
    value = Fraction(square)
    return (isqrt(4 * value.numerator // value.denominator) + 1) // 2


def draw_in(readings: Sequence[Reading]) -> Fraction:
    """finished / flat along the seams of the other direction: how much sewing them draws the cloth in.

    Only readings without tucks in the direction measured tell; where both directions are tucked the drawing
    in is part of that direction's e. 1 until sampled. Samples of this cloth are used alone if there are any.
    """
    plain = [reading for reading in readings if reading.tucks == 0]
    used = [reading for reading in plain if reading.same_cloth] or plain
    if not used:
        return Fraction(1)
    return Fraction(sum(r.finished for r in used), sum(r.flat for r in used))


def check_reading(
    flat: int, finished: int, tucks: int, depths_sum: int, system: System = System.METRIC
) -> Reading:
    """The reading, or SampleError naming the field where the figures can't belong to one sample.

    A tuck may add up to 3 mm to twice its depth by itself, or lose up to half of it (starting values); a
    direction without tucks may draw in by half or stretch by a twentieth.
    """
    _positive(flat, "flat", "Measure the cloth before sewing.", system)
    _positive(finished, "finished", "Measure from the same two points once sewn and pressed.", system)
    if tucks < 0 or depths_sum < 0 or (tucks > 0) != (depths_sum > 0):
        raise SampleError(
            f"{tucks} tucks can't be right.",
            field="tucks",
            given=str(tucks),
            expected="how many tucks lie between the two points measured",
            remedy="Count the tucks between the two points measured.",
        )
    least, most = _possible(flat, tucks, depths_sum)
    if finished < least:
        raise _impossible(finished, "smaller", "at least", least, flat, system)
    if finished > most:
        raise _impossible(finished, "larger", "at most", most, flat, system)
    return Reading(flat, finished, tucks, depths_sum)


def _possible(flat: int, tucks: int, depths_sum: int) -> tuple[int, int]:
    """The smallest and largest finished extent that `flat` can give."""
    if not tucks:
        return flat // 2, flat + flat // 20
    return max(1, flat - depths_sum - tucks * ADDED_AT_MOST), flat - depths_sum // 2


def _positive(nm: int, field: str, remedy: str, system: System) -> None:
    if nm <= 0:
        given = rounded(nm, Rounding.MARK, system)
        raise SampleError(
            f"The {field} size is {given}; it must be more than nothing.",
            field=field,
            given=given,
            expected="more than 0",
            remedy=remedy,
        )


def _impossible(finished: int, how: str, limit: str, bound: int, flat: int, system: System) -> SampleError:
    given, start, allowed = (rounded(nm, Rounding.MARK, system) for nm in (finished, flat, bound))
    return SampleError(
        f"{given} finished is {how} than {start} of flat cloth can give with these tucks.",
        field="finished",
        given=given,
        expected=f"{limit} {allowed}",
        remedy=f"It should be {limit} {allowed}: measure again, and check the flat size and the depths.",
    )
