"""What the changes between check measures say of a hand."""

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from projects.calc.hand import STARTING_HAND, Hand, learn_hand

TAPE = 300_000


def stretches(bias, spread, count, seed=1, tucks=10):
    chance = Random(seed)
    for _ in range(count):
        change = -2 * sum(chance.gauss(bias, spread) for _ in range(tucks))
        change += sum(chance.gauss(0, TAPE) for _ in range(4))
        yield tucks, round(change)


def test_nothing_seen_is_the_starting_hand():
    assert learn_hand([]) == STARTING_HAND
    assert learn_hand([(0, 5_000_000)]).starting


def test_one_stretch_that_came_out_short_is_a_hand_that_sews_deep():
    """Ten tucks, 6 mm short: 0.3 mm too deep each, shrunk towards none."""
    hand = learn_hand([(10, -6_000_000)])
    assert not hand.starting
    assert hand.tucks == 10
    assert 200_000 < hand.bias < 300_000
    assert hand.bias_sd < STARTING_HAND.bias_sd
    assert learn_hand([(10, 6_000_000)]).bias == -hand.bias


def test_many_stretches_give_bias_and_spread_back():
    for bias, spread in [(300_000, 400_000), (-200_000, 150_000), (0, 700_000)]:
        hand = learn_hand(stretches(bias, spread, 200))
        assert abs(hand.bias - bias) < 50_000
        assert abs(hand.spread - spread) < 60_000
        assert 100_000 <= hand.bias_sd < 120_000


def test_what_is_known_of_other_cloth_is_where_this_cloth_begins():
    prior = Hand(bias=400_000, bias_sd=150_000, spread=300_000, tucks=80, starting=False)
    hand = learn_hand([(10, 0)], prior)
    assert 0 < hand.bias < 400_000
    assert hand.tucks == 90


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(-40_000_000, 40_000_000)), min_size=1, max_size=12))
def test_order_does_not_matter_and_nothing_runs_away(changes):
    hand, turned = learn_hand(changes), learn_hand(changes[::-1])
    assert abs(hand.bias - turned.bias) <= 1
    assert abs(hand.spread - turned.spread) <= 1
    assert hand.spread >= 100_000
    assert 0 < hand.bias_sd <= 300_000
    # The bias lies between none and what the stretches show.
    shown = [-change / (2 * tucks) for tucks, change in changes] + [0]
    assert min(shown) - 1 <= hand.bias <= max(shown) + 1
