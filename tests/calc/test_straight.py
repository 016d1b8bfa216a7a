"""Lays of straight cuts, cut apart by an independent cutter, their claims held against trying everything."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import Lay, LayError, LayPanel, LayRequest, plan_lay
from projects.calc.lay.budget import Budget
from projects.calc.lay.request import Pin, items_of
from projects.calc.lay.straight import improve_straight, plan_straight
from projects.calc.lay.straight.building import Asked, Kind, build
from projects.calc.lay.straight.counts import Counts
from projects.calc.lay.straight.rows import Kinds, length_of_rows
from tests.lay_checker import faults
from tests.straight_cases import shaved_strip
from tests.straight_checker import can_be_cut
from tests.strategies import lay_panels

seeded = settings(derandomize=True, max_examples=80, deadline=None)
Size = tuple[int, int, bool]


def improved(request: LayRequest, steps: int = 20_000, tell: Callable[[Lay], None] = lambda lay: None) -> Lay:
    """The lay after so much work, no clock read."""
    return improve_straight(request, plan_straight(request), Budget(lambda: 0.0, 1.0, steps), tell)


def sound(request: LayRequest, lay: Lay) -> bool:
    return faults(request, lay) == [] and can_be_cut(list(lay.placements))


def shortest_by_trying(sizes: tuple[Size, ...], width: int, gap: int) -> int:
    """The shortest cloth of a whole width that straight cuts at whole numbers part into all panels.

    A cut takes the gap away; every place and every share of the panels is tried.
    """

    @cache
    def fits(panels: tuple[Size, ...], wide: int, long: int) -> bool:
        if len(panels) == 1:
            w, h, turns = panels[0]
            return (w <= wide and h <= long) or (turns and h <= wide and w <= long)
        for sides in product((0, 1), repeat=len(panels) - 1):
            one = (panels[0], *(p for p, side in zip(panels[1:], sides, strict=True) if not side))
            other = tuple(p for p, side in zip(panels[1:], sides, strict=True) if side)
            if not other:
                continue
            if any(fits(one, x, long) and fits(other, wide - x - gap, long) for x in range(1, wide - gap)):
                return True
            if any(fits(one, wide, y) and fits(other, wide, long - y - gap) for y in range(1, long - gap)):
                return True
        return False

    return next(n for n in range(1, 1_000) if fits(tuple(sorted(sizes)), width, n))


small = st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6), st.booleans()), min_size=1, max_size=5)


@given(sizes=small, width=st.integers(6, 9), gap=st.integers(0, 1))
@seeded
def test_claims_hold_against_trying_everything(sizes: list[Size], width: int, gap: int) -> None:
    """So few panels are proven, and the proof is right."""
    panels = tuple(LayPanel(f"piece {i}", w, h, 1, turns) for i, (w, h, turns) in enumerate(sizes))
    request = LayRequest(width, panels, gap=gap, straight_cuts=True)
    shortest = shortest_by_trying(tuple(sizes), width, gap)
    quick, lay = plan_straight(request), improved(request)
    assert sound(request, quick)
    assert sound(request, lay)
    assert quick.lower_bound <= lay.lower_bound <= shortest
    assert lay.shortest
    assert lay.length == shortest


def test_a_wheel_is_not_cut_straight() -> None:
    """Four panels round a square hole fill a square of 5 when they may be cut out; straight cuts need 6."""
    request = LayRequest(
        5, (LayPanel("blade", 3, 2, 4, may_turn=True), LayPanel("hub", 1, 1)), straight_cuts=True
    )
    lay = improved(request)
    assert (lay.length, lay.lower_bound, lay.shortest) == (6, 6, True)
    assert shortest_by_trying(((3, 2, True),) * 4 + ((1, 1, False),), 5, 0) == 6


panels = lay_panels(widest=100, longest=200, most=10)
requests = st.builds(
    LayRequest,
    width=st.integers(100, 160),
    panels=panels,
    gap=st.integers(0, 5),
    one_way=st.booleans(),
    end_loss=st.integers(0, 4),
    straight_cuts=st.just(True),
    seed=st.integers(0, 3),
)


@given(request=requests)
@seeded
def test_every_lay_is_sound_and_comes_again(request: LayRequest) -> None:
    told: list[Lay] = []
    quick = plan_lay(request)
    lay = improved(request, 3_000, told.append)
    assert quick == plan_straight(request)
    assert sound(request, quick)
    assert all(sound(request, found) for found in told)
    lengths, bounds = [quick.length], [quick.lower_bound]
    lengths += [found.length for found in told]
    bounds += [found.lower_bound for found in told]
    assert lengths == sorted(lengths, reverse=True)
    assert bounds == sorted(bounds)
    assert (lay.length, lay.lower_bound) == (lengths[-1], bounds[-1])
    assert min(placed.y for placed in lay.placements) >= request.end_loss
    assert improved(request, 3_000) == lay


@pytest.mark.parametrize("seed", [1, 2, 6, 8, 10])
def test_a_strip_cut_apart_and_shaved_is_found_again(seed: int) -> None:
    request, strip = shaved_strip(seed)
    lay = improved(request, 300_000)
    assert sound(request, lay)
    assert lay.lower_bound <= strip
    assert lay.length <= strip


def test_cases_are_what_they_say() -> None:
    """Panels of a strip cover at most its area, and not much less."""
    for seed in range(20):
        request, strip = shaved_strip(seed)
        share = sum(p.width * p.length for p in request.panels) / (request.width * strip)
        assert 8 <= len(request.panels) <= 40
        assert 0.96 < share <= 1


def test_many_panels_are_laid_in_rows() -> None:
    many = tuple(LayPanel(f"square {i}", 40 + i % 50, 30 + i % 70, 4) for i in range(75))
    request = LayRequest(500, many, straight_cuts=True)
    quick = plan_straight(request)
    lay = improved(request, 30_000)
    assert sound(request, quick)
    assert sound(request, lay)
    assert lay.length < quick.length


def test_pinned_panels_stay() -> None:
    asked = (
        LayPanel("front", 40, 60, 2),
        LayPanel("cuff", 25, 10, 4),
        LayPanel("yoke", 55, 20, may_turn=True),
    )
    pins = (Pin("front", 2, 30, 10), Pin("yoke", 1, 75, 5, turned=True))
    request = LayRequest(100, asked, gap=2, straight_cuts=True, pins=pins, end_loss=3)
    for lay in (plan_straight(request), improved(request, 2_000)):
        assert sound(request, lay)
        where = {(p.name, p.copy): (p.x, p.y, p.turned) for p in lay.placements}
        assert where["front", 2] == (30, 10, False)
        assert where["yoke", 1] == (75, 5, True)


def test_cloth_beside_pinned_panels_is_used() -> None:
    """Long panels stand beside a short one held on the cloth, and do not begin where it ends."""
    asked = (LayPanel("yoke", 10, 10), LayPanel("front", 40, 60, 2))
    request = LayRequest(100, asked, straight_cuts=True, pins=(Pin("yoke", 1, 45, 20),))
    lay = plan_straight(request)
    assert sound(request, lay)
    assert (lay.length, lay.shortest) == (60, True)


@given(
    request=requests,
    pins=st.lists(st.tuples(st.integers(0, 60), st.integers(0, 120)), min_size=1, max_size=2),
)
@seeded
def test_every_lay_round_pins_is_sound(request: LayRequest, pins: list[tuple[int, int]]) -> None:
    held = tuple(
        Pin(panel.name, 1, x, y + request.end_loss)
        for panel, (x, y) in zip(request.panels, pins, strict=False)
        if x + panel.width <= request.width
    )
    request = replace(request, pins=held)
    try:
        quick = plan_straight(request)
    except LayError:  # two pins over one another
        assert len(held) == 2
        return
    for lay in (quick, improved(request, 300)):
        assert sound(request, lay)


def test_pins_that_no_straight_cut_parts_are_refused() -> None:
    blades = (
        Pin("blade", 1, 0, 0),
        Pin("blade", 2, 2, 3),
        Pin("blade", 3, 3, 0, True),
        Pin("blade", 4, 0, 2, True),
    )
    request = LayRequest(5, (LayPanel("blade", 3, 2, 4, may_turn=True),), straight_cuts=True, pins=blades)
    with pytest.raises(LayError, match="No straight cut parts these pinned panels: blade") as raised:
        plan_straight(request)
    assert raised.value.panel == "blade"
    assert plan_straight(replace(request, pins=blades[:3])).length > 0


def test_too_long_is_said_and_none_is_nothing() -> None:
    with pytest.raises(LayError, match="The panels need"):
        plan_straight(LayRequest(10, (LayPanel("front", 10, 10, 2),), most_length=15, straight_cuts=True))
    assert plan_straight(LayRequest(10, (), straight_cuts=True)).length == 0


@given(
    counts=st.lists(st.integers(1, 5), min_size=1, max_size=8),
    draws=st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=8, max_size=8),
)
@seeded
def test_blocks_lie_together_only_while_panels_last(counts: list[int], draws: list[tuple[int, int]]) -> None:
    taken = [(min(a, n), min(b, n)) for n, (a, b) in zip(counts, draws, strict=False)]
    coded = Counts(counts)
    one, other = (np.int64(sum(u * t[i] for u, t in zip(coded.units, taken, strict=True))) for i in (0, 1))
    assert bool(coded.together(one, other)) == all(
        a + b <= n for n, (a, b) in zip(counts, taken, strict=True)
    )


def test_a_quick_lay_needs_no_more_than_python() -> None:
    """Pages ask for one: numpy would take their process 20 MB."""
    code = (
        "import sys; from projects.calc.lay import *; "
        "plan_lay(LayRequest(9, (LayPanel('front', 4, 6, 3),), straight_cuts=True)); "
        "sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_building_that_dropped_nothing_says_so() -> None:
    """Every lay of these needs 7; asked for 6 there certainly is none, but not where blocks were dropped."""
    kinds = (Kind(((3, 4),), 2), Kind(((3, 3),), 2))
    built = build(Asked(kinds, 7, 7, keep=100), np.random.default_rng(0), lambda work: True)
    assert (built.length, built.certain) == (7, True)
    assert built.laid is not None
    assert len(built.laid) == 4
    none = build(Asked(kinds, 7, 6, keep=100), np.random.default_rng(0), lambda work: True)
    assert (none.laid, none.certain) == (None, True)
    assert not build(Asked(kinds, 7, 7, keep=1), np.random.default_rng(0), lambda work: True).certain
    assert not build(Asked(kinds, 7, 7, keep=100), np.random.default_rng(0), lambda work: False).certain


def test_rows_are_the_lay_they_came_from() -> None:
    request = LayRequest(100, (LayPanel("front", 40, 60, 2), LayPanel("cuff", 20, 10, 3)), gap=2, end_loss=6)
    lay = plan_straight(request)
    kinds = Kinds.of(items_of(request), 102)
    rows = kinds.rows_of(lay, request)
    assert length_of_rows(rows) * kinds.unit - 2 + 6 == lay.length
    assert sorted((s.x, s.y, s.width, s.length) for s in kinds.spots(rows)) == sorted(
        (p.x, p.y - 6, p.width + 2, p.length + 2) for p in lay.placements
    )
