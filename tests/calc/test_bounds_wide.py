"""Bounds of both sides, held against trying every lay of a few panels."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import LayPanel, LayRequest, plan_lay
from projects.calc.lay.bound import lower_bound
from projects.calc.lay.bounds_wide import lifted
from projects.calc.lay.request import items_of
from tests.lay_brute import shortest_by_trying
from tests.lay_cases import cut_up, garment, shaved

CM = 10_000_000


def lifted_of(request: LayRequest, most: int) -> int:
    """The bound of a request without a gap."""
    items = items_of(request)
    return lifted(items, request.width, lower_bound(items, request.width), most)


def test_tall_panels_that_do_not_fit_side_by_side_prove_the_shortest() -> None:
    """155 cm of them on 140 cm: two must lie one after the other, and the two shortest do."""
    sizes = [(31, 69), (31, 69), (31, 64), (31, 64), (31, 63)]
    panels = tuple(LayPanel(f"panel {i}", w * CM, long * CM) for i, (w, long) in enumerate(sizes))
    lay = plan_lay(LayRequest(140 * CM, panels))
    assert (lay.length, lay.lower_bound, lay.shortest) == (127 * CM, 127 * CM, True)
    gap = plan_lay(LayRequest(140 * CM, panels, gap=CM, end_loss=2 * CM))
    assert (gap.length, gap.shortest) == (130 * CM, True)
    straight = plan_lay(LayRequest(140 * CM, panels, straight_cuts=True))
    assert straight.lower_bound == 127 * CM


def test_panels_of_a_third_need_three_rows() -> None:
    """Seven squares a little over a third of the cloth: four rows of two, though their area asks for less."""
    request = LayRequest(100, (LayPanel("square", 34, 34, 7),))
    assert lifted_of(request, 200) == plan_lay(request).length == 4 * 34
    assert lower_bound(items_of(request), 100) == 7 * 34 * 34 // 100 + 1


small = st.lists(
    st.tuples(st.integers(1, 5), st.integers(1, 7), st.booleans()), min_size=1, max_size=4
).map(lambda found: tuple(LayPanel(f"piece {i}", *size[:2], 1, size[2]) for i, size in enumerate(found)))


@given(panels=small, width=st.integers(5, 8))
@settings(derandomize=True, max_examples=100, deadline=None)
def test_no_bound_is_above_the_shortest_lay(panels: tuple[LayPanel, ...], width: int) -> None:
    """Whatever lay is known, up to one that is much too long."""
    request = LayRequest(width, panels)
    shortest = shortest_by_trying(request)
    items = items_of(request)
    for bound, more in product((0, lower_bound(items, width)), (0, 1, 5, 40)):
        assert bound <= lifted(items, width, bound, shortest + more) <= shortest


@given(panels=small, width=st.integers(5, 8), times=st.integers(2, 9))
@settings(derandomize=True, max_examples=60, deadline=None)
def test_bounds_grow_with_the_unit(panels: tuple[LayPanel, ...], width: int, times: int) -> None:
    """Sizes of which few are the same number of units: still no bound above the shortest."""
    shortest = shortest_by_trying(LayRequest(width, panels)) * times
    larger = tuple(replace(p, width=p.width * times, length=p.length * times) for p in panels)
    assert lifted_of(LayRequest(width * times, larger), shortest * 2) <= shortest


@pytest.mark.parametrize("seed", range(12))
def test_strips_cut_up_are_not_ruled_out(seed: int) -> None:
    """Their shortest lay is known: the strip."""
    for request, strip in (cut_up(seed, 8 + seed), shaved(seed, 8 + seed), cut_up(seed, 40)):
        assert lifted_of(request, strip * 2) <= strip


def test_what_is_worn_has_better_bounds() -> None:
    """Of ten pieces of a garment few can be stacked."""
    higher = 0
    for seed in range(6):
        request = garment(seed)
        bound = lower_bound(items_of(request), request.width)
        lay = plan_lay(request)
        assert bound <= lay.lower_bound <= lay.length
        higher += lay.lower_bound > bound
    assert higher == 6
