"""Check measures one after the other: measured again, readings no hand makes, plans that change later."""

from dataclasses import replace
from random import Random

import pytest

from projects.calc.bench_state import Fact, fold
from projects.calc.correct import STARTING_HAND
from projects.calc.lengths import System
from projects.models import Piece, Workroom
from projects.planning.bench_now import readings_at
from projects.planning.run_advice import Asked, asked_now, checked
from projects.planning.run_checks import Checked, band_of, checks_made
from projects.planning.run_source import run_for
from projects.planning.runs import RunPlan
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db


@pytest.fixture
def front(workroom: Workroom) -> Piece:
    make.workroom(check_every=10)
    version = make.version(of=make.content(make.tucks((20, 7))))
    row = make.piece(make.project(), across=900 * MM, fabric=make.fabric(), version=version)
    make.panel(row)
    return row


@pytest.fixture
def run(front: Piece) -> RunPlan:
    return planned(front)


def planned(front: Piece) -> RunPlan:
    found = run_for(front.project, f"{front.pk}.1:sew:across:1")
    assert found is not None
    return found


def fact(kind: str, minute: int, **values: object) -> Fact:
    return Fact(
        f"{kind}{minute}", kind, f"2026-03-02T{9 + minute // 60:02}:{minute % 60:02}:00.000000Z",
        person=1, **values,
    )  # fmt: skip


def sewn(first: int, last: int, **values: object) -> list[Fact]:
    return [fact("sewn", n, unit=n, **values) for n in range(first, last + 1)]


def check(
    run: RunPlan, number: int, excess: float, minute: int, *, to: int = 0, shift: float = 0, **more: object
) -> Fact:
    """After ``number`` with all to ``to`` sewn: E in mm, of which ``shift`` shows in the first reading."""
    near, far = readings_at(run, number, set(range(1, (to or number) + 1)))
    readings = {"near": near + round(shift * MM), "far": far + round((excess - shift) * MM)}
    return fact("check", minute, unit=number, **{**readings, **more})


def made(run: RunPlan, *facts: Fact) -> list[Checked]:
    return list(checks_made(run, fold(facts)))


def asked(run: RunPlan, *facts: Fact, placing: str = "lines") -> Asked:
    found = asked_now(run, fold(facts), placing, System.METRIC, STARTING_HAND)
    assert found is not None
    return found


def changes(found: list[Checked]) -> list[tuple[int, int | None]]:
    return [(one.stretch.tucks, one.change) for one in found if one.teaches]


@pytest.mark.parametrize("wrong", [100, 10, -5])
def test_measured_again_takes_the_place_of_the_reading_before(run: RunPlan, wrong: float) -> None:
    """Typed wrong, then right: nothing of the first is left, in the advice or in what is learned."""
    right = [*sewn(1, 10), check(run, 10, 0, 12)]
    facts = [*sewn(1, 10), check(run, 10, wrong, 11), check(run, 10, 0, 12)]
    assert changes(made(run, *facts)) == changes(made(run, *right)) == [(10, 0)]
    once, twice = asked(run, *right), asked(run, *facts)
    assert (twice.advice, twice.guide, twice.steps) == (once.advice, once.guide, once.steps)
    on = [*(replace(one, at=one.at.replace("T09", "T10")) for one in sewn(11, 20)), check(run, 20, -4, 90)]
    assert changes(made(run, *facts, *on)) == [(10, 0), (10, -4 * MM)]


def test_a_reading_no_hand_makes_neither_steers_nor_teaches(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, 100, 11)]
    found = asked(run, *facts)
    assert found.checked is not None and found.checked.doubt
    assert not found.says
    assert not found.advice.told
    assert changes(made(run, *facts)) == []
    on = [*sewn(11, 20), check(run, 20, -6, 21)]
    facts[-1] = replace(facts[-1], at="2026-03-02T09:10:30.000000Z")
    assert changes(made(run, *facts, *on)) == [(20, -6 * MM)]
    after, without = asked(run, *facts, *on), asked(run, *facts[:-1], *on)
    assert (after.advice, after.steps) == (without.advice, without.steps)


