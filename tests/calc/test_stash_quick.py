"""The quick ways to use the stash answer as the plain ones do, whatever they leave out on the way."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import LayPanel, LayRequest
from projects.calc.lay.request import Flaw, Pin, StashLength
from projects.calc.lay.stash.aims import Problem, key_of
from projects.calc.lay.stash.bins import Bin, Kind, rect_of
from projects.calc.lay.stash.fill import Taste, fill
from projects.calc.lay.stash.greedy import quick_use
from projects.calc.lay.stash.groups import groups_of
from projects.calc.lay.stash.problem import problem_of
from tests import lay_cases
from tests.stash_plain import fill_plainly, quick_use_plainly

CM = 10_000_000
CASES = 45
SHELF = ((140, 260, "a"), (138, 190, "a"), (140, 90, "a"), (112, 340, "b"))

sizes = st.tuples(st.integers(1, 40), st.integers(1, 40), st.integers(1, 3), st.booleans())
blocks = st.tuples(st.integers(0, 90), st.integers(0, 90), st.integers(-2, 12), st.integers(-2, 20))


@given(
    panels=st.lists(sizes, min_size=1, max_size=12),
    flaws=st.lists(blocks, max_size=3),
    taste=st.builds(Taste, st.booleans(), st.booleans(), st.booleans(), st.booleans()),
    pin=st.none() | st.tuples(st.integers(0, 70), st.integers(0, 70)),
    under=st.integers(1, 120),
)
@settings(derandomize=True, max_examples=300, deadline=None)
def test_a_bin_is_filled_as_it_would_be_plainly(
    panels: list[tuple[int, int, int, bool]],
    flaws: list[tuple[int, int, int, int]],
    taste: Taste,
    pin: tuple[int, int] | None,
    under: int,
) -> None:
    kinds = [
        Kind(LayPanel("", w, long, n), tuple(range(n)), ((w, long), (long, w)) if turns else ((w, long),))
        for w, long, n, turns in panels
    ]
    order = [kind for kind, (_, _, n, _) in enumerate(panels) for _ in range(n)]
    around = [(x, y, x + wide, y + long) for x, y, wide, long in flaws]
    held = (((0, *pin, 20, 15), 1),) if pin else ()
    around += [rect_of(spot) for spot, _ in held]
    bin_ = Bin("a", 100, 2, 110, 2, blocks=tuple(around), pinned=held)
    plain = fill_plainly(bin_, order, kinds, taste)
    assert fill(bin_, order, kinds, taste) == plain
    stopped = fill(bin_, order, kinds, taste, under=under)
    ends_before = len(plain) == len(order) and max(y + long for _, _, y, _, long in plain) < under
    assert stopped == plain[: len(stopped)]
    assert (len(stopped) == len(order)) == ends_before


def case(seed: int) -> LayRequest:
    """Panels of a strip or a garment on up to four lengths, mostly with a roll; each third with a blank."""
    random = Random(seed)
    count = random.choice((9, 12, 18))
    request = lay_cases.garment(seed, 1) if seed % 2 else lay_cases.shaved(seed, count)[0]
    turning = random.random() < 0.5
    panels = tuple(replace(panel, may_turn=turning or panel.may_turn) for panel in request.panels)
    if not seed % 3:
        blank = LayPanel("Blank", random.randint(5, 120) * CM, random.randint(5, 90) * CM, may_turn=True)
        panels = (*panels, blank)
    lengths = []
    for at, (wide, long, lot) in enumerate(SHELF[: random.randint(1, 4)]):
        long += random.randrange(-60, 90)
        spots = [
            (random.randrange(wide - 8), random.randrange(long - 8), 2, random.randrange(1, 8))
            for _ in range(random.choice((0, 0, 1, 2)))
        ]
        flaws = tuple(Flaw(*(side * CM for side in spot)) for spot in spots)
        lengths.append(StashLength(f"length {at}", wide * CM, long * CM, lot, flaws))
    return replace(
        request,
        panels=panels,
        lengths=tuple(lengths),
        straight_cuts=random.random() < 0.5,
        one_dye_lot=random.random() < 0.3,
        gap=random.choice((0, CM // 2)),
        end_loss=random.choice((0, 2 * CM)),
        smallest_remnant=random.choice((0, 20 * CM)),
        width=random.choice((0, request.width, request.width)),
    )


def pinned(problem: Problem) -> Problem:
    """The first panel held where a quick use has it."""
    for group in groups_of(problem):
        for bin_, spots in (quick_use(problem, group) or {}).items():
            for kind, x, y, wide, long in spots[:1]:
                panel, gap = problem.kinds[kind].panel, problem.request.gap
                turned = (wide - gap, long - gap) != (panel.width, panel.length)
                pin = Pin(panel.name, 1, x, y, turned, bin_.name)
                return problem_of(replace(problem.request, pins=(pin,)))
    return problem


@pytest.mark.parametrize("seed", range(CASES))
def test_the_use_is_no_worse_than_the_plain_one(seed: int) -> None:
    problem = problem_of(case(seed))
    if seed % 5 == 4:
        problem = pinned(problem)
    for group in groups_of(problem):
        plain, found = quick_use_plainly(problem, group), quick_use(problem, group)
        assert (plain is None) == (found is None)
        if plain is not None and found is not None:
            assert key_of(problem, found) <= key_of(problem, plain)


def test_the_cases_are_of_every_kind() -> None:
    problems = [problem_of(case(seed)) for seed in range(CASES)]
    found = [quick_use(problem, group) for problem in problems for group in groups_of(problem)]
    assert sum(laid is None for laid in found) >= 3
    bought = [any(b.is_roll and spots for b, spots in laid.items()) for laid in found if laid is not None]
    assert 10 <= sum(bought) <= len(bought) - 10
    assert sum(problem.request.straight_cuts for problem in problems) >= 20
