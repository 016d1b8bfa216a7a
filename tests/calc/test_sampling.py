"""Samples: take-up, how sure it is, readings that can't be, and the sample to make."""

from __future__ import annotations

from fractions import Fraction
from math import exp as e_to
from math import lgamma, log, pi
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.axis import take_up_of
from projects.calc.direction import Direction
from projects.calc.folds import Tuck
from projects.calc.lengths import NM_PER_MM, System, parse
from projects.calc.recipe import Recipe
from projects.calc.sampling import (
    Reading,
    SampleError,
    check_reading,
    draw_in,
    even_extra,
    root,
    sample_to_make,
    t90_millionths,
    take_up,
)
from projects.calc.shrinkage import buy_for

MM = NM_PER_MM
seeded = settings(derandomize=True, max_examples=200, deadline=None)


def reading(tucks: int, added: float, depth: int = 4 * MM, same: bool = True) -> Reading:
    """A sample whose every tuck added `added` mm to twice its depth."""
    flat = 1_000 * MM
    return Reading(flat, flat - tucks * (2 * depth + round(added * MM)), tucks, tucks * 2 * depth, same)


readings = st.builds(
    reading, tucks=st.integers(1, 40), added=st.floats(-1, 2), depth=st.integers(1 * MM, 10 * MM)
)


# -- worked examples -----------------------------------------------------------------------------------------


def test_four_tucks_of_an_eighth_need_an_inch() -> None:
    """Depths 1/8 in, four of them: 1 in. Source: a home sewing text."""
    depths = [parse(text, "in").nm for text in ("1/8", "1/8", "1/8", "1/8")]
    assert sum(take_up_of(depth, 0) for depth in depths) == parse("1", "in").nm


def test_three_metres_that_lose_five_in_a_hundred() -> None:
    """Need 3 m, shrinkage 0.05: buy 3.157895 m. Source: need / (1 - s)."""
    from decimal import Decimal

    assert buy_for(3_000 * MM, Decimal("0.05")) == 3_157_894_737


# -- Student's t ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("freedom", "published"),
    [
        (1, 3.078),
        (2, 1.886),
        (3, 1.638),
        (4, 1.533),
        (5, 1.476),
        (6, 1.440),
        (7, 1.415),
        (8, 1.397),
        (9, 1.383),
        (10, 1.372),
        (12, 1.356),
        (15, 1.341),
        (20, 1.325),
        (25, 1.316),
        (30, 1.310),
        (40, 1.303),
        (60, 1.296),
        (120, 1.289),
        (10**9, 1.282),
    ],
)
def test_t_agrees_with_published_tables(freedom: int, published: float) -> None:
    """The 0.90 column of any printed table of Student's t."""
    assert round(t90_millionths(freedom) / 1e6, 3) == published


def share_below(x: float, freedom: int) -> float:
    """The distribution by Simpson's rule."""
    front = e_to(lgamma((freedom + 1) / 2) - lgamma(freedom / 2) - 0.5 * log(freedom * pi))

    def density(at: float) -> float:
        return front * (1 + at * at / freedom) ** (-(freedom + 1) / 2)

    steps = 400
    width = x / steps
    weights = (1 if i in (0, steps) else 4 if i % 2 else 2 for i in range(steps + 1))
    return 0.5 + width / 3 * sum(w * density(i * width) for i, w in enumerate(weights))


@pytest.mark.parametrize("freedom", [*range(1, 41), 75, 200, 1_000])
def test_t_agrees_with_integration(freedom: int) -> None:
    assert abs(share_below(t90_millionths(freedom) / 1e6, freedom) - 0.9) < 1e-6


def test_t_falls_to_the_normal_limit() -> None:
    values = [t90_millionths(freedom) for freedom in range(1, 300)]
    assert values == sorted(values, reverse=True)
    assert t90_millionths(10**9) == 1_281_552
    with pytest.raises(ValueError, match="at least 1 degree"):
        t90_millionths(0)


# -- take-up -------------------------------------------------------------------------------------------------


def test_without_a_sample() -> None:
    known = take_up([])
    assert (known.extra, known.se, known.basis, known.samples, known.tucks) == (0, 300_000, "none", 0, 0)
    assert (known.low, known.high) == (-491_323, 491_323)  # 1.637744 x 0.3 mm


def test_one_sample_of_this_cloth() -> None:
    """v = 4 x 0.8^2 / 4 = 0.64; se^2 = 0.64 / 12 + 0.15^2 = 0.0758333; t(0.9; 4) = 1.533206."""
    known = take_up([Reading(300 * MM, 200 * MM, 12, 96 * MM)])
    assert known.extra == 333_334  # 4 mm over 12 tucks, even
    assert known.se == 275_379
    assert known.high - known.extra == known.extra - known.low == 422_213
    assert (known.basis, known.samples, known.tucks) == ("this cloth", 1, 12)