def test_a_second_measure_that_says_the_same_counts_and_teaches_nothing(run: RunPlan) -> None:
    """40 mm short, perhaps a fold was caught: so it is, but the hand's tucks are as they were."""
    facts = [*sewn(1, 10), check(run, 10, -40, 11), check(run, 10, -41, 12)]
    [_, second] = made(run, *facts)
    assert (second.leap, second.doubt, second.teaches) == (True, False, False)
    found = asked(run, *facts)
    assert found.advice.excess == pytest.approx(-41 * MM, abs=MM)
    assert found.advice.guide == 0
    assert sum(found.steps.values()) < 0
    on = [*(replace(one, at=one.at.replace("T09", "T10")) for one in sewn(11, 20)), check(run, 20, -41, 90)]
    assert changes(made(run, *facts, *on)) == [(10, 0)]


def test_two_that_say_different_things_stay_in_doubt(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, -40, 11), check(run, 10, 60, 12)]
    assert [one.doubt for one in made(run, *facts)] == [True, True]
    assert not asked(run, *facts).says


def test_the_next_check_confirms_one_that_was_left_in_doubt(run: RunPlan) -> None:
    facts = [*sewn(1, 10), replace(check(run, 10, -60, 11), at="2026-03-02T09:10:30.000000Z")]
    facts += [*sewn(11, 20), check(run, 20, -62, 21)]
    assert [(one.doubt, one.leap) for one in made(run, *facts)] == [(True, False), (False, True)]
    assert asked(run, *facts).advice.excess == pytest.approx(-62 * MM, abs=MM)


def test_a_wrong_one_after_a_right_one_changes_nothing(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, -2, 11), check(run, 10, 98, 12)]
    assert changes(made(run, *facts)) == [(10, -2 * MM)]
    on = [fact("sewn", 20, unit=11)]
    assert asked(run, *facts, *on).advice.told
    assert changes(made(run, *facts, check(run, 10, -1, 13))) == [(10, -MM)]


def test_readings_in_each_other_s_place_are_no_perfect_panel(run: RunPlan) -> None:
    right = check(run, 10, 0, 11)
    swapped = replace(right, near=right.far, far=right.near)
    [found] = made(run, *sewn(1, 10), swapped)
    assert (found.judged.excess, found.doubt) == (0, True)


def test_a_wrong_depth_that_is_known_is_no_wrong_reading(run: RunPlan) -> None:
    """Ten tucks at 9 mm where 7 are planned: 40 mm short is just what they make it."""
    deep = [replace(one, depth=9 * MM) for one in sewn(1, 10)]
    [found] = made(run, *deep, check(run, 10, -40, 11))
    assert (found.doubt, found.change) == (False, 0)
    again = [fact("resew", 20 + n, unit=n) for n in range(1, 11)]
    assert not made(run, *deep, check(run, 10, -40, 11), *again, check(run, 10, 0, 50))[-1].doubt


def test_a_new_hand_in_a_steady_studio_is_believed(front: Piece) -> None:
    """Where tucks stray by 0.1 mm, ten that are all 0.6 mm deep are twelve times what is near enough."""
    make.workroom(depth_spread=100_000)
    run = planned(front)
    [found] = made(run, *sewn(1, 10), check(run, 10, -12, 11))
    assert found.near_enough < 1_100_000
    assert (found.doubt, found.teaches) == (False, True)


def test_one_reading_alone_does_not_take_the_place_of_two(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, -4, 11), check(run, 10, 0, 12, far=None)]
    assert changes(made(run, *facts)) == [(10, -4 * MM)]
    assert asked(run, *facts).advice.told
    both = made(run, *sewn(1, 10), check(run, 10, 0, 11, far=None), check(run, 10, -4, 12))
    assert [one.fact.op for one in both] == ["check12"]


