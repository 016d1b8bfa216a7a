"""What is asked of the hand as a run goes on: at first, after a wrong depth, after sewing again."""

from collections.abc import Iterable

import pytest

from projects.calc.bench_state import Fact, fold
from projects.calc.correct import Hand, learn_hand
from projects.calc.lengths import System
from projects.models import Piece, Workroom
from projects.planning.bench_now import due_of, readings_at
from projects.planning.run_advice import Asked, asked_now
from projects.planning.run_source import run_for
from projects.planning.runs import RunPlan
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
STEADY = Hand(bias=0, bias_sd=50_000, spread=300_000, tucks=100, starting=False)
SURE = Hand(bias=0, bias_sd=5_000, spread=300_000, tucks=900, starting=False)


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


def test_single_tucks_are_asked_for_once_the_guide_is_answered(front: Piece) -> None:
    """What they must take out hangs on it: what remains is true whatever is answered."""
    deep = Hand(bias=400_000, bias_sd=60_000, spread=300_000, tucks=200, starting=False)
    run, facts = run_on(front), sewn(1, 10)
    facts.append(check(run, 10, -14 * MM, range(1, 11), 11))
    offered = asked(run, facts, deep)
    assert (offered.guide, offered.corrects) == (-500_000, False)
    for answer in ({"guide": -500_000}, {"refused": True}):
        after = asked(run, [*facts, fact("guide", minute=12, asked=answer)], deep)
        moved = "guide" in answer
        assert (after.guide, bool(after.steps)) == (None, True)
        before = offered.stays if moved else offered.as_agreed
        assert after.stays == before - 2 * sum(after.steps.values())


@pytest.mark.parametrize("off", [-400_000, -250_000, 250_000, 400_000])
def test_who_obeys_every_word_fails_no_check_for_it(off: int, front: Piece) -> None:
    """A hand that is steadily off and does all it is asked at once: from the first check on the readings are
    what was expected with what was agreed and sewn."""
    run, facts, excess, minute = run_on(front), [], 0, 0
    asked_for = 0
    for number in range(1, run.count + 1):
        state = fold(facts)
        beyond = state.beyond(number)
        excess -= 2 * (off + beyond)
        minute += 1
        facts.append(at(minute, "sewn", unit=number, asked={"beyond": {str(number): beyond}}))
        due = due_of(run, fold(facts))
        if due is None:
            continue
        near, far = readings_at(run, number, range(1, number + 1))
        minute += 1
        facts.append(at(minute, "check", unit=number, near=near + excess, far=far))
        found = asked_now(run, fold(facts), "lines", System.METRIC)
        if asked_for and found is not None and found.checked is not None:
            assert found.checked.fine, (number, excess, found.checked.expected)
        while found is not None and found.says:
            minute += 1
            asked_for += 1
            kind = "guide" if found.guide is not None else "correct"
            says = {"guide": found.guide} if found.guide is not None else {"steps": found.steps}
            facts.append(at(minute, kind, asked=says))
            found = asked_now(run, fold(facts), "lines", System.METRIC)
    assert asked_for
    assert abs(excess) <= 2 * MM


def at(minute: int, kind: str, **values: object) -> Fact:
    moment = f"2026-03-02T{9 + minute // 60:02}:{minute % 60:02}:00.000000Z"
    return Fact(f"{minute:03}", kind, moment, **values)


def test_what_was_agreed_is_left_where_it_will_do(front: Piece) -> None:
    """Half of it is still to come: the panel reads 2 mm too short, and goes on as agreed."""
    run, facts = run_on(front), sewn(1, 10)
    facts.append(check(run, 10, -4 * MM, range(1, 11), 11))
    steps = dict.fromkeys((12, 14, 22, 24), -500_000)
    facts.append(fact("correct", minute=12, asked={"steps": steps}))
    for n in range(11, 21):
        facts.append(fact("sewn", minute=n + 10, unit=n, asked={"beyond": {str(n): steps.get(n, 0)}}))
    for excess, says in ((-2 * MM, False), (-6 * MM, True)):
        found = asked(run, [*facts, check(run, 20, excess, range(1, 21), 40)], SURE)
        assert found.checked is not None
        assert found.says is says
        assert set(found.agreed) == {22, 24}


def test_one_check_of_few_tucks_moves_no_guide_at_the_first_tuck(front: Piece) -> None:
    run = run_on(front)
    assert not asked(run, [], learn_hand([(10, 20 * MM)])).says
    assert asked(run, [], learn_hand([(10, 9 * MM)] * 6)).guide == 500_000
