"""Check measures against folding by hand: what lies between edge and seam after each tuck."""

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.axis import Axis, Pressing, Tuck, place
from projects.calc.checks import check_places, checks_of, near_enough, runs_of

MM = 1_000_000
SPREAD = 400_000

tucks = st.lists(
    st.builds(Tuck, st.integers(4 * MM, 30 * MM), st.integers(1 * MM, 12 * MM)), min_size=1, max_size=5
)


def lie(axis: Axis, sewn: set[int], border: int) -> list[tuple[int, int]]:
    """Where each tuck's cloth [a, b] lies now, counted from the first raw edge, sewn tucks being closed."""
    at, flat, found = border, 0, []
    for index, start in enumerate(axis.starts):
        at += start - flat
        width = 0 if index in sewn else axis.take_ups[index]
        found.append((at, at + width))
        at, flat = at + width, start + axis.take_ups[index]
    return found


@given(tucks, st.integers(100 * MM, 900 * MM), st.sampled_from(["on", "back"]), st.booleans())
@settings(derandomize=True, max_examples=150, deadline=None)
def test_readings_are_what_a_tape_would_find(
    repeat: list[Tuck], length: int, pressing: str, turns: bool
) -> None:
    border = 25 * MM
    axis = place(repeat, length=length, pressing=Pressing(pressing), turns_at_centre=turns, extra=200_000)
    sewn: set[int] = set()
    wanted = {(c.number, c.from_far): c for c in checks_of(axis, 7, SPREAD, border)}
    for low, high, from_far in runs_of(axis):
        for index in reversed(range(low, high)) if from_far else range(low, high):
            sewn.add(index)
            check = wanted.pop((axis.numbers[index], from_far), None)
            if check is None:
                continue
            seam = lie(axis, sewn, border)[index][0]
            raw = axis.flat + 2 * border - sum(axis.take_ups[i] for i in sewn)
            first, far = (check.to_edge, check.to_seam) if from_far else (check.to_seam, check.to_edge)
            assert first == seam
            assert first + far == raw
    assert not wanted
    assert sewn == set(range(axis.count))


def test_overlapping_tucks_are_checked_from_the_edge_sewing_begins_at() -> None:
    axis = place([Tuck(5 * MM, 8 * MM)], length=300 * MM)
    checks = checks_of(axis, 10, SPREAD)
    assert runs_of(axis) == ((0, axis.count, True),)
    assert [c.from_far for c in checks] == [True] * len(checks)
    assert [c.number for c in checks] == sorted((c.number for c in checks), reverse=True)


@given(st.integers(0, 400), st.integers(1, 40))
@settings(derandomize=True, max_examples=200, deadline=None)
def test_places_are_even_and_the_last_leaves_a_few(count: int, every: int) -> None:
    places = check_places(count, every)
    if count < 4:
        assert places == ()
        return
    steps = [b - a for a, b in zip((0, *places), places, strict=False)]
    assert places[-1] == count - 3
    assert max(steps) <= every
    assert max(steps) - min(steps) <= 1


def test_nothing_is_measured_when_nothing_is_to_be() -> None:
    assert check_places(40, None) == ()


def test_near_enough() -> None:
    assert near_enough(1, 100_000) == MM
    assert near_enough(10, SPREAD) == 4_148_908