def test_two_samples_that_disagree() -> None:
    """e 0.2 and 0.5 over 12 and 24 tucks: e = 0.4; scatter 12 x 0.04 + 24 x 0.01 = 0.72;
    v = (2.56 + 0.72) / 5 = 0.656; se^2 = 0.656 / 36 + 0.0225 / 2 = 0.02947222."""
    known = take_up([reading(12, 0.2), reading(24, 0.5)])
    assert (known.extra, known.se) == (400_000, 171_675)


def test_another_cloth_is_less_sure_and_gives_way_to_this_one() -> None:
    """se^2 = 0.0758333 + 0.2^2 = 0.1158333."""
    other = reading(12, 1.0, same=False)
    known = take_up([other])
    assert (known.extra, known.se, known.basis) == (1_000_000, 340_343, "another cloth")
    assert take_up([other, reading(12, 0.2)]) == take_up([reading(12, 0.2)])


def test_a_plain_reading_says_nothing_of_take_up() -> None:
    plain = Reading(200 * MM, 196 * MM, 0, 0)
    assert take_up([plain]) == take_up([])
    assert take_up([plain, reading(12, 0.2)]) == take_up([reading(12, 0.2)])


@given(found=st.lists(readings, min_size=1, max_size=8), seed=st.integers(0, 10_000))
@seeded
def test_the_order_of_samples_does_not_matter(found: list[Reading], seed: int) -> None:
    shuffled = found[:]
    Random(seed).shuffle(shuffled)
    assert take_up(shuffled) == take_up(found)


@given(found=st.lists(readings, min_size=1, max_size=6), tucks=st.integers(12, 40))
@seeded
def test_a_sample_that_agrees_narrows_the_range(found: list[Reading], tucks: int) -> None:
    before = take_up(found)
    exact = Fraction(sum(r.added for r in found), sum(r.tucks for r in found))
    agreeing = Reading(1_000 * MM, 1_000 * MM - tucks * 8 * MM - round(tucks * exact), tucks, tucks * 8 * MM)
    after = take_up([*found, agreeing])
    assert after.se < before.se
    assert after.high - after.low < before.high - before.low
    assert abs(after.extra - before.extra) <= 2


@given(found=st.lists(readings, min_size=1, max_size=6))
@seeded
def test_take_up_keeps_folds_whole(found: list[Reading]) -> None:
    known = take_up(found)
    assert known.extra % 2 == 0
    exact = Fraction(sum(r.added for r in found), sum(r.tucks for r in found))
    assert abs(known.extra - exact) <= 1
    assert known.low < known.extra < known.high
    assert known.extra - known.low == known.high - known.extra


@pytest.mark.parametrize("samples", [1, 2, 4])
def test_the_range_holds_the_truth_in_about_eight_of_ten(samples: int) -> None:
    """Cloths drawn from the model behind the formula: the spread of a cloth's take-ups is itself unknown,
    worth four degrees of freedom about 2 s; each sample's e varies by 0.15 mm more."""
    rng = Random(7)
    held = 0
    for _ in range(1_500):
        spread = 2 * 0.8 / sum(rng.gauss(0, 1) ** 2 for _ in range(4)) ** 0.5
        truth = rng.gauss(0.1, 0.3)
        found = [
            reading(12, truth + rng.gauss(0, 0.15) + rng.gauss(0, spread / 12**0.5)) for _ in range(samples)
        ]
        known = take_up(found)
        held += known.low <= truth * MM <= known.high
    assert 0.76 <= held / 1_500 <= 0.87


@given(value=st.fractions(-(10**9), 10**9))
@seeded
def test_even_extra_is_the_nearest_even_number(value: Fraction) -> None:
    assert even_extra(value) % 2 == 0
    assert abs(even_extra(value) - value) <= 1


@given(value=st.integers(0, 10**18))
@seeded
def test_root_is_the_nearest_whole_number(value: int) -> None:
    found = root(value)
    assert (2 * found - 1) ** 2 <= 4 * value or found == 0
    assert 4 * value < (2 * found + 1) ** 2


# -- draw-in and readings ------------------------------------------------------------------------------------


def test_draw_in_is_one_until_sampled() -> None:
    assert draw_in([]) == 1
    assert draw_in([reading(12, 0.2)]) == 1


