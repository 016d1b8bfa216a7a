"""What samples say of a ratio: figures worked by hand, and a simulation of the model behind them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import exp, log, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.ratio_samples import (
    RatioReading,
    check_ratio_reading,
    larger_by,
    ratio_up,
)
from projects.calc.sample_basis import SampleError
from tests.strategies import FIXED, MM, lengths

T3, T4, T5 = 1.637744, 1.533206, 1.475884
FOUR = Fraction(4)


def reading(ratio: float, units: int = 12, planned: Fraction = FOUR, same: bool = True) -> RatioReading:
    return RatioReading(round(ratio * 100 * MM), 100 * MM, planned, units, same)


def test_without_a_sample_a_ratio_is_a_starting_value() -> None:
    """x e^(+/- 1.637744 x 0.10)."""
    up = ratio_up([], FOUR)
    assert (up.ratio, up.se, up.basis, up.samples, up.units) == (FOUR, Decimal("0.1"), "none", 0, 0)
    assert float(up.low) == pytest.approx(4 * exp(-0.1637744), abs=1e-6)
    assert float(up.high) == pytest.approx(4 * exp(0.1637744), abs=1e-6)


@pytest.mark.parametrize(
    ("planned", "spread"),
    [("1", 0.02), ("1.01", 0.02), ("1.03", log(1.03)), ("1.08", log(1.08)), ("1.2", 0.1), ("4", 0.1)],
)
def test_what_hardly_draws_in_can_not_be_far_off(planned: str, spread: float) -> None:
    """s = ln(planned), from 0.02 to 0.10; and nothing below 1, since cloth does not stretch."""
    up = ratio_up([], Fraction(planned))
    assert float(up.se) == pytest.approx(spread, abs=1e-6)
    assert float(up.low) == pytest.approx(max(1, float(planned) * exp(-T3 * spread)), abs=1e-5)
    assert float(up.high) == pytest.approx(float(planned) * exp(T3 * spread), abs=1e-5)


@pytest.mark.parametrize("planned", ["1", "1.03", "1.06", "2.5"])
@pytest.mark.parametrize("same", [True, False])
def test_a_sample_is_never_less_sure_than_none(planned: str, same: bool) -> None:
    ratio = Fraction(planned)
    measured = RatioReading(ratio.numerator * MM, ratio.denominator * MM, ratio, 12, same)
    assert ratio_up([measured], ratio).se < ratio_up([], ratio).se


def test_no_sample_makes_more_cloth_than_there_was() -> None:
    """1.03 was sewn and drew in nothing: a recipe planned at 1.01 stays at 1, not 0.98."""
    kept = RatioReading(300 * MM, 300 * MM, Fraction(103, 100), 20)
    up = ratio_up([kept], Fraction(101, 100))
    assert (up.ratio, up.low) == (1, 1)
    assert up.high > 1


def test_one_sample_of_this_cloth() -> None:
    """v = 4 x 0.01 / 4 = 0.01; se^2 = 0.01 / 12 + 0.0004 = 0.00123333."""
    up = ratio_up([reading(4.4)], FOUR)
    assert up.ratio == Fraction(44, 10)
    assert float(up.se) == pytest.approx(sqrt(0.01 / 12 + 0.0004), abs=1e-6)
    assert float(up.high) == pytest.approx(4.4 * exp(T4 * sqrt(0.01 / 12 + 0.0004)), abs=1e-5)
    assert (up.basis, up.samples, up.units) == ("this cloth", 1, 12)


def test_two_samples_that_disagree() -> None:
    """f = ln 1.1 over 12 and ln 1.2 over 24 units; v = (0.04 + scatter) / 5."""
    up = ratio_up([reading(4.4, 12), reading(4.8, 24)], FOUR)
    f = (12 * log(1.1) + 24 * log(1.2)) / 36
    scatter = 12 * (log(1.1) - f) ** 2 + 24 * (log(1.2) - f) ** 2
    se = sqrt((0.04 + scatter) / 5 / 36 + 0.0004 / 2)
    assert float(up.ratio) == pytest.approx(4 * exp(f), abs=1e-6)
    assert float(up.se) == pytest.approx(se, abs=1e-6)
    assert float(up.low) == pytest.approx(4 * exp(f - T5 * se), abs=1e-5)


def test_another_cloth_is_less_sure_and_gives_way_to_this_one() -> None:
    other = reading(4.4, same=False)
    up = ratio_up([other], FOUR)
    assert up.basis == "another cloth"
    assert float(up.se) == pytest.approx(sqrt(0.01 / 12 + 0.0004 + 0.0025), abs=1e-6)
    assert ratio_up([other, reading(4.2)], FOUR) == ratio_up([reading(4.2)], FOUR)


def test_what_was_sewn_at_another_ratio_is_carried_over() -> None:
    """Planned 3 and measured 3.3 tells the same of a recipe planned 2: a tenth more."""
    up = ratio_up([reading(3.3, planned=Fraction(3))], Fraction(2))
    assert up.ratio == Fraction(22, 10)


ratios = st.floats(3.2, 5)


@FIXED
@given(st.lists(st.tuples(ratios, st.integers(1, 400)), min_size=1, max_size=6), st.integers(0, 999))
def test_the_order_of_samples_does_not_matter_much_and_the_ratio_is_rounded(
    found: list[tuple[float, int]], seed: int
) -> None:
    samples = [reading(ratio, units) for ratio, units in found]
    shuffled = samples[:]
    Random(seed).shuffle(shuffled)
    one, two = ratio_up(samples, FOUR), ratio_up(shuffled, FOUR)
    assert one == two
    assert 1_000_000 % one.ratio.denominator == 0
    assert one.low < Decimal(one.ratio.numerator) / one.ratio.denominator < one.high
    assert min(r for r, _ in found) - 1e-6 <= float(one.ratio) <= max(r for r, _ in found) + 1e-6


@FIXED
@given(st.lists(st.tuples(ratios, st.integers(1, 400)), min_size=1, max_size=6))
def test_a_sample_that_agrees_narrows_the_range(found: list[tuple[float, int]]) -> None:
    samples = [reading(ratio, units) for ratio, units in found]
    before = ratio_up(samples, FOUR)
    agreeing = RatioReading(10**6 * before.ratio.numerator, 10**6 * before.ratio.denominator, FOUR, 40)
    after = ratio_up([*samples, agreeing], FOUR)
    assert after.se < before.se


@pytest.mark.parametrize("samples", [1, 3])
def test_the_range_holds_the_truth_in_about_eight_of_ten(samples: int) -> None:
    """Cloths drawn from the model: the spread is itself unknown, worth four degrees of freedom about 0.10."""
    rng, held, tries = Random(11), 0, 600
    for _ in range(tries):
        spread = 2 * 0.10 / sum(rng.gauss(0, 1) ** 2 for _ in range(4)) ** 0.5
        truth = rng.gauss(0, 0.1)
        found = [
            reading(4 * exp(truth + rng.gauss(0, 0.02) + rng.gauss(0, spread / 20**0.5)), 20)
            for _ in range(samples)
        ]
        up = ratio_up(found, FOUR)
        held += float(up.low) <= 4 * exp(truth) <= float(up.high)
    assert 0.75 <= held / tries <= 0.88


@FIXED
@given(lengths(MM, 5_000 * MM), st.decimals(0, Decimal("0.3"), places=6))
def test_the_margin_is_what_the_formula_says(length: int, se: Decimal) -> None:
    found = larger_by(length, se, Decimal("2.58"))
    assert abs(found - length * (exp(2.58 * float(se)) - 1)) < 2 + length * 1e-12
    assert larger_by(length, Decimal(0), Decimal("2.58")) == 0


def test_a_good_reading_is_kept_as_it_is() -> None:
    assert check_ratio_reading(420 * MM, 100 * MM, FOUR, 53).units == 53
    assert check_ratio_reading(420 * MM, 100 * MM, FOUR).units == 1


@pytest.mark.parametrize(
    ("flat", "finished", "units", "field"),
    [(0, 100, 12, "flat"), (400, 0, 12, "finished"), (400, 100, -1, "tucks"), (400, 100, 0, "tucks"),
     (400, 40, 12, "finished"), (100, 100, 12, "finished")],
)  # fmt: skip
def test_a_reading_that_can_not_be(flat: int, finished: int, units: int, field: str) -> None:
    with pytest.raises(SampleError) as refused:
        check_ratio_reading(flat * MM, finished * MM, FOUR, units)
    assert refused.value.field == field
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("flat", "finished", "said"),
    [
        (300 * MM, 310 * MM, "31.0 cm finished is larger than the 30.0 cm of flat cloth"),
        (300 * MM, 300 * MM + 1000, "a little larger than the 30.0 cm of flat cloth"),
    ],
)
def test_no_ratio_stretches_cloth(flat: int, finished: int, said: str) -> None:
    with pytest.raises(SampleError) as refused:
        check_ratio_reading(flat, finished, Fraction(103, 100), 20)
    assert refused.value.field == "finished"
    assert said in str(refused.value)
    assert refused.value.expected == "at most 30.0 cm"
    assert "Measure again" in str(refused.value)


def test_what_is_far_off_is_said_in_a_whole_sentence() -> None:
    with pytest.raises(SampleError) as refused:
        check_ratio_reading(600 * MM, 100 * MM, Fraction(286, 100), 12)
    assert str(refused.value) == (
        "This makes 6.00 times as much flat cloth as finished; 2.86 was sewn, so expect 1.43 to 5.72. "
        "Measure again between the same two points."
    )
