"""Time: budgets, ranges, pace, learning, and minutes as people type them."""

from __future__ import annotations

import doctest
from decimal import Decimal
from fractions import Fraction
from math import exp
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc import labour, minutes
from projects.calc.labour import (
    DRIVERS,
    STAGES,
    STARTING_RATES,
    STARTING_SETUP,
    TimeError,
    budget,
    estimate,
    format_minutes,
    learning,
    lines,
    machine_minutes,
    metres,
    pace,
    parse_minutes,
    range80,
    total_minutes,
)
from projects.calc.lengths import parse

seeded = settings(derandomize=True, max_examples=200, deadline=None)
WORK = {
    "panels": 2,
    "tucks": 72,
    "metres_sewn": Decimal("61.2"),
    "metres_pressed": Decimal("61.2"),
    "checks": 7,
}


def test_examples_in_the_docstrings() -> None:
    for module in (labour, minutes):
        result = doctest.testmod(module)
        assert result.attempted and not result.failed


# -- worked examples -----------------------------------------------------------------------------------------


def test_machine_minutes() -> None:
    """50 in at 10 stitches an inch and 2,000 a minute: 15 s. Source: an industrial engineering text."""
    assert machine_minutes(parse("50", "in").nm, 10, 2_000) * 60 == 15
    assert machine_minutes(parse("25.4", "cm").nm, Decimal("12.5"), 1_000) == Fraction(125, 1_000)
    with pytest.raises(ValueError, match="above 0"):
        machine_minutes(1, 10, 0)


@pytest.mark.parametrize(("n", "hours"), [(1, "10"), (2, "8"), (4, "6.4"), (8, "5.12")])
def test_learning(n: int, hours: str) -> None:
    """First 10 h, rate 0.8: 8, 6.4, 5.12 h for the 2nd, 4th, 8th. Source: the unit model."""
    assert learning(Decimal(10), Decimal("0.8"), n) == Decimal(hours)


def test_no_learning_until_logs_show_it() -> None:
    assert learning(Decimal(10), Decimal(1), 50) == 10
    assert learning(Decimal(10), Decimal("0.8"), 3) < 8
    for rate, n in (("0", 2), ("1.1", 2), ("0.8", 0)):
        with pytest.raises(ValueError, match="Learning needs"):
            learning(Decimal(10), Decimal(rate), n)


# -- budgets -------------------------------------------------------------------------------------------------


def test_every_driver_has_a_stage_and_a_starting_rate() -> None:
    stages = [stage for stage, _ in STAGES]
    assert set(STARTING_SETUP) == set(stages)
    assert {driver.stage for driver in DRIVERS.values()} == set(stages)
    assert set(STARTING_RATES) == set(DRIVERS)
    assert all(rate > 0 for rate in STARTING_RATES.values())


def test_a_budget_adds_up_in_working_order() -> None:
    plan = budget(WORK)
    by_stage = plan.by_stage()
    assert list(by_stage) == ["cut", "texture", "press"]
    assert by_stage["cut"] == 15 + 2 * 8
    assert by_stage["texture"] == 15 + Decimal("61.2") * Decimal("2.5") + 72 * Decimal("1.5") + 7 * Decimal(
        "1.5"
    )
    assert by_stage["press"] == 10 + Decimal("61.2")
    assert sum(by_stage.values()) == plan.minutes == estimate(WORK)
    assert plan.low < plan.minutes < plan.high
    assert plan.starting


def test_own_rates_replace_starting_values_line_by_line() -> None:
    own = lines(WORK, {"tucks": Decimal(1)}, {"texture": Decimal(0)})
    starting = {(line.stage, line.key): line.starting for line in own}
    assert not starting["texture", "tucks"] and not starting["texture", "setup"]
    assert starting["texture", "checks"] and starting["cut", "setup"]
    assert estimate(WORK) - sum(line.minutes for line in own) == 15 + 72 * Decimal("0.5")
    assert not budget({"panels": 1}, {"panels": Decimal(5)}, {"cut": Decimal(5)}).starting