def test_draw_in_pools_plain_readings_of_this_cloth_first() -> None:
    this = [Reading(200 * MM, 196 * MM, 0, 0), Reading(300 * MM, 297 * MM, 0, 0)]
    other = Reading(200 * MM, 180 * MM, 0, 0, same_cloth=False)
    assert draw_in([*this, other]) == Fraction(493, 500)
    assert draw_in([other]) == Fraction(9, 10)


def test_a_good_reading_is_kept_as_it_is() -> None:
    assert check_reading(300 * MM, 200 * MM, 12, 96 * MM) == Reading(300 * MM, 200 * MM, 12, 96 * MM)
    assert check_reading(200 * MM, 196 * MM, 0, 0).tucks == 0


@pytest.mark.parametrize(
    ("flat", "finished", "tucks", "depths", "field", "says"),
    [
        (300, 160, 12, 96, "finished", "160.0 mm finished is smaller than 300.0 mm of flat cloth can give"),
        (300, 160, 12, 96, "finished", "It should be at least 168.0 mm"),
        (300, 290, 12, 96, "finished", "290.0 mm finished is larger than 300.0 mm"),
        (300, 310, 12, 96, "finished", "at most 252.0 mm"),
        (300, 0, 12, 96, "finished", "The finished size is 0.0 mm"),
        (0, 100, 12, 96, "flat", "The flat size is 0.0 mm"),
        (-5, 100, 12, 96, "flat", "must be more than nothing"),
        (300, 200, 0, 96, "tucks", "0 tucks can't be right"),
        (300, 200, -1, 96, "tucks", "-1 tucks"),
        (300, 200, 12, 0, "tucks", "12 tucks"),
        (200, 90, 0, 0, "finished", "smaller"),
        (200, 220, 0, 0, "finished", "larger"),
    ],
)
def test_a_reading_that_can_not_be(
    flat: int, finished: int, tucks: int, depths: int, field: str, says: str
) -> None:
    with pytest.raises(SampleError) as raised:
        check_reading(flat * MM, finished * MM, tucks, depths * MM)
    assert raised.value.field == field
    assert says in str(raised.value)


def test_a_reading_is_refused_in_the_units_of_the_studio() -> None:
    with pytest.raises(SampleError, match="12 in of flat cloth"):
        check_reading(12 * 25_400_000, 11 * 25_400_000, 24, 6 * 25_400_000, System.INCH)


# -- the sample to make --------------------------------------------------------------------------------------

GRADUATED = Direction(
    tucks=tuple(Tuck(s * MM, d * MM) for s, d in zip((18, 12, 12, 12), (4, 7, 10, 7), strict=True))
)


def test_the_sample_of_the_worked_recipe() -> None:
    """Repeat 54 mm finished, 110 mm flat, three repeats take up 168 mm. Source: arithmetic."""
    advice = sample_to_make(Recipe(GRADUATED, GRADUATED))
    assert (advice.across.repeats, advice.across.tucks) == (3, 12)
    assert (advice.across.finished, advice.across.flat) == (162 * MM, 330 * MM)
    assert advice.across.flat - advice.across.finished == 168 * MM
    assert advice.across.cut == 380 * MM
    assert advice.along == advice.across
    assert advice.tucks == 24
    assert advice.minutes == 15 + 20 + 24 * 4
    assert "both directions" in advice.why


def test_the_swatch_is_counted_in_what_to_buy() -> None:
    recipe = Recipe(GRADUATED, GRADUATED)
    assert sample_to_make(recipe).buy == (380 + 300) * MM
    assert sample_to_make(recipe, usable_width=1_400 * MM).buy == 380 * MM
    assert sample_to_make(recipe, usable_width=600 * MM).buy == 680 * MM


def test_at_least_two_repeats_and_what_is_known_of_the_cloth() -> None:
    many = Direction(tucks=tuple(Tuck(10 * MM, 3 * MM) for _ in range(20)))
    advice = sample_to_make(Recipe(many, None), (200_000, 0))
    assert (advice.across.repeats, advice.across.tucks, advice.along.tucks) == (2, 40, 0)
    assert advice.across.flat == 2 * 20 * (10 * MM + 6 * MM + 200_000)
    assert advice.along.finished == advice.along.flat == 200 * MM
    assert "both directions" not in advice.why


def test_pleats_count_one_by_one() -> None:
    knife = Direction(technique="knife", width=50 * MM, depth=40 * MM)
    advice = sample_to_make(Recipe(knife, None))
    assert (advice.across.repeats, advice.across.tucks) == (12, 12)
    assert (advice.across.finished, advice.across.flat) == (600 * MM, 1_560 * MM)