def test_what_is_sewn_again_between_two_readings_counts_with_the_second(run: RunPlan) -> None:
    """Number 5 is 9 mm deep, found by the check, sewn again, measured again: the panel is right."""
    facts = [replace(one, depth=9 * MM) if one.unit == 5 else one for one in sewn(1, 10)]
    facts += [check(run, 10, -4, 11), fact("resew", 12, unit=5), check(run, 10, 0, 13)]
    after = asked(run, *facts)
    assert abs(after.advice.excess) < MM // 2
    assert after.steps == {}
    facts.remove(facts[10])
    assert abs(asked(run, *facts).advice.excess) < MM // 2


def test_both_ends_count_alike(run: RunPlan) -> None:
    one = check(run, 10, 3, 11)
    assert one.near is not None and one.far is not None
    both = replace(one, near_end=one.near, far_end=one.far - 6 * MM)
    [found] = made(run, *sewn(1, 10), both)
    assert (found.judged.excess, found.judged.fine, found.change) == (0, True, 0)
    assert asked(run, *sewn(1, 10), both).steps == {}


def test_a_plan_that_changes_leaves_old_checks_as_they_were(front: Piece, run: RunPlan) -> None:
    """100 mm wider after a perfect check: today's readings would call it 100 mm too short."""
    near, far = readings_at(run, 10, set(range(1, 11)))
    kept = check(run, 10, 0, 11, asked={"near": near, "far": far, "band": 5 * MM})
    Piece.objects.filter(pk=front.pk).update(across=1000 * MM, revision=9)
    wider = planned(front)
    assert readings_at(wider, 10, set(range(1, 11))) != (near, far)
    [found] = made(wider, *sewn(1, 10), kept)
    assert (found.judged.excess, found.near, found.far, found.near_enough) == (0, near, far, 5 * MM)
    after = asked(wider, *sewn(1, 10), kept)
    assert (after.guide, after.steps) == (None, {})


@pytest.mark.parametrize(
    "kept", [{}, {"band": None}, {"near": None, "far": None, "band": None}, {"band": -3}]
)
def test_a_check_where_none_is_planned_has_a_band_of_its_own(run: RunPlan, kept: dict[str, int]) -> None:
    facts = [*sewn(1, 3), check(run, 3, 0, 11, asked=kept)]
    assert 3 not in [one.tuck for one in run.checks]
    [found] = made(run, *facts)
    alone = checked(run, fold(facts), facts[-1])
    assert alone is not None
    assert found.near_enough == alone.near_enough >= MM
    assert not asked(run, *facts).steps


def test_what_is_near_enough_hangs_on_what_was_sewn_since(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, 0, 10)]
    there = run.checks[0]
    assert band_of(run, fold(facts), there.tuck) == there.near_enough
    facts[-1] = replace(facts[-1], at="2026-03-02T09:10:30.000000Z")
    bands = [band_of(run, fold([*facts, *sewn(11, 10 + n)]), 21) for n in (1, 4, 9)]
    assert bands == [1_312_000, 2_624_000, 3_936_000]


ODD = (None, 0, 1, -4 * MM, 300 * MM, 10**12)
"""What a file may bring as a length that was kept."""


def anything(chance: Random, run: RunPlan, minute: int) -> Fact:
    """Some fact a device or a file may bring, in some order."""
    numbers = [*run.by_number, 999]
    kinds = ("sewn", "sewn", "sewn", "resew", "check", "check", "")
    unit, kind = chance.choice(numbers), chance.choice(kinds)
    if kind == "check":
        kept = {name: chance.choice(ODD) for name in ("near", "far", "band") if chance.random() < 0.5}
        read = {name: chance.randrange(900 * MM) for name in ("near", "far", "near_end", "far_end")}
        left_out = dict.fromkeys(chance.sample(("far", "near_end", "far_end"), chance.randrange(4)))
        return fact(kind, minute, unit=unit, asked=kept, **{**read, **left_out})
    if not kind:
        instruction = {"steps": {"3": MM, "999": MM}, "spaces": {"4": -MM}}
        done = chance.choice(({"guide": 500_000}, instruction, {"refused": True}))
        return fact(chance.choice(("guide", "correct", "absorb")), minute, unit=unit, asked=done)
    depth = chance.choice((None, None, 9 * MM))
    return fact(kind, minute, unit=unit, also=tuple(chance.sample(numbers, 3)), depth=depth)


