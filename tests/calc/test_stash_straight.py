"""Straight cuts on lengths with flaws and pinned panels, cut apart by an independent cutter."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import Lay, LayError, LayPanel, LayRequest, Placement, plan_lay
from projects.calc.lay.budget import Budget
from projects.calc.lay.cuts import cuts_of
from projects.calc.lay.request import Flaw, Pin, StashLength
from projects.calc.lay.stash import improve_stash
from projects.calc.lay.stash.bins import Bin, Kind, hits, least_sides
from projects.calc.lay.stash.through import fill_through
from tests.stash_checker import stash_faults
from tests.straight_checker import can_be_cut, wrong_steps

CM = 10_000_000


def sound(request: LayRequest, lay: Lay) -> bool:
    cuts = cuts_of(lay, request)
    clothes = {placed.on for placed in lay.placements}
    parted = all(can_be_cut([p for p in lay.placements if p.on == on]) for on in clothes)
    return parted and not stash_faults(request, lay) and not wrong_steps(lay, request, cuts)


@pytest.mark.parametrize("flaw", [Flaw(60 * CM, 40 * CM, 2 * CM, 2 * CM), Flaw(40 * CM, 60 * CM, CM, 2 * CM)])
def test_a_flaw_costs_no_more_than_its_place(flaw: Flaw) -> None:
    """Two fronts and two facings, 126.6 cm wide together, stand side by side round a flaw on 140 cm."""
    panels = (LayPanel("Front", 353 * CM // 10, 64 * CM, 2), LayPanel("Facing", 28 * CM, 25 * CM, 2))
    length = StashLength("V1", 140 * CM, 120 * CM, flaws=(flaw,))
    request = LayRequest(0, panels, lengths=(length,), straight_cuts=True)
    lay = plan_lay(request)
    assert sound(request, lay)
    assert lay.used[0].length == 64 * CM


def test_a_flaw_in_the_first_corner_is_left_beside_the_panels() -> None:
    """Nothing fits below it; beside it the whole length is free."""
    length = StashLength("V1", 100, 50, flaws=(Flaw(0, 0, 10, 45),))
    request = LayRequest(0, (LayPanel("front", 45, 40, 2),), lengths=(length,), straight_cuts=True)
    lay = plan_lay(request)
    assert sorted((p.x, p.y) for p in lay.placements) == [(10, 0), (55, 0)]
    assert sound(request, lay)


def test_a_cut_does_not_run_through_a_pinned_panel() -> None:
    """Beside the held yoke the rest must be cut so that it stays whole, and the flaw need not."""
    length = StashLength("V1", 100, 100, flaws=(Flaw(10, 60, 5, 5),))
    panels = (LayPanel("yoke", 30, 20), LayPanel("front", 60, 50), LayPanel("back", 40, 40))
    pins = (Pin("yoke", 1, 50, 55, on="V1"),)
    request = LayRequest(0, panels, lengths=(length,), straight_cuts=True, pins=pins)
    lay = plan_lay(request)
    assert sound(request, lay)
    assert next((p.x, p.y) for p in lay.placements if p.name == "yoke") == (50, 55)


sizes = st.tuples(st.integers(5, 50), st.integers(5, 60), st.integers(1, 2), st.booleans())
flaws = st.builds(
    Flaw, x=st.integers(0, 95), y=st.integers(0, 150), width=st.integers(1, 5), length=st.integers(1, 20)
)


@given(
    panels=st.lists(sizes, min_size=1, max_size=7),
    flaws=st.lists(flaws, min_size=1, max_size=3),
    gap=st.integers(0, 3),
    end=st.integers(0, 3),
    pin=st.none() | st.tuples(st.integers(0, 50), st.integers(3, 100)),
)
@settings(derandomize=True, max_examples=80, deadline=None)
def test_every_lay_round_flaws_and_pins_is_cut_straight(
    panels: list[tuple[int, int, int, bool]],
    flaws: list[Flaw],
    gap: int,
    end: int,
    pin: tuple[int, int] | None,
) -> None:
    """Quick, and improved for a while: never on a flaw, pins where they are, all parted by straight cuts."""
    request = LayRequest(
        0,
        tuple(LayPanel(f"piece {i}", w, long, n, turns) for i, (w, long, n, turns) in enumerate(panels)),
        gap=gap,
        end_loss=end,
        lengths=(StashLength("V1", 100, 400, flaws=tuple(flaws)), StashLength("V2", 80, 90)),
        one_dye_lot=False,
        straight_cuts=True,
        pins=(Pin("piece 0", 1, *pin, on="V1"),) if pin else (),
    )
    try:
        quick = plan_lay(request)
    except LayError:  # pinned on a flaw
        assert pin is not None
        return
    better = improve_stash(request, quick, Budget(lambda: 0.0, 1.0, 500), lambda lay: None)
    for lay in (quick, better):
        assert sound(request, lay)
    if not pin:
        assert plan_lay(replace(request, lengths=request.lengths[:1])).used


boxes = st.tuples(st.integers(0, 60), st.integers(0, 60), st.integers(10, 40), st.integers(10, 40))


@given(
    pins=st.lists(boxes, min_size=1, max_size=2),
    flaws=st.lists(boxes, max_size=1),
    sizes=st.lists(st.tuples(st.integers(5, 40), st.integers(5, 40)), min_size=3, max_size=12),
    snug=st.booleans(),
    along=st.booleans(),
)
@settings(derandomize=True, max_examples=300, deadline=None)
def test_every_filling_round_pins_is_parted_by_straight_cuts(
    pins: list[tuple[int, int, int, int]],
    flaws: list[tuple[int, int, int, int]],
    sizes: list[tuple[int, int]],
    snug: bool,
    along: bool,
) -> None:
    """Whatever the order and the taste, and though no filling is chosen for it."""
    held = [Placement(f"pin {i}", *box, False) for i, box in enumerate(pins)]
    if not can_be_cut(held) or any(hits(rect(a), rect(b)) for a, b in combinations(held, 2)):
        return
    kinds = [Kind(LayPanel("front", *size), (1,), (size,)) for size in sizes]
    rects = [rect(p) for p in held]
    blocks = (*rects, *((x, y, x + w, y + long) for x, y, w, long in flaws))
    bin_ = Bin("V1", 100, 0, 100, 0, blocks=blocks, pinned=tuple(((0, *box), 1) for box in pins))
    spots = fill_through(bin_, range(len(kinds)), kinds, least_sides(kinds), snug=snug, along=along)
    laid = [Placement(f"front {kind}", x, y, w, long, False) for kind, x, y, w, long in spots]
    assert can_be_cut([*held, *laid])
    for one, box in product(laid, blocks):
        assert not hits(rect(one), box)
    assert all(p.x + p.width <= 100 and p.y + p.length <= 100 for p in laid)
    assert not any(hits(rect(a), rect(b)) for a, b in combinations(laid, 2))


def rect(p: Placement) -> tuple[int, int, int, int]:
    return p.x, p.y, p.x + p.width, p.y + p.length
