"""What is left of a project: by hand, by simulation apart from the program's code, and by properties."""

from __future__ import annotations

from decimal import Decimal
from math import exp, log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.forecast import Done, Left, forecast, left_by_group
from projects.calc.learned import Factor, Learned, Parts
from tests.strategies import FIXED

SURE = Factor(0.0, 0.0, 50, ("tucks", "tucks", 1))


def parts(minutes: float, factor: Factor = SURE) -> Parts:
    return ((Decimal(str(minutes)), factor),)


def done(planned: float, minutes: float) -> Done:
    return Done((parts(planned),), Decimal(str(minutes)))


def test_nothing_done_is_the_plain_range() -> None:
    found = forecast([], [Left(parts(1_000))], spent=Decimal(0))
    assert abs(found.left.middle - 1_000) <= 20 and abs(found.left.high - 1_722) <= 35
    assert found.in_all == found.left and found.pace == 1
    assert found.planned_left == 1_000 and found.planned_done == 0
    assert found.own_sd == pytest.approx(0.424, abs=0.02) and found.common_sd == 0


def test_one_group_is_the_whole_and_every_group_has_the_pace_of_all() -> None:
    finished = [done(100, 200)] * 4
    left = [Left(parts(100)), Left(parts(60), Decimal("0.5"), Decimal(50)), Left(parts(300))]
    whole = forecast(finished, left, spent=Decimal(800)).left
    assert left_by_group(finished, [left]) == (whole,)
    first, none, rest = left_by_group(finished, [left[:2], [], left[2:]])
    assert none.middle == none.high == 0
    assert first.low + rest.low < whole.low and first.high + rest.high > whole.high
    assert float(first.middle + rest.middle) == pytest.approx(float(whole.middle), rel=0.03)
    alone = forecast(finished, left[2:], spent=Decimal(800)).left
    assert rest != alone, "the step that was begun tells of the others too"


def test_finished_steps_move_what_is_left() -> None:
    """Four steps twice as slow: the shared part is ln 2 x 0.09 / (0.09 + 0.09 / 4) = 0.8 ln 2."""
    found = forecast([done(100, 200)] * 4, [Left(parts(100))] * 4, spent=Decimal(830))
    assert float(found.left.middle) == pytest.approx(400 * 2**0.8 * exp(0.0225 / 2), rel=0.05)
    assert found.in_all.middle == 830 + found.left.middle
    assert found.pace == (60 + Decimal(830)) / (60 + 400)
    plain = forecast([], [Left(parts(100))] * 4, spent=Decimal(0))
    assert found.left.high / found.left.low < plain.left.high / plain.left.low


def test_steps_logged_together_tell_more_than_one_large_step() -> None:
    together = Done(tuple(parts(50) for _ in range(8)), Decimal(800))
    one = forecast([done(400, 800)], [Left(parts(400))], spent=Decimal(800))
    many = forecast([together], [Left(parts(400))], spent=Decimal(800))
    assert many.left.middle > one.left.middle


def test_a_step_in_hand_goes_on_at_its_own_pace_the_more_of_it_is_done() -> None:
    middles = []
    for share in ("0.05", "0.5", "0.9"):
        left = Left(parts(1_000), Decimal(share), 2_000 * Decimal(share))
        found = forecast([], [left], spent=left.minutes)
        rest = 1_000 * (1 - float(left.share_done))
        middles.append(float(found.left.middle) / rest)
    assert 1.0 < middles[0] < middles[1] < middles[2] < 2.0
    assert middles[2] > 1.85


def test_nothing_left_is_what_was_spent() -> None:
    found = forecast([done(100, 120)], [], spent=Decimal(130))
    assert found.left.high == 0 and found.in_all.low == found.in_all.high == 130
    assert (found.own_sd, found.common_sd) == (0, 0)
    empty = forecast([], [], spent=Decimal(0))
    assert empty.pace == 1 and empty.in_all.high == 0


def test_what_takes_no_time_is_let_be() -> None:
    found = forecast([done(0, 30), done(30, 0)], [Left(parts(0)), Left(())], spent=Decimal(30))
    assert found.left.high == 0


def test_rates_not_well_known_are_common_to_all_projects() -> None:
    unsure = Factor(0.3, 0.1, 2, ("tucks", "tucks", 1))
    found = forecast([], [Left(parts(1_000, unsure))], spent=Decimal(0))
    assert float(found.left.middle) == pytest.approx(1_000 * exp(0.3), rel=0.03)
    assert found.common_sd > 0.1
    spread = log(found.left.high / found.left.low) / 2 / 1.2816
    assert found.own_sd**2 + found.common_sd**2 == pytest.approx(spread**2)


@pytest.mark.parametrize("begun", [0.0, 0.5])
def test_the_range_holds_in_eight_of_ten_projects(begun: float) -> None:
    """Projects worked step by step by another generator; four steps are done, five to come."""
    rng = Random(11)
    below = above = 0
    for _ in range(400):
        shared = rng.gauss(0, 0.3)
        own = [rng.gauss(0, 0.3) for _ in range(9)]
        took = [100 * exp(shared + part) for part in own]
        first = took[4] * begun * exp(rng.gauss(0, 0.15) if begun else 0)
        left = [Left(parts(100), Decimal(str(begun)), Decimal(str(first))), *[Left(parts(100))] * 4]
        found = forecast([done(100, m) for m in took[:4]], left, spent=Decimal(0))
        truth = sum(took[4:]) - begun * took[4]
        below += truth < found.left.low
        above += truth > found.left.high
    assert 0.05 < below / 400 < 0.15
    assert 0.05 < above / 400 < 0.15


works = st.lists(st.tuples(st.integers(5, 300), st.integers(5, 600)), max_size=5)


@given(worked=works, left=st.lists(st.integers(1, 300), min_size=1, max_size=8), at=st.integers(0, 4))
@settings(FIXED, max_examples=40)
def test_slower_finished_steps_never_leave_less(
    worked: list[tuple[int, int]], left: list[int], at: int
) -> None:
    to_come = [Left(parts(minutes)) for minutes in left]
    before = forecast([done(*pair) for pair in worked], to_come, spent=Decimal(0))
    slower = [(p, m * 2) if i == at else (p, m) for i, (p, m) in enumerate(worked)]
    after = forecast([done(*pair) for pair in slower], to_come, spent=Decimal(0))
    assert after.left.middle >= before.left.middle
    assert before.left.low <= before.left.middle <= before.left.high


@given(worked=works, left=st.lists(st.integers(1, 300), max_size=6), seed=st.integers(0, 99))
@settings(FIXED, max_examples=40)
def test_the_order_of_steps_does_not_matter(
    worked: list[tuple[int, int]], left: list[int], seed: int
) -> None:
    rng = Random(seed)
    one = forecast([done(*p) for p in worked], [Left(parts(m)) for m in left], spent=Decimal(9))
    rng.shuffle(worked)
    rng.shuffle(left)
    other = forecast([done(*p) for p in worked], [Left(parts(m)) for m in left], spent=Decimal(9))
    for name in ("low", "middle", "high"):
        assert abs(getattr(one.left, name) - getattr(other.left, name)) <= 1
    assert one.planned_left == other.planned_left


def test_learned_spreads_are_used() -> None:
    left = [Left(parts(500))]
    calm = forecast([], left, spent=Decimal(0), learned=Learned({}, 0.1, 0.1)).left
    wild = forecast([], left, spent=Decimal(0), learned=Learned({}, 0.5, 0.5)).left
    assert calm.high / calm.low < Decimal("1.5") < Decimal(5) < wild.high / wild.low
