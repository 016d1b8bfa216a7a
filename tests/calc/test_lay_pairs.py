"""Pairs brought together by equal panels changing places, and nothing else changed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import LayPanel, LayRequest, plan_lay
from projects.calc.lay.pairs import BEHIND, BESIDE, Pair, neighbours, pair_up, together
from projects.calc.lay.request import Lay, Pin, StashLength
from tests.lay_checker import faults
from tests.stash_checker import stash_faults

SLEEVES: Pair = (("sleeve", 1), ("sleeve", 2))
CUFFS: Pair = (("cuff", 1), ("cuff", 2))


def test_two_of_a_pair_come_side_by_side() -> None:
    panels = (LayPanel("sleeve", 30, 40), LayPanel("yoke", 30, 40), LayPanel("other sleeve", 30, 40))
    request = LayRequest(90, panels)
    lay = plan_lay(request)
    pair: Pair = (("sleeve", 1), ("other sleeve", 1))
    apart = replace(
        lay, placements=tuple(replace(p, x={"sleeve": 0, "yoke": 30}.get(p.name, 60)) for p in lay.placements)
    )
    assert not together(apart, pair)
    found = pair_up(apart, request, [pair])
    assert together(found, pair)
    assert faults(request, found) == []


def test_side_by_side_comes_before_end_to_end() -> None:
    request = LayRequest(64, (LayPanel("sleeve", 30, 40, 2), LayPanel("cuff", 30, 40, 2)), gap=2)
    lay = plan_lay(request)
    found = pair_up(lay, request, [SLEEVES, CUFFS])
    at = {(p.name, p.copy): (p.x, p.y) for p in found.placements}
    assert at["sleeve", 1][1] == at["sleeve", 2][1]
    assert at["cuff", 1][1] == at["cuff", 2][1]
    assert faults(request, found) == []


def test_a_pinned_panel_stays_and_its_fellow_comes_to_it() -> None:
    request = LayRequest(60, (LayPanel("sleeve", 30, 40, 2), LayPanel("cuff", 30, 40, 4)))
    pin = Pin("sleeve", 1, 30, 80)
    request = replace(request, pins=(pin,))
    found = pair_up(plan_lay(request), request, [SLEEVES])
    first = next(p for p in found.placements if (p.name, p.copy) == ("sleeve", 1))
    assert (first.x, first.y) == (30, 80)
    assert together(found, SLEEVES)


def test_what_is_between_keeps_two_apart() -> None:
    request = LayRequest(90, (LayPanel("sleeve", 30, 40, 2), LayPanel("yoke", 25, 40)))
    lay = plan_lay(request)
    sleeves = [i for i, p in enumerate(lay.placements) if p.name == "sleeve"]
    order = tuple(
        replace(p, x={sleeves[0]: 0, sleeves[1]: 60}.get(i, 31)) for i, p in enumerate(lay.placements)
    )
    assert not any({a, b} == set(sleeves) for _, a, b in neighbours(order))


def test_neighbours_lie_beside_or_behind() -> None:
    lay = plan_lay(LayRequest(60, (LayPanel("sleeve", 30, 40, 4),)))
    assert Counter(way for way, _, _ in neighbours(lay.placements)) == {BESIDE: 2, BEHIND: 2}


@pytest.mark.parametrize("pairs", [[], [(("sleeve", 1), ("hood", 1))], [(("sleeve", 1), ("sleeve", 1))]])
def test_without_a_pair_nothing_moves(pairs: list[Pair]) -> None:
    request = LayRequest(60, (LayPanel("sleeve", 30, 40, 4),))
    lay = plan_lay(request)
    assert pair_up(lay, request, pairs) == lay


requests = st.builds(
    LayRequest,
    width=st.integers(20, 40),
    panels=st.lists(
        st.builds(
            LayPanel,
            name=st.just(""),
            width=st.sampled_from((8, 10)),
            length=st.sampled_from((8, 10)),
            count=st.integers(1, 3),
            may_turn=st.booleans(),
        ),
        min_size=2,
        max_size=4,
    ).map(lambda found: tuple(replace(panel, name=f"piece {i}") for i, panel in enumerate(found))),
    gap=st.integers(0, 2),
    one_dye_lot=st.just(False),
)


def score(lay: Lay, pairs: list[Pair]) -> int:
    return sum(together(lay, pair) for pair in pairs)


@given(request=requests, seed=st.randoms(use_true_random=False), stash=st.booleans())
@settings(derandomize=True, max_examples=100, deadline=None)
def test_nothing_else_changes_and_no_fewer_lie_together(request: LayRequest, seed, stash: bool) -> None:  # type: ignore[no-untyped-def]
    if stash:
        request = replace(request, lengths=(StashLength("a", 24, 40), StashLength("b", 30, 30)))
    lay = plan_lay(request)
    names = [(p.name, p.copy) for p in lay.placements]
    seed.shuffle(names)
    pairs: list[Pair] = list(zip(names[::2], names[1::2], strict=False))
    found = pair_up(lay, request, pairs)
    assert stash_faults(request, found) == []
    assert (found.length, found.used, found.shortest) == (lay.length, lay.used, lay.shortest)
    places = [{(p.x, p.y, p.width, p.length, p.on) for p in one.placements} for one in (lay, found)]
    assert places[0] == places[1]
    assert score(found, pairs) >= score(lay, pairs)
    assert pair_up(lay, request, pairs) == found


@pytest.mark.parametrize("count", [4, 5, 6])
def test_as_many_pairs_as_any_change_of_places_gives(count: int) -> None:
    request = LayRequest(30, (LayPanel("sleeve", 10, 10, count),))
    lay = plan_lay(request)
    pairs: list[Pair] = [(("sleeve", i), ("sleeve", count + 1 - i)) for i in range(1, count // 2 + 1)]
    best = 0
    for order in permutations(range(1, count + 1)):
        copies = tuple(replace(p, copy=c) for p, c in zip(lay.placements, order, strict=True))
        best = max(best, score(replace(lay, placements=copies), pairs))
    assert score(pair_up(lay, request, pairs), pairs) == best
