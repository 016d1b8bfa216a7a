"""Correcting on the way: readings judged, the guide moved, single tucks corrected, spaces moved."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.check_readings import alike, beyond_a_hand
from projects.calc.correct import (
    INCH_STEP,
    METRIC_STEP,
    Hand,
    Mended,
    Reading,
    RunSoFar,
    advise,
    judge,
    skew,
    wrong_depth,
)
from projects.calc.errors import CalcError
from projects.calc.steps_spread import spread_evenly, spread_steps
from tests.sewing_sim import MM, Sewing, broken_rules, sew, shares

SURE = Hand(bias=0, bias_sd=1, spread=100_000)


def run(tucks=36, sewn=18, excess=None, depth=7 * MM, **more):
    readings = () if excess is None else (Reading(sewn, excess, more.pop("shift", 0)),)
    more = {"hand": SURE, "asked": (0,) * sewn, "readings": readings, **more}
    return RunSoFar(depths=(depth,) * tucks, sewn=sewn, **more)


def test_two_readings_tell_the_length_and_one_only_the_place():
    both = judge(120 * MM, 400 * MM, 121 * MM, 402 * MM, 2 * MM)
    assert (both.excess, both.shift, both.fine) == (3 * MM, MM, False)
    assert judge(120 * MM, 400 * MM, 121 * MM, 401 * MM, 2 * MM).fine
    one = judge(120 * MM, 400 * MM, 121 * MM, None, 2 * MM)
    assert (one.excess, one.shift, one.fine) == (None, MM, None)


def test_the_mean_of_both_ends_is_what_counts():
    both = judge(120 * MM, 400 * MM, 120 * MM, 403 * MM, 2 * MM, 122 * MM, 395 * MM)
    assert (both.excess, both.shift, both.fine) == (0, MM, True)
    assert judge(120 * MM, 400 * MM, 120 * MM, 403 * MM, 2 * MM, 120 * MM, None).excess == 3 * MM
    assert judge(120 * MM, 400 * MM, 120 * MM, None, 2 * MM, 124 * MM, 400 * MM).excess is None


def test_readings_no_hand_makes_and_readings_that_say_the_same():
    assert not beyond_a_hand(-24 * MM, 4 * MM)
    assert beyond_a_hand(-25 * MM, 4 * MM)
    assert alike(40 * MM, 44 * MM, 4 * MM)
    assert alike(40 * MM, 41_600_000, MM)
    assert not alike(40 * MM, 42 * MM, MM)


@pytest.mark.parametrize(
    ("placing", "own", "later"), [("lines", 0, 2 * MM), ("folds", MM, 2 * MM), ("last", MM, MM)]
)
def test_a_tuck_one_mm_too_deep_makes_the_panel_two_mm_short(placing, own, later):
    wrong = wrong_depth(7 * MM, 8 * MM, placing)
    assert (wrong.shorter, wrong.own_seam, wrong.later_seams) == (2 * MM, own, later)
    back = wrong_depth(7 * MM, 6 * MM, placing)
    assert (back.shorter, back.own_seam, back.later_seams) == (-2 * MM, -own, -later)


def test_an_unknown_placing_is_refused():
    with pytest.raises(CalcError, match="lines, folds or last"):
        wrong_depth(7 * MM, 8 * MM, "chalk")


def test_both_ends_of_a_seam_that_differ_say_so():
    assert skew(120 * MM, 400 * MM, None, None) is None
    assert skew(120 * MM, 400 * MM, 120 * MM + 500_000, 400 * MM) is None
    askew = skew(120 * MM, 400 * MM, 123 * MM, 400 * MM)
    assert (askew.seam, askew.extent) == (3 * MM, 3 * MM)
    slanting = skew(120 * MM, 400 * MM, 123 * MM, 397 * MM)
    assert (slanting.seam, slanting.extent) == (3 * MM, 0)
    assert (slanting.runs_askew, slanting.uneven) == (True, False)
    assert skew(120 * MM, None, 123 * MM, 397 * MM).extent is None
    shorter = skew(120 * MM, 400 * MM, 120 * MM + 500_000, 396 * MM)
    assert (shorter.runs_askew, shorter.uneven, shorter.extent) == (False, True, -3_500_000)


def test_numbers_20_24_28_and_32_are_sewn_half_a_millimetre_deeper():
    """4 mm too long after tuck 18 of 34: four of the sixteen left at 7.5 mm, the rest as planned."""
    advice = advise(run(tucks=34, excess=4 * MM, hand=Hand(bias_sd=1, spread=400_000)))
    assert [(place + 1, change) for place, change in advice.corrections] == [
        (n, 500_000) for n in (20, 24, 28, 32)
    ]
    assert advice.guide == advice.guide_was == 0
    assert abs(advice.stays) < 500_000


def test_a_known_wrong_depth_is_made_up_for_without_measuring():
    """Tuck 5 sewn 2 mm too deep: the panel will be 4 mm short, so four tucks are a step shallower."""
    advice = advise(run(deviations=((4, 2 * MM),)))
    assert advice.excess == -4 * MM
    assert not advice.told
    assert [change for _, change in advice.corrections] == [-500_000] * 4


def test_the_guide_takes_out_the_steady_error_alone():
    """Each of ten tucks came out 0.5 mm too deep: the guide goes back, and what is short is made up for."""
    hand = Hand(spread=100_000)
    first = advise(run(tucks=60, sewn=10, excess=-10 * MM, hand=hand))
    assert first.guide == -500_000
    assert sum(change for _, change in first.corrections) == pytest.approx(-5 * MM, abs=1.2 * MM)
    # Ten more as asked, now at their true depth: no new error, so the guide stays.
    asked = (0,) * 10 + (-500_000,) * 10
    readings = (Reading(10, -10 * MM), Reading(20, -10 * MM))
    later = RunSoFar((7 * MM,) * 60, asked, 20, readings=readings, hand=hand, guide=-500_000)
    assert advise(later).guide == -500_000


def test_what_a_hand_is_expected_to_add_is_told_apart_and_adds_up():
    """After 10 of 30 the panel is 4 mm short, each tuck 0.2 mm too deep: twenty more make it 12 mm short."""
    hand = Hand(bias=200_000, bias_sd=1, spread=100_000)
    advice = advise(run(tucks=30, sewn=10, excess=-4 * MM, hand=hand))
    assert (advice.bias, advice.left, advice.excess) == (200_000, 20, -4 * MM)
    assert advice.unmended == -12 * MM
    done = sum(change for _, change in advice.corrections) + 20 * advice.guide
    assert advice.stays == pytest.approx(advice.unmended - 2 * done, abs=2)


def test_a_hand_that_is_known_begins_with_its_guide_set():
    advice = advise(run(sewn=0, hand=Hand(bias=500_000, bias_sd=50_000, tucks=200, starting=False)))
    assert (advice.guide, advice.corrections, advice.told) == (-500_000, (), False)


def test_without_the_far_reading_nothing_is_told_of_the_length():
    one = run(tucks=40, sewn=10)
    only_near = RunSoFar(one.depths, one.asked, 10, readings=(Reading(10, None, 6 * MM),), hand=SURE)
    advice = advise(only_near)
    assert (advice.told, advice.corrections, advice.shift_stays) == (False, (), 6 * MM)


def test_steps_of_a_32nd_in_stay_within_the_limits_in_the_mean():
    advice = advise(run(tucks=60, sewn=57, excess=8 * MM, step=INCH_STEP))
    assert [change for _, change in advice.corrections] == [INCH_STEP]
    assert advice.stays > 5 * MM


def test_a_steady_error_no_step_can_set_is_taken_out_on_single_tucks():
    hand = Hand(bias=500_000, bias_sd=1_000, spread=100_000, tucks=400, starting=False)
    advice = advise(run(tucks=40, sewn=0, hand=hand, step=INCH_STEP))
    assert advice.guide == 0
    assert advice.steady == -25
    assert len(advice.corrections) == 25
    assert abs(advice.stays) < 2 * INCH_STEP


def test_shallow_tucks_are_not_sewn_away():
    advice = advise(run(depth=700_000, excess=-20 * MM))
    assert (advice.guide, advice.corrections) == (0, ())
    assert advice.stays < -15 * MM


@pytest.mark.parametrize(
    ("depth", "guide", "most"),
    [(MM, 0, 0), (1_900_000, 0, 0), (3 * MM, -500_000, 0), (4 * MM, -500_000, -500_000)],
)
def test_no_tuck_is_set_off_by_more_than_a_quarter_of_its_depth(depth, guide, most):
    """A hand 0.5 mm too deep, and a panel 20 mm short: guide and correction together."""
    hand = Hand(bias=500_000, bias_sd=1_000, spread=100_000, tucks=400, starting=False)
    advice = advise(run(depth=depth, excess=-20 * MM, hand=hand))
    assert (advice.guide, min((change for _, change in advice.corrections), default=0)) == (guide, most)


def test_thin_tucks_between_deep_ones_keep_their_own_quarter():
    """The guide is one for all, so the thinnest holds it; corrections go where they may."""
    depths = (7 * MM, 1 * MM) * 18
    advice = advise(RunSoFar(depths, (0,) * 18, 18, readings=(Reading(18, -8 * MM),), hand=SURE))
    assert advice.guide == 0
    assert advice.corrections and {place % 2 for place, _ in advice.corrections} == {0}


def test_spaces_take_up_where_the_texture_sits():
    """3 mm too far after tuck 18: six of the eighteen spaces of 12 mm left are a step narrower."""
    spaces = {"drawn": False, "spaces": (12 * MM,) * 18, "gaps": (5 * MM,) * 18}
    advice = advise(run(excess=0, shift=3 * MM, **spaces))
    assert [change for _, change in advice.spaces] == [-500_000] * 6
    assert (advice.shift_stays, advice.corrections) == (0, ())
    assert advise(run(excess=0, shift=-3 * MM, **spaces)).shift_stays == 0
    assert advise(run(excess=0, shift=3 * MM, drawn=True)).spaces == ()


def test_no_gap_that_was_open_is_closed():
    advice = advise(
        run(tucks=20, excess=0, shift=3 * MM, drawn=False, spaces=(12 * MM,) * 2, gaps=(400_000, 5 * MM))
    )
    assert advice.spaces == ((19, -500_000),)
    assert advice.shift_stays == 2_500_000


def test_what_is_given_must_fit_together():
    with pytest.raises(CalcError):
        RunSoFar((7 * MM,) * 3, (0,) * 4, 4)
    with pytest.raises(CalcError):
        RunSoFar((7 * MM,) * 3, (0,), 2)
    with pytest.raises(CalcError):
        RunSoFar((7 * MM,) * 3, (0,), 1, readings=(Reading(2, 0),))
    with pytest.raises(CalcError):
        RunSoFar((7 * MM,) * 3, (0,), 1, spaces=(MM,))


def test_nothing_is_left_to_advise_at_the_end():
    advice = advise(run(tucks=18, excess=2 * MM, hand=Hand(bias_sd=1)))
    assert (advice.corrections, advice.guide, advice.stays) == ((), 0, advice.excess)


@st.composite
def runs(draw):
    n = draw(st.integers(1, 70))
    sewn = draw(st.integers(0, n))
    depths = draw(st.lists(st.sampled_from([1, 2, 4, 7, 12, 30]), min_size=n, max_size=n))
    after = sorted(draw(st.sets(st.integers(0, sewn), max_size=5)))
    step = draw(st.sampled_from([METRIC_STEP, INCH_STEP]))
    offset = st.integers(-15 * MM, 15 * MM)
    gaps = draw(st.lists(st.integers(0, 3 * MM), min_size=n - sewn, max_size=n - sewn))
    return RunSoFar(
        depths=tuple(d * MM for d in depths),
        asked=tuple(draw(st.sampled_from([-step, 0, step])) for _ in range(sewn)),
        sewn=sewn,
        deviations=tuple((p, draw(offset)) for p in after if p < sewn),
        readings=tuple(Reading(p, draw(offset), draw(offset)) for p in after),
        hand=Hand(draw(st.integers(-MM, MM)), draw(st.integers(10_000, 400_000)), 400_000),
        step=step,
        drawn=False,
        spaces=tuple(draw(st.integers(MM, 40 * MM)) for _ in range(n - sewn)),
        gaps=tuple(gaps),
    )


@given(runs())
def test_every_instruction_can_be_set_and_keeps_the_limits(so_far):
    advice, step = advise(so_far), so_far.step
    assert advice.guide % step == 0
    assert abs(advice.guide) <= 500_000
    places = [place for place, _ in advice.corrections]
    assert places == sorted(set(places))
    assert all(so_far.sewn <= place < len(so_far.depths) for place in places)
    assert len({change for _, change in advice.corrections}) <= 1
    assert all(abs(change) == step for _, change in advice.corrections)
    limits = sum(min(500_000, d // 10) for d in so_far.depths[so_far.sewn :])
    assert (len(places) - abs(advice.steady)) * step <= limits
    assert abs(advice.steady) * step <= 500_000 * so_far.left
    assert step > 500_000 or advice.steady == 0
    asked = dict.fromkeys(range(so_far.sewn, len(so_far.depths)), advice.guide)
    asked |= {place: advice.guide + change for place, change in advice.corrections}
    assert all(abs(much) <= so_far.depths[place] // 4 for place, much in asked.items())


@given(runs())
def test_spaces_keep_their_limits_and_what_stays_is_the_rest(so_far):
    advice, step = advise(so_far), so_far.step
    assert all(change % step == 0 for _, change in advice.spaces)
    deeper = dict(advice.corrections)
    for place, change in advice.spaces:
        space, gap = (row[place - so_far.sewn] for row in (so_far.spaces, so_far.gaps))
        limit = min(1_500_000, space * 8 // 100)
        assert abs(change) <= max(limit, step)
        if gap > 0 and change < 0:
            assert gap + change - max(0, deeper.get(place, 0), deeper.get(place - 1, 0)) > 0
    assert sum(abs(c) for _, c in advice.spaces) <= sum(min(1_500_000, s * 8 // 100) for s in so_far.spaces)
    shift = so_far.readings[-1].shift if so_far.readings else 0
    assert advice.shift_stays == shift + sum(change for _, change in advice.spaces)
    assert abs(advice.shift_stays) <= max(abs(shift), step)


@given(runs())
def test_deeper_and_shallower_are_mirror_images(so_far):
    mirrored = RunSoFar(
        depths=tuple(30 * MM for _ in so_far.depths),
        asked=tuple(-a for a in so_far.asked),
        sewn=so_far.sewn,
        deviations=tuple((p, -d) for p, d in so_far.deviations),
        readings=tuple(Reading(r.after, -r.excess, -r.shift) for r in so_far.readings),
        hand=Hand(-so_far.hand.bias, so_far.hand.bias_sd, so_far.hand.spread),
        step=so_far.step,
    )
    turned = RunSoFar(
        depths=mirrored.depths,
        asked=so_far.asked,
        sewn=so_far.sewn,
        deviations=so_far.deviations,
        readings=so_far.readings,
        hand=so_far.hand,
        step=so_far.step,
    )
    one, other = advise(turned), advise(mirrored)
    assert (one.excess, one.guide, one.steady) == (-other.excess, -other.guide, -other.steady)
    assert one.corrections == tuple((place, -change) for place, change in other.corrections)


@given(st.integers(0, 80), st.integers(1, 80))
def test_steps_lie_evenly(wanted, tucks):
    steps = spread_evenly(wanted, [1] * tucks)
    assert sum(steps) == min(wanted, tucks)
    at = [i for i, many in enumerate(steps) if many]
    apart = [b - a for a, b in zip(at, at[1:], strict=False)]
    assert not apart or max(apart) - min(apart) <= 1


@given(st.integers(0, 60), st.lists(st.integers(0, 2 * MM), min_size=1, max_size=30))
def test_steps_keep_each_limit_and_their_sum(wanted, limits):
    steps = spread_steps(wanted, limits, METRIC_STEP)
    assert sum(steps) <= min(wanted, sum(limits) // METRIC_STEP)
    for many, limit in zip(steps, limits, strict=True):
        assert many * METRIC_STEP <= (max(limit, METRIC_STEP) if limit else 0)


@pytest.mark.parametrize(("tape", "within"), [(300_000, 4 * MM), (1_000_000, 5 * MM)])
@pytest.mark.parametrize("bias", [-300_000, 0, 300_000, 500_000])
def test_panels_sewn_by_the_advice_come_out_at_their_length(tape, within, bias):
    sewing = Sewing(bias=bias, tape=tape)
    sewn = [sew(sewing, seed) for seed in range(300)]
    assert [rule for one in sewn for rule in broken_rules(sewing, one)] == []
    share, _ = shares([one.excess for one in sewn], within)
    assert share >= 0.93
    without, _ = shares([sew(Sewing(bias=bias, tape=tape, every=None), s).excess for s in range(300)], within)
    assert share > without + 0.3


def test_readings_from_a_seam_in_the_middle_leave_out_what_lies_beyond_it():
    """The first half came out 4 mm short; readings of the second half are right, and say nothing of it."""
    first, second, usual = Reading(10, -4 * MM), Reading(25, 0, since=12), Hand(bias_sd=1)
    advice = advise(RunSoFar((7 * MM,) * 30, (0,) * 25, 25, readings=(first, second), hand=usual))
    assert advice.excess == pytest.approx(-4 * MM, abs=MM)


def test_a_tuck_sewn_again_after_a_check_is_no_error_any_more():
    """After tuck 18 the panel is 4 mm short; a tuck found 2 mm too deep is then sewn again as planned."""
    usual = Hand(bias_sd=1)
    so_far = RunSoFar(
        (7 * MM,) * 36, (0,) * 20, 20, readings=(Reading(18, -4 * MM),), hand=usual,
        mended=(Mended(4, 1, 4 * MM),),
    )  # fmt: skip
    assert abs(advise(so_far).excess) < MM // 2


def deep_third(*readings, mended):
    """36 tucks, 17 sewn, the third of them 2 mm too deep until it was sewn again."""
    return RunSoFar(
        (7 * MM,) * 36, (0,) * 17, 17, deviations=((2, 2 * MM),), readings=readings,
        mended=(Mended(2, mended, 4 * MM),),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("readings", "mended"),
    [
        ((Reading(8, -4 * MM), Reading(17, 0)), 1),
        ((Reading(8, -4 * MM), Reading(17, -4 * MM), Reading(17, 0)), 2),
        ((Reading(8, -4 * MM), Reading(17, -4 * MM)), 2),
        ((Reading(8, 0), Reading(17, 0)), 0),
    ],
)
def test_a_reading_after_sewing_again_shows_it_already(readings, mended):
    advice = advise(deep_third(*readings, mended=mended))
    assert abs(advice.excess) < 500_000
    assert (advice.guide, advice.corrections) == (0, ())


def test_what_is_mended_beyond_a_seam_in_the_middle_is_not_in_its_readings():
    """The first half, 4 mm short, is put right while the second is sewn; its readings stay as they are."""
    first, second, third = Reading(10, -4 * MM), Reading(20, 0, since=12), Reading(25, 0, since=12)
    so_far = RunSoFar(
        (7 * MM,) * 30, (0,) * 25, 25, readings=(first, second, third), hand=Hand(bias_sd=1),
        mended=(Mended(3, 2, 4 * MM),),
    )  # fmt: skip
    assert abs(advise(so_far).excess) < MM


def test_the_last_of_several_readings_at_one_seam_says_where_it_sits():
    again = (Reading(18, 0, 5 * MM), Reading(18, None, MM))
    assert advise(run(readings=again)).shift_stays == MM


def test_a_leap_is_believed_and_the_hand_stays_what_it_was():
    leap = Reading(18, -40 * MM, leap=True)
    advice = advise(run(readings=(Reading(10, 0), leap), hand=Hand()))
    assert (advice.excess, advice.guide) == (-40 * MM, 0)
    assert advise(run(readings=(Reading(10, 0), Reading(18, -40 * MM)), hand=Hand())).guide != 0
