"""Check measures against folding by hand: what lies between edge and seam after each tuck."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.axis import Axis, Pressing, Tuck, place
from projects.calc.checks import check_places, checked_after, checks_of, how_many, near_enough, readings
from projects.calc.order_of_work import sewing_sequence, stretches, wish_unfollowed

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


@st.composite
def ordered(draw: st.DrawFn) -> Axis:
    """Any direction of a panel with any wish for the order of sewing, tucks left out and mirrored too."""
    axis = place(
        draw(tucks),
        length=draw(st.integers(100 * MM, 900 * MM)),
        pressing=Pressing(draw(st.sampled_from(["on", "back", "opened"]))),
        turns_at_centre=draw(st.booleans()),
        extra=200_000,
    )
    axis = replace(axis, order=draw(st.sampled_from(["", "centre", "alternate"])))
    axis = axis.without(draw(st.sets(st.integers(0, 8), max_size=3)))
    return axis.mirrored() if draw(st.booleans()) else axis


@given(ordered(), st.sampled_from([1, 2, 7, 10]))
@settings(derandomize=True, max_examples=300, deadline=None)
def test_readings_are_what_a_tape_would_find(axis: Axis, every: int) -> None:
    border, sewn = 25 * MM, set()
    wanted = list(checks_of(axis, every, SPREAD, border))
    assert len(wanted) == how_many(axis, every)
    for span in stretches(axis):
        for index in span.places:
            assert index not in sewn
            sewn.add(index)
            if len(sewn) not in checked_after(axis, every):
                continue
            check = wanted.pop(0)
            assert (check.number, check.from_far) == (axis.numbers[index], span.from_far)
            where = lie(axis, sewn, border)
            seam, raw = where[index][0], axis.flat + 2 * border - sum(axis.take_ups[i] for i in sewn)
            ends = (raw, 0) if span.from_far else (0, raw)
            begun = ends[0] if check.from_seam is None else where[span.origin][0]
            assert check.to_seam == abs(seam - begun)
            assert check.to_edge == abs(ends[1] - seam)
    assert not wanted
    assert sewn == set(range(axis.count))


@given(ordered(), st.data())
@settings(derandomize=True, max_examples=200, deadline=None)
def test_any_set_of_sewn_tucks_has_its_readings(axis: Axis, data: st.DataObject) -> None:
    """Whoever jumps to another tuck is still told what a tape would find."""
    if not axis.count:
        return
    sewn = data.draw(st.sets(st.integers(0, axis.count - 1), min_size=1))
    index = data.draw(st.sampled_from(sorted(sewn)))
    where = lie(axis, sewn, 0)
    raw = axis.flat - sum(axis.take_ups[i] for i in sewn)
    assert readings(axis, sewn, index) == (where[index][0], raw - where[index][0])
    assert readings(axis, sewn, index, from_far=True) == (raw - where[index][0], where[index][0])


@given(ordered())
@settings(derandomize=True, max_examples=200, deadline=None)
def test_overlapping_tucks_keep_the_order_their_pressing_asks_for(axis: Axis) -> None:
    free = replace(axis, order="")
    if axis.narrowest_gap < 0:
        assert sewing_sequence(axis) == sewing_sequence(free)
    elif axis.order:
        assert not wish_unfollowed(axis)
    else:
        assert sewing_sequence(axis) == tuple(range(axis.count))


def test_from_the_middle_outwards_each_half_is_measured_from_the_first_seam_sewn() -> None:
    """Twelve tucks of 5 mm every 20 mm, the first 20 mm from the edge: 250 mm finished, 370 mm flat."""
    axis = replace(place([Tuck(20 * MM, 5 * MM)], length=250 * MM, phase=0), order="centre")
    assert [s.places for s in stretches(axis)] == [(5, 6, 7, 8, 9, 10, 11), (4, 3, 2, 1, 0)]
    checks = checks_of(axis, 4, SPREAD)
    assert [(c.number, c.from_far, c.from_seam) for c in checks] == [(9, False, 6), (4, True, 6)]
    last = checks[-1]
    assert (last.number, last.from_far, last.from_seam) == (4, True, 6)
    assert last.to_seam == 2 * 20 * MM  # numbers 5 and 4 are sewn, so only their spaces lie between
    assert last.to_edge == 4 * 20 * MM + 3 * 10 * MM  # 1 to 3 still lie flat
    assert last.near_enough == near_enough(2, SPREAD)


def test_every_other_one_is_one_run_measured_from_the_first_edge() -> None:
    axis = replace(place([Tuck(20 * MM, 5 * MM)], length=250 * MM, phase=0), order="alternate")
    assert sewing_sequence(axis) == (0, 2, 4, 6, 8, 10, 1, 3, 5, 7, 9, 11)
    assert checked_after(axis, 5) == (5, 9)
    first, second = checks_of(axis, 5, SPREAD)
    assert (first.number, first.to_seam) == (9, 9 * 20 * MM + 4 * 10 * MM)  # 2, 4, 6 and 8 lie flat before it
    assert (second.number, second.to_seam) == (6, 6 * 20 * MM)
    assert second.near_enough == near_enough(4, SPREAD)


def test_what_was_not_measured_before_a_turn_counts_in_what_is_near_enough() -> None:
    """The three tucks after the last check of one half are in the first readings of the other."""
    axis = place([Tuck(5 * MM, 8 * MM)], length=300 * MM, turns_at_centre=True)
    one, other = stretches(axis)
    checks = checks_of(axis, 10, SPREAD)
    first = next(c for c in checks if axis.numbers.index(c.number) in other.places)
    done = other.places.index(axis.numbers.index(first.number)) + 1
    assert first.near_enough == near_enough(3 + done, SPREAD)


def test_overlapping_tucks_are_checked_from_the_edge_sewing_begins_at() -> None:
    axis = replace(place([Tuck(5 * MM, 8 * MM)], length=300 * MM), order="centre")
    checks = checks_of(axis, 10, SPREAD)
    assert sewing_sequence(axis) == tuple(reversed(range(axis.count)))
    assert wish_unfollowed(axis)
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
