"""What is asked of the hand as a run goes on: at first, after a wrong depth, after sewing again."""

from collections.abc import Iterable

import pytest

from projects.calc.bench_state import Fact, fold
from projects.calc.correct import Hand
from projects.calc.lengths import System
from projects.models import Piece, Workroom
from projects.planning.bench_now import readings_at
from projects.planning.run_advice import Asked, asked_now
from projects.planning.run_source import run_for
from projects.planning.runs import RunPlan
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
STEADY = Hand(bias=0, bias_sd=50_000, spread=300_000, tucks=100, starting=False)


@pytest.fixture
def front(workroom: Workroom) -> Piece:
    make.workroom(check_every=10)
    version = make.version(of=make.content(make.tucks((20, 7))))
    row = make.piece(make.project(), across=900 * MM, fabric=make.fabric(), version=version)
    make.panel(row)
    return row


def run_on(front: Piece) -> RunPlan:
    found = run_for(front.project, f"{front.pk}.1:sew:across:1")
    assert found is not None
    return found


def sewn(first: int, last: int) -> list[Fact]:
    return [fact("sewn", minute=n, unit=n) for n in range(first, last + 1)]


def fact(kind: str, *, minute: int, **values: object) -> Fact:
    return Fact(f"{kind}{minute}", kind, f"2026-03-02T09:{minute:02}:00.000000Z", **values)


def check(run: RunPlan, number: int, excess: int, units: Iterable[int], minute: int) -> Fact:
    near, far = readings_at(run, number, set(units))
    return fact("check", minute=minute, unit=number, near=near, far=far + excess)


def asked(run: RunPlan, facts: list[Fact], hand: Hand = STEADY) -> Asked:
    found = asked_now(run, fold(facts), "lines", System.METRIC, hand)
    assert found is not None
    return found


def test_a_hand_that_is_known_begins_with_its_guide_set(front: Piece) -> None:
    deep = Hand(bias=450_000, bias_sd=60_000, spread=300_000, tucks=200, starting=False)
    begun = asked(run_on(front), [], deep)
    assert (begun.guide, begun.steps) == (-500_000, {})
    assert not asked(run_on(front), []).says


def test_leaving_a_wrong_depth_asks_for_corrections_at_once(front: Piece) -> None:
    run, facts = run_on(front), [*sewn(1, 11), fact("sewn", minute=12, unit=12, depth=9 * MM)]
    assert not asked(run, facts).says
    facts.append(fact("absorb", minute=13, unit=12))
    found = asked(run, facts)
    assert set(found.steps.values()) == {-500_000}
    assert len(found.steps) == 4
    assert min(found.steps) > 12
    facts.append(fact("correct", minute=14, asked={"steps": found.steps}))
    assert not asked(run, facts).says


def test_what_is_sewn_again_after_a_check_needs_no_correction(front: Piece) -> None:
    """Number 5 is 9 mm deep: the check finds the panel 4 mm short, until 5 is sewn again as planned."""
    run, facts = run_on(front), sewn(1, 10)
    facts[4] = fact("sewn", minute=5, unit=5, depth=9 * MM)
    facts.append(check(run, 10, -4 * MM, range(1, 11), 11))
    assert len(asked(run, facts).steps) == 4
    facts.append(fact("resew", minute=12, unit=5))
    after = asked(run, facts)
    assert after.checked is not None
    assert after.checked.judged.excess == -4 * MM
    assert after.steps == {}
    assert abs(after.advice.excess) < MM // 2


def test_a_guide_that_is_not_moved_is_reckoned_with(front: Piece) -> None:
    """The hand is 0.4 mm deep at each tuck. With the guide moved the tucks to come are right; where that is
    refused they go on being deep, and single tucks have to take out more."""
    deep = Hand(bias=400_000, bias_sd=60_000, spread=300_000, tucks=200, starting=False)
    run, facts = run_on(front), sewn(1, 10)
    facts.append(check(run, 10, -8 * MM, range(1, 11), 11))
    offered = asked(run, facts, deep)
    assert (offered.guide, offered.kept) == (-500_000, False)
    facts.append(fact("guide", minute=12, asked={"refused": True}))
    after = asked(run, facts, deep)
    assert (after.guide, after.kept) == (None, True)
    assert sum(after.steps.values()) < sum(offered.steps.values())
    left = run.count - 10
    coming = after.advice.excess - 2 * left * 400_000
    assert after.advice.stays == pytest.approx(coming - 2 * sum(after.steps.values()), abs=2 * left * 60_000)
    moved = [*facts[:-1], fact("guide", minute=12, asked={"guide": -500_000})]
    assert asked(run, moved, deep).steps == offered.steps


def test_a_correction_taken_up_is_asked_anew_once_the_guide_is_refused(front: Piece) -> None:
    deep = Hand(bias=400_000, bias_sd=60_000, spread=300_000, tucks=200, starting=False)
    run, facts = run_on(front), sewn(1, 10)
    facts.append(check(run, 10, -8 * MM, range(1, 11), 11))
    steps = asked(run, facts, deep).steps
    facts.append(fact("correct", minute=12, asked={"steps": steps}))
    assert asked(run, facts, deep).steps == {}
    facts.append(fact("guide", minute=13, asked={"refused": True}))
    assert sum(asked(run, facts, deep).steps.values()) < sum(steps.values())
    facts[-2] = fact("correct", minute=12, asked={"refused": True})
    assert asked(run, facts, deep).steps == {}


def test_corrections_that_are_needed_no_more_are_ended(front: Piece) -> None:
    run, facts = run_on(front), sewn(1, 10)
    facts.append(check(run, 10, -4 * MM, range(1, 11), 11))
    steps = asked(run, facts).steps
    facts.append(fact("correct", minute=12, asked={"steps": steps}))
    facts += [fact("sewn", minute=n + 10, unit=n) for n in range(11, 21)]
    facts.append(check(run, 20, 0, range(1, 21), 40))
    after = asked(run, facts)
    assert max(steps) > 20
    assert (after.steps, after.ends, after.says) == ({}, True, True)
    facts.append(fact("correct", minute=41, asked={"steps": {}, "spaces": {}}))
    assert not asked(run, facts).says


def test_nothing_is_corrected_while_a_wrong_depth_waits_for_its_answer(front: Piece) -> None:
    """What was accepted stays in force; sewn again, it is what is asked still."""
    run, facts = run_on(front), sewn(1, 10)
    facts.append(check(run, 10, -4 * MM, range(1, 11), 11))
    steps = asked(run, facts).steps
    facts[11:] = [fact("sewn", minute=12, unit=11, depth=9 * MM)]
    waits = asked(run, facts)
    assert (waits.says, waits.guide, waits.steps) == (False, None, {})
    again = asked(run, [*facts, fact("resew", minute=13, unit=11)])
    left = asked(run, [*facts, fact("absorb", minute=13, unit=11)])
    assert sum(again.steps.values()) == sum(steps.values())
    assert sum(left.steps.values()) < sum(again.steps.values())
    taken = {"steps": {str(n): nm for n, nm in steps.items()}}
    facts.insert(11, fact("correct", minute=11, asked=taken))
    facts[11] = Fact("taken", "correct", "2026-03-02T09:11:30.000000Z", asked=taken)
    state = fold([*facts, fact("absorb", minute=13, unit=11)])
    assert state.steps == steps
    assert asked(run, facts).steps == {}