def test_nothing_to_do_takes_no_time() -> None:
    plan = budget({})
    assert (plan.lines, plan.minutes, plan.low, plan.high, plan.starting) == ((), 0, 0, 0, False)
    assert lines({"tucks": 0}) == ()


@pytest.mark.parametrize(
    ("quantities", "rates", "setup", "says"),
    [
        ({"tuks": 1}, {}, {}, "“tuks” is no known quantity"),
        ({}, {"tuks": Decimal(1)}, {}, "“tuks” is no known rate"),
        ({}, {}, {"sewing": Decimal(1)}, "“sewing” is no known set-up"),
        ({"tucks": -1}, {}, {}, "“tucks” is -1"),
        ({}, {"tucks": Decimal(-1)}, {}, "“tucks” is -1"),
    ],
)
def test_unknown_or_negative_figures_are_refused(
    quantities: dict[str, int], rates: dict[str, Decimal], setup: dict[str, Decimal], says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        estimate(quantities, rates, setup)


def test_metres_and_whole_minutes() -> None:
    assert metres(2_340_000_000) == Decimal("2.34")
    assert total_minutes([Decimal("1.2"), Decimal("1.3")]) == 3
    assert total_minutes([Decimal("1.2"), Decimal("1.2")]) == 2


# -- the range -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "steps",
    [[60], [300, 20], [100] * 9, [15, 31, 276, 71, 20, 120, 45], [10] * 150, [400, *[12] * 60]],
)
def test_the_range_holds_the_truth_in_eight_of_ten(steps: list[int]) -> None:
    """Projects drawn one by one, step by step, by another generator."""
    reach = range80(steps)
    rng = Random(99)
    below = above = 0
    for _ in range(4_000):
        shared = rng.gauss(0, 0.3)
        actual = sum(step * exp(shared + rng.gauss(0, 0.3)) for step in steps)
        below += actual < reach.low
        above += actual > reach.high
    assert 0.08 < below / 4_000 < 0.12
    assert 0.08 < above / 4_000 < 0.12


def test_the_range_of_one_step_is_the_lognormal_one() -> None:
    """sd sqrt(0.3^2 + 0.3^2) = 0.424, quantile 1.2816: 1,000 min lie between 581 and 1,722."""
    reach = range80([1_000])
    assert abs(reach.low - 581) <= 12
    assert abs(reach.middle - 1_000) <= 20
    assert abs(reach.high - 1_722) <= 35


def test_the_shared_part_keeps_a_long_project_wide() -> None:
    reach = range80([10] * 500)
    assert reach.high / reach.low > Decimal("2.1")
    assert range80([10] * 500, shared_sd=0.0).high / range80([10] * 500, shared_sd=0.0).low < Decimal("1.1")


@given(steps=st.lists(st.integers(0, 600), max_size=30), seed=st.integers(0, 99))
@settings(seeded, max_examples=40)
def test_the_range_is_the_same_for_the_same_steps_in_any_order(steps: list[int], seed: int) -> None:
    shuffled = steps[:]
    Random(seed).shuffle(shuffled)
    reach = range80(steps)
    assert range80(shuffled) == reach
    assert reach.low <= reach.middle <= reach.high


# -- pace ----------------------------------------------------------------------------------------------------


def test_pace() -> None:
    assert pace(0, 0) == 1
    assert pace(180, 60) == 2
    assert pace(60, 180) == Decimal("0.5")
    assert pace(20, 10) < Decimal("1.2")