@pytest.mark.parametrize("order", ["", "centre", "alternate"])
@pytest.mark.parametrize("placing", ["lines", "last"])
def test_whatever_was_kept_can_be_read(order: str, placing: str, front: Piece) -> None:
    Piece.objects.filter(pk=front.pk).update(work_order=order, revision=7)
    run, chance = planned(front), Random(18)
    doubted = 0
    for _ in range(60):
        facts = [anything(chance, run, minute) for minute in range(chance.randrange(60))]
        state = fold(facts)
        asked_now(run, state, placing, System.METRIC, STARTING_HAND)
        found = checks_made(run, state)
        doubted += sum(one.doubt for one in found)
        alone = [checked(run, state, one) for one in state.checks if one.unit != 999]
        assert all(one is not None and one.near_enough >= MM for one in (*found, *alone))
        assert [one.fact.place for one in found] == sorted(one.fact.place for one in found)
    assert doubted


def test_a_check_counts_only_while_all_it_was_made_over_is_sewn(run: RunPlan) -> None:
    """Numbers 3 to 7 were said to be sewn and were not: the check that finds the panel 9 mm short of what
    they should have made of it neither steers nor teaches, also once they are sewn."""
    first, jump = sewn(1, 2), fact("sewn", 3, unit=3, also=(4, 5, 6, 7))
    facts = [*first, jump, check(run, 7, -9, 11)]
    assert made(run, *facts)[0].counts and asked(run, *facts).says
    back = fact("undo", 12, undoes=jump.op)
    [found] = made(run, *facts, back)
    assert (found.aside, found.counts, found.teaches) == (fold([*facts, back]).undone[0][1], False, False)
    assert checked(run, fold([*facts, back]), facts[-1]).aside  # type: ignore[union-attr]
    after, without = asked(run, *facts, back), asked(run, *first)
    assert (after.advice, after.says) == (without.advice, False)
    again = [replace(one, op=f"again{one.unit}", at=one.at.replace("T09", "T10")) for one in sewn(3, 7)]
    assert not made(run, *facts, back, *again)[0].counts
    assert made(run, *facts, back, fact("undo", 13, undoes=back.op))[0].counts
    assert made(run, *facts, *(replace(one, op="x", at=first[0].at) for one in [jump]), back)[0].counts


def test_taken_back_before_the_check_or_after_it_was_made_without(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, 0, 20)]
    assert made(run, *facts, fact("undo", 19, undoes="sewn4"))[0].counts
    on = sewn(21, 21)
    assert made(run, *facts, *on, fact("undo", 22, undoes=on[0].op))[0].counts
    assert not made(run, *facts, fact("undo", 22, undoes="sewn4"))[0].counts


def test_what_was_taken_up_by_a_check_that_counts_no_more_is_ended(run: RunPlan) -> None:
    facts = [*sewn(1, 10), check(run, 10, -9, 11)]
    assert asked(run, *facts).guide == -500_000
    facts += [fact("guide", 12, asked={"guide": -500_000}), fact("correct", 13, asked={"steps": {"20": -MM}})]
    assert not asked(run, *facts).says
    after = asked(run, *facts, fact("undo", 14, undoes="sewn10"))
    assert (after.guide, after.ends, after.steps) == (0, False, {})
    back = [fact("undo", 14, undoes="sewn10"), fact("guide", 15, asked={"guide": 0})]
    after = asked(run, *facts, *back)
    assert (after.guide, after.ends, after.steps) == (None, True, {})
