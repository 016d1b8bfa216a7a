"""Lays, each judged by the independent checker, which is first shown bad ones."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import Lay, LayError, LayPanel, LayRequest, Placement, plan_lay
from projects.calc.lay.bound import lower_bound
from projects.calc.lay.planner import _tries
from projects.calc.lay.request import items_of
from projects.calc.lengths import System
from tests.lay_brute import shortest_by_trying
from tests.lay_checker import faults
from tests.strategies import lay_panels

CM = 10_000_000
seeded = settings(derandomize=True, max_examples=150, deadline=None)

TWO = LayRequest(10, (LayPanel("front", 4, 6), LayPanel("back", 5, 3, may_turn=True)), gap=1)
GOOD = Lay(
    6, (Placement("front", 0, 0, 4, 6, False), Placement("back", 5, 0, 5, 3, False)), 6, Decimal("0.35"), True
)


def test_the_checker_passes_a_good_lay() -> None:
    assert faults(TWO, GOOD) == []


@pytest.mark.parametrize(
    ("index", "change", "fault"),
    [
        (1, {"x": 4}, "front and back are too near"),
        (1, {"x": 3}, "front and back are too near"),
        (1, {"x": 6}, "back is off the cloth"),
        (0, {"x": -1}, "front is off the cloth"),
        (1, {"y": 4}, "back is off the cloth"),
        (1, {"y": -1}, "back is off the cloth"),
        (0, {"width": 3}, "front has another size"),
        (0, {"width": 6, "length": 4, "turned": True}, "front was turned"),
        (1, {"turned": True}, "back has another size"),
        (1, {"copy": 2}, "back 1 is missing"),
        (1, {"copy": 2}, "back 2 was not asked for"),
        (1, {"name": "sleeve"}, "sleeve 1 was not asked for"),
    ],
)
def test_the_checker_sees_a_bad_placement(index: int, change: dict[str, object], fault: str) -> None:
    placements = list(GOOD.placements)
    placements[index] = replace(placements[index], **change)  # type: ignore[arg-type]
    assert fault in faults(TWO, replace(GOOD, placements=tuple(placements)))


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"length": 7, "shortest": False}, "the length is not where the last panel ends"),
        ({"lower_bound": 7, "shortest": False}, "the bound is above the lay"),
        ({"lower_bound": 5}, "shortest is claimed wrongly"),
        ({"shortest": False}, "shortest is claimed wrongly"),
        ({"waste_share": Decimal("0.3")}, "the waste is wrong"),
        ({"placements": GOOD.placements[:1]}, "back 1 is missing"),
        ({"placements": (*GOOD.placements, GOOD.placements[1])}, "back 1 was not asked for"),
        ({"placements": (*GOOD.placements, GOOD.placements[1])}, "back and back are too near"),
    ],
)
def test_the_checker_sees_a_false_claim(change: dict[str, object], fault: str) -> None:
    assert fault in faults(TWO, replace(GOOD, **change))  # type: ignore[arg-type]


def test_the_checker_sees_turning_on_one_way_cloth() -> None:
    turned = replace(GOOD.placements[1], width=3, length=5, turned=True)
    lay = replace(GOOD, placements=(GOOD.placements[0], turned))
    assert faults(TWO, lay) == []
    assert faults(replace(TWO, one_way=True), lay) == ["back was turned"]


panels = lay_panels(widest=100, longest=200, most=12)
requests = st.builds(
    LayRequest, width=st.integers(100, 160), panels=panels, gap=st.integers(0, 5), one_way=st.booleans()
)


@given(request=requests)
@seeded
def test_every_lay_is_sound(request: LayRequest) -> None:
    lay = plan_lay(request)
    assert faults(request, lay) == []
    assert plan_lay(request) == lay


@given(request=requests)
@seeded
def test_every_try_is_sound_and_none_beats_the_bound(request: LayRequest) -> None:
    """Also those that lose, and in particular each packer."""
    items = items_of(request)
    room = request.width + request.gap
    bound = lower_bound(items, room)
    lengths = []
    for pack in _tries(items):
        spots = pack(room)
        placements = tuple(
            Placement(
                s.item.panel.name,
                s.x,
                s.y,
                s.width - request.gap,
                s.length - request.gap,
                (s.width - request.gap, s.length - request.gap) != (s.item.panel.width, s.item.panel.length),
                s.item.copy,
            )
            for s in spots
        )
        length = max(p.y + p.length for p in placements)
        used = sum(p.width * p.length for p in placements)
        waste = Decimal(1 - used / (request.width * length))
        lay = Lay(length, placements, bound - request.gap, waste, length == bound - request.gap)
        assert faults(request, lay) == []
        lengths.append(length)
    assert plan_lay(request).length == min(lengths)


small = st.lists(
    st.builds(
        LayPanel, name=st.just("p"), width=st.integers(1, 4), length=st.integers(1, 5), may_turn=st.booleans()
    ),
    min_size=1,
    max_size=4,
).map(lambda found: tuple(replace(panel, name=f"piece {i}") for i, panel in enumerate(found)))


@given(request=st.builds(LayRequest, width=st.integers(4, 6), panels=small, one_way=st.booleans()))
@settings(derandomize=True, max_examples=60, deadline=None)
def test_the_bound_is_never_above_the_shortest_lay_there_is(request: LayRequest) -> None:
    shortest = shortest_by_trying(request)
    lay = plan_lay(request)
    assert lay.lower_bound <= shortest <= lay.length
    if lay.shortest:
        assert lay.length == shortest


def test_panels_side_by_side_are_the_shortest_possible() -> None:
    request = LayRequest(
        140 * CM, (LayPanel("front", 60 * CM, 90 * CM, 2), LayPanel("back", 20 * CM, 90 * CM))
    )
    lay = plan_lay(request)
    assert (lay.length, lay.lower_bound, lay.shortest) == (90 * CM, 90 * CM, True)
    assert lay.waste_share == 0
    assert sorted((p.name, p.copy) for p in lay.placements) == [("back", 1), ("front", 1), ("front", 2)]
    assert faults(request, lay) == []


def test_wide_panels_force_the_length() -> None:
    """Two panels wider than half the cloth can't lie side by side: the shortest, though much is wasted."""
    request = LayRequest(140 * CM, (LayPanel("back", 80 * CM, 100 * CM, 2),))
    lay = plan_lay(request)
    assert (lay.length, lay.shortest) == (200 * CM, True)
    assert lay.waste_share == Decimal("0.4286")


