"""What facts come to does not depend on the order they arrive in, nor on how often."""

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.bench_state import Fact, fold

UNITS = st.integers(1, 6)


@st.composite
def histories(draw: st.DrawFn) -> list[Fact]:
    """Facts in the order they were made; an undo names one that was there before it."""
    made: list[Fact] = []
    for place in range(draw(st.integers(0, 14))):
        op, second = f"{draw(st.integers(0, 9))}{place:02}", draw(st.integers(0, 20))
        at = f"2026-03-02T09:00:{second:02}.000000Z"
        kinds = ["sewn", "sewn", "sewn", "resew", "absorb", "check", "note", "undo", "guide"]
        kind = draw(st.sampled_from(kinds))
        if kind == "undo" and made:
            made.append(Fact(op, "undo", at, undoes=draw(st.sampled_from(made)).op))
        elif kind == "guide":
            made.append(Fact(op, kind, at, asked={"guide": draw(st.integers(-5, 5))}))
        elif kind != "undo":
            also = tuple(draw(st.lists(UNITS, max_size=2, unique=True)))
            made.append(Fact(op, kind, at, draw(UNITS), also, depth=draw(st.none() | st.integers(1, 9))))
    return made


@settings(deadline=None, derandomize=True)
@given(histories(), st.randoms(use_true_random=False))
def test_any_order_and_any_doubling_come_to_the_same(facts: list[Fact], random: object) -> None:
    mixed = [*facts, *facts[:3]]
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert fold(mixed) == fold(facts)


@settings(deadline=None, derandomize=True)
@given(histories())
def test_taking_a_fact_back_is_as_if_it_had_not_been(facts: list[Fact]) -> None:
    for fact in facts:
        if fact.kind == "undo" or any(f.undoes == fact.op for f in facts):
            continue
        undo = Fact("zz", "undo", "2026-03-02T10:00:00.000000Z", undoes=fact.op)
        without = fold(f for f in facts if f is not fact)
        taken_back = fold([*facts, undo])
        assert taken_back.sewn == without.sewn and taken_back.guide == without.guide
        again = fold([*facts, undo, Fact("zzz", "undo", "2026-03-02T10:00:01.000000Z", undoes="zz")])
        assert again.sewn == fold(facts).sewn and again.checks == fold(facts).checks


def test_the_latest_on_a_unit_holds_and_also_units_have_no_depth_of_it() -> None:
    first = Fact("a", "sewn", "2026-03-02T09:00:00.000000Z", 1, (2, 3), depth=7)
    later = Fact("b", "sewn", "2026-03-02T09:01:00.000000Z", 2, depth=8)
    state = fold([later, first])
    assert state.depths == {1: 7, 2: 8, 3: None} and state.last == later
    assert state.sewn[3] == first


def test_undos_in_a_ring_hold_nothing_and_end() -> None:
    ring = [Fact("a", "undo", "1", undoes="b"), Fact("b", "undo", "2", undoes="a")]
    assert fold([*ring, Fact("c", "sewn", "0", 1)]).sewn.keys() == {1}


def test_a_long_chain_of_undos_is_gone_along_once() -> None:
    tap = Fact("0", "sewn", "0", 1)
    chain = [Fact(f"{n}", "undo", f"{n:05}", undoes=f"{n - 1}") for n in range(1, 20_001)]
    assert fold([*reversed(chain), tap]).sewn.keys() == {1}
    assert fold([*chain[:-1], tap]).sewn.keys() == set()


def test_a_refused_instruction_moves_nothing() -> None:
    moved = Fact("a", "guide", "1", asked={"guide": -500})
    assert fold([moved, Fact("b", "guide", "2", asked={"refused": True})]).guide == -500
    steps = Fact("c", "correct", "3", asked={"steps": {"4": 500}, "spaces": {}})
    assert fold([moved, steps]).beyond(4) == 0 and fold([moved, steps]).beyond(5) == -500
