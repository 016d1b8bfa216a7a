"""The judge of lays that were read from a file: good ones pass, one that is spoilt in any way does not."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import Lay, LayPanel, LayRequest, plan_lay
from projects.calc.lay.legal import comes_apart, first_fault, free_along, pin_fault, worth
from projects.calc.lay.request import Flaw, Pin, StashLength, Used

sizes = st.lists(st.tuples(st.integers(1, 40), st.integers(1, 60), st.booleans()), min_size=1, max_size=9)


def asked(parts: list[tuple[int, int, bool]], **values: Any) -> LayRequest:
    panels = tuple(LayPanel(f"P{n}", w, length, 1, turn) for n, (w, length, turn) in enumerate(parts))
    return LayRequest(40, panels, **values)


@given(sizes, st.integers(0, 3), st.integers(0, 5), st.booleans(), st.booleans())
@settings(derandomize=True, max_examples=120, deadline=None)
def test_what_the_planner_finds_is_legal(
    parts: list[tuple[int, int, bool]], gap: int, lost: int, straight: bool, stash: bool
) -> None:
    flaw = Flaw(5, 20, 3, 4)
    lengths = (StashLength("1", 40, 70, "", (flaw,)), StashLength("2", 40, 45)) if stash else ()
    request = asked(parts, gap=gap, end_loss=lost, straight_cuts=straight, lengths=lengths)
    lay = plan_lay(request)
    assert first_fault(request, lay) == ""
    moved = replace(lay.placements[0], x=lay.placements[0].x - 41)
    for spoilt in (
        replace(lay, placements=lay.placements[1:]),
        replace(lay, placements=(*lay.placements, lay.placements[0])),
        replace(lay, placements=(moved, *lay.placements[1:])),
        replace(lay, length=lay.length + 1),
        replace(lay, lower_bound=lay.length + 1),
        replace(lay, placements=(replace(lay.placements[0], on="9"), *lay.placements[1:])),
    ):
        assert first_fault(request, spoilt) != ""


TWO = asked([(20, 30, False), (20, 30, True)])
SIDE_BY_SIDE = plan_lay(TWO)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"gap": 1}, "gap"),
        ({"end_loss": 1}, "off the cloth"),
        ({"pins": (Pin("P0", 1, 3, 0),)}, "not where it is pinned"),
        ({"width": 39}, "off the cloth"),
        ({"most_length": 29}, "beyond the end"),
    ],
)
def test_another_question_needs_another_lay(values: dict[str, Any], says: str) -> None:
    assert first_fault(TWO, SIDE_BY_SIDE) == ""
    assert says in first_fault(replace(TWO, **values), SIDE_BY_SIDE)


def test_a_flaw_and_a_second_dye_lot() -> None:
    one, two = SIDE_BY_SIDE.placements
    lengths = (StashLength("1", 40, 50, "a"), StashLength("2", 40, 50, "b"))
    used = (Used("1", 30), Used("2", 30))
    lay = Lay(0, (replace(one, on="1", x=0), replace(two, on="2", x=0)), 0, one_waste(), False, used)
    request = replace(TWO, lengths=lengths, one_dye_lot=False)
    assert first_fault(request, lay) == ""
    assert "Dye lots" in first_fault(replace(request, one_dye_lot=True), lay)
    flawed = (replace(lengths[0], flaws=(Flaw(19, 29, 5, 5),)), lengths[1])
    assert "flaw" in first_fault(replace(request, lengths=flawed), lay)
    beside = (replace(lengths[0], flaws=(Flaw(20, 0, 5, 50),)), lengths[1])
    assert first_fault(replace(request, lengths=beside), lay) == ""


def one_waste() -> Any:
    return SIDE_BY_SIDE.waste_share


def test_what_straight_cuts_take_apart() -> None:
    wheel = [(0, 0, 6, 4), (6, 0, 10, 6), (4, 6, 10, 10), (0, 4, 4, 10)]
    assert not comes_apart(wheel, 0) and comes_apart(wheel[:3], 0)
    assert comes_apart([(0, 0, 4, 4), (5, 0, 9, 4)], 1) and not comes_apart([(0, 0, 4, 4), (5, 3, 9, 8)], 2)


def test_which_of_two_serves_better() -> None:
    """Least bought, then the largest remnant, then few lengths, then little."""
    lengths = (StashLength("1", 10, 100), StashLength("2", 10, 60), StashLength("3", 10, 12))
    request = LayRequest(10, (LayPanel("a", 10, 10),), lengths=lengths, smallest_remnant=10)

    def lay(length: int, **used: int) -> Lay:
        return Lay(length, (), 0, one_waste(), False, tuple(Used(n[1], u) for n, u in used.items()))

    ordered = [lay(0, _3=10), lay(0, _2=10, _3=12), lay(0, _2=60), lay(0, _1=10), lay(5), lay(6, _3=3)]
    assert sorted(ordered, key=lambda found: worth(request, found)) == ordered


def test_where_a_pin_may_lie() -> None:
    request = asked([(20, 30, False), (10, 10, True)], gap=2, pins=(Pin("P0", 1, 0, 40),), most_length=100)
    assert pin_fault(request, Pin("P1", 1, 0, 0)) == ("", "")
    assert pin_fault(request, Pin("P1", 1, 0, 29))[0] == "y"
    assert free_along(request, Pin("P1", 1, 0, 29)) == (0, 28)
    assert free_along(request, Pin("P1", 1, 0, 60)) == (72, 90)
    assert pin_fault(request, Pin("P1", 1, 22, 50)) == ("", "")
    assert pin_fault(request, Pin("P1", 1, 31, 50))[0] == "x"
    assert free_along(request, Pin("P1", 1, 31, 50)) is None
    assert pin_fault(request, Pin("P9", 1, 0, 0))[0] == "name"
    assert pin_fault(replace(request, one_way=True), Pin("P1", 1, 0, 0, True))[0] == "turned"