def test_the_gap_lies_between_panels_only() -> None:
    request = LayRequest(100, (LayPanel("a", 48, 30, 4),), gap=4)
    lay = plan_lay(request)
    assert (lay.length, lay.shortest) == (64, True)
    assert faults(request, lay) == []
    assert plan_lay(replace(request, gap=5)).length == 4 * 30 + 3 * 5


def test_a_panel_turns_only_where_it_may() -> None:
    panel = LayPanel("collar", 30, 100, 1, may_turn=True)
    assert plan_lay(LayRequest(100, (panel,))).length == 30
    assert plan_lay(LayRequest(100, (panel,), one_way=True)).length == 100
    assert plan_lay(LayRequest(100, (replace(panel, may_turn=False),))).length == 100


def test_a_panel_too_wide_lies_turned_where_it_may() -> None:
    lay = plan_lay(LayRequest(100, (LayPanel("belt", 150, 20, 1, may_turn=True),)))
    assert (lay.length, lay.placements[0].turned) == (150, True)


def test_no_panels_need_no_cloth() -> None:
    assert plan_lay(LayRequest(100, ())) == Lay(0, (), 0, Decimal(0), True)


def test_too_wide_names_the_panel_and_what_would_fit() -> None:
    request = LayRequest(140 * CM, (LayPanel("Back", 152 * CM, 90 * CM), LayPanel("Front", 60 * CM, 90 * CM)))
    with pytest.raises(LayError) as raised:
        plan_lay(request)
    assert raised.value.panel == "Back"
    assert str(raised.value) == (
        "Back is 152.0 cm wide; the cloth is 140.0 cm. A panel up to 140.0 cm wide would fit. "
        "Turned it would fit, if its grain may lie across."
    )
    with pytest.raises(LayError, match=r"Use cloth at least 152\.0 cm wide, or join widths\."):
        plan_lay(replace(request, one_way=True))
    with pytest.raises(LayError, match="59 ¹³⁄₁₆ in wide"):
        plan_lay(replace(request, system=System.INCH))


@pytest.mark.parametrize(
    ("request_", "says"),
    [
        (LayRequest(100, (LayPanel("Front", 50, 300),), most_length=200), "Front is"),
        (LayRequest(100, (LayPanel("Front", 80, 150, 2),), most_length=200), "The panels need"),
        (LayRequest(0, (LayPanel("Front", 50, 300),)), "no usable width"),
        (LayRequest(100, (LayPanel("Front", 50, 300),), gap=-1), "no usable width"),
        (LayRequest(100, (LayPanel("Front", 0, 300),)), "Front has no size"),
        (LayRequest(100, (LayPanel("Front", 50, -3),)), "Front has no size"),
        (LayRequest(100, (LayPanel("Front", 50, 30, 0),)), "Front has no size"),
        (LayRequest(100, (LayPanel("Front", 50, 30, 10**9),)), "too many for one lay"),
    ],
)
def test_what_can_not_be_laid_is_refused(request_: LayRequest, says: str) -> None:
    with pytest.raises(LayError, match=says):
        plan_lay(request_)