# -- minutes typed -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("40 min", 40),
        ("40min", 40),
        ("40 m", 40),
        ("40 minutes", 40),
        ("40", 40),
        (" 90 ", 90),
        ("1 min.", 1),
        ("1h20", 80),
        ("1 h 20", 80),
        ("1h20m", 80),
        ("1 h 20 min", 80),
        ("1 hour 20 minutes", 80),
        ("1 hour and 20 min", 80),
        ("1:20", 80),
        ("1:20 h", 80),
        ("01:05", 65),
        ("0:40", 40),
        ("24:00", 1440),
        ("1.5 h", 90),
        ("1,5 h", 90),
        ("1.5h", 90),
        (".5 h", 30),
        ("½ h", 30),
        ("1½ h", 90),
        ("1 1/2 hours", 90),
        ("2 hrs", 120),
        ("2 H", 120),
        ("1h05", 65),
        ("1h5", 65),
        ("1.33 h", 80),
        ("12.5 min", 13),
        ("１ｈ２０", 80),
        ("1,5 h", 90),
        ("1,5", 90),
        ("1.5", 90),
        ("0,25", 15),
        ("90", 90),
    ],
)
def test_reads_time_as_people_type_it(text: str, expected: int) -> None:
    assert parse_minutes(text) == expected


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "No time was typed"),
        ("  ", "No time was typed"),
        ("0", "“0” is less than a minute"),
        ("0:00", "less than a minute"),
        ("0 h", "less than a minute"),
        ("0.3 min", "less than a minute"),
        ("-20", "“-20” is less than nothing"),
        ("−1 h", "less than nothing"),
        ("24:01", "longer than 24 h"),
        ("25 h", "Type at most 24 h"),
        ("1441", "longer than 24 h"),
        ("999999999 h", "longer than 24 h"),
        ("1:75", "can't be read"),
        ("1h75", "can't be read"),
        ("1.500", "can't be read"),
        ("1,500", "can't be read"),
        ("30,5", "“30,5” is longer than 24 h"),
        ("1,500 min", "can't be read"),
        ("soon", "“soon” can't be read as a time"),
        ("1/0 h", "can't be read"),
        ("1:2", "can't be read"),
        ("1 2", "can't be read"),
        ("h", "can't be read"),
        ("1e3", "can't be read"),
        ("nan", "can't be read"),
        ("1:20:30", "can't be read"),
        ("20 min 1 h", "can't be read"),
        ("9" * 10_000, "can't be read"),
    ],
)
def test_says_what_is_wrong_with_a_time(text: str, says: str) -> None:
    with pytest.raises(TimeError) as raised:
        parse_minutes(text)
    assert says in str(raised.value)
    assert len(raised.value.given) <= 40
    assert raised.value.remedy in str(raised.value) and raised.value.expected


def test_the_most_may_be_set() -> None:
    assert parse_minutes("30 h", most=3_000) == 1_800
    with pytest.raises(TimeError, match="longer than 2 h"):
        parse_minutes("2:01", most=120)


@given(count=st.integers(1, 24 * 60))
@settings(seeded, max_examples=1_440)
def test_time_written_reads_back(count: int) -> None:
    assert parse_minutes(format_minutes(count)) == count


@pytest.mark.parametrize(
    ("count", "text"),
    [(0, "0 min"), (40, "40 min"), (60, "1 h"), (80, "1 h 20 min"), (1_260, "21 h"), (-80, "−1 h 20 min")],
)
def test_time_is_written_plainly(count: int, text: str) -> None:
    assert format_minutes(count) == text


@given(text=st.text(max_size=60) | st.text("0123456789.,:/- hmin½", max_size=12))
@settings(seeded, max_examples=1_000)
def test_any_text_is_read_as_time_or_refused_in_words(text: str) -> None:
    try:
        assert 1 <= parse_minutes(text) <= 24 * 60
    except TimeError as error:
        assert error.remedy in str(error)


def test_set_up_minutes_may_stand_among_the_rates() -> None:
    rates = {"setup.texture": Decimal(7), "tucks": Decimal(3)}
    found = {line.key: line for line in lines({"tucks": 2}, rates)}
    assert found["setup"].minutes == 7 and found["tucks"].minutes == 6
    assert not found["setup"].starting
