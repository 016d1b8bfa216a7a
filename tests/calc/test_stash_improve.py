"""Lays on lengths made better: never worse by the aims, sound, and the same way again for the same seed."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from projects.calc.lay import Lay, LayPanel, LayRequest, plan_lay
from projects.calc.lay.budget import Budget
from projects.calc.lay.improve import improve
from projects.calc.lay.request import Flaw, Pin, StashLength
from projects.calc.lay.stash import improve_stash, improving
from projects.calc.lay.stash.answer import lay_of
from projects.calc.lay.stash.groups import groups_of
from projects.calc.lay.stash.planner import search
from projects.calc.lay.stash.problem import problem_of
from tests.stash_brute import Aims, aims_met, best_by_brute, small_case
from tests.stash_checker import stash_faults
from tests.straight_checker import can_be_cut

CM = 10_000_000


def budget(steps: int = 4_000) -> Budget:
    """Work is counted, the clock stands still; a bin gets too little time to load the solver for it."""
    return Budget(lambda: 0.0, 0.5, steps)


def met(request: LayRequest, lay: Lay) -> Aims:
    return aims_met(request, lay.length, {used.name: used.length for used in lay.used})


def quick(request: LayRequest) -> Lay | None:
    """What quick ways alone find."""
    problem = problem_of(request)
    found = search(problem, groups_of(problem), None)
    return lay_of(problem, found.laid, found.bound, found.certain) if found.laid is not None else None


def shelf_of(seed: int, panels: int = 14, lengths: int = 4, *, straight: bool = False) -> LayRequest:
    random = Random(seed)
    asked = tuple(
        LayPanel(
            f"panel {i}", random.randint(10, 60) * CM, random.randint(10, 80) * CM, 1, random.random() < 0.4
        )
        for i in range(panels)
    )
    area = sum(p.width * p.length for p in asked)
    shelf = tuple(
        StashLength(
            f"length {i}",
            random.choice((90, 110, 140)) * CM,
            int(area * random.uniform(0.5, 1.6) / lengths / (110 * CM)),
            random.choice(("", "A")),
            (Flaw(30 * CM, 30 * CM, 5 * CM, 5 * CM),) if i % 3 == 0 else (),
        )
        for i in range(lengths)
    )
    return LayRequest(
        140 * CM, asked, CM, lengths=shelf, end_loss=CM, one_dye_lot=seed % 2 == 0, straight_cuts=straight
    )


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("every", [True, False])
def test_a_better_use_is_found_and_none_is_ever_worse(
    seed: int, every: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Trying every use gives the best there is; filling again seldom misses it."""
    request = small_case(seed)
    first = quick(request)
    if first is None:
        return
    if not every:
        monkeypatch.setattr(improving, "CERTAIN_PANELS", 0)
    told: list[Lay] = []
    lay = improve_stash(request, first, budget(), told.append)
    best = best_by_brute(request)
    assert best is not None
    assert stash_faults(request, lay) == []
    assert best <= met(request, lay) <= met(request, first)
    assert lay.lower_bound <= best[0]
    alone = not lay.used  # on the roll only the solver, which isn't loaded here, proves what quick ways can't
    if lay.shortest or (every and not alone):
        assert met(request, lay) == best
    assert lay.shortest or alone or not every
    assert lay == (told[-1] if told else first)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("straight", [False, True])
def test_larger_lays_get_better_soundly_and_in_the_same_way(seed: int, straight: bool) -> None:
    request = shelf_of(seed, straight=straight)
    first = plan_lay(request)
    told: list[Lay] = []
    lay = improve(request, first, budget(), told.append)
    aims = [met(request, better) for better in (first, *told)]
    assert aims == sorted(aims, reverse=True)
    for better in told:
        assert stash_faults(request, better) == []
    assert lay == (told[-1] if told else first)
    if straight:
        for name in {p.on for p in lay.placements}:
            assert can_be_cut([p for p in lay.placements if p.on == name])
    assert improve(request, first, budget(), lambda _: None) == lay


def test_some_lays_do_get_better() -> None:
    gained = 0
    for seed in range(8):
        request = shelf_of(seed)
        first = plan_lay(request)
        gained += met(request, improve(request, first, budget(), lambda _: None)) < met(request, first)
    assert gained >= 4


def test_pinned_panels_stay_while_the_rest_gets_better() -> None:
    request = replace(shelf_of(1), one_dye_lot=False)
    first = plan_lay(request)
    pins = tuple(Pin(p.name, p.copy, p.x, p.y, p.turned, p.on) for p in first.placements[::4])
    request = replace(request, pins=pins)
    lay = improve(request, first, budget(), lambda _: None)
    assert stash_faults(request, lay) == []
    assert met(request, lay) <= met(request, first)


def test_where_no_lot_serves_the_search_for_the_roll_is_used() -> None:
    panels = (LayPanel("front", 60 * CM, 90 * CM, 6), LayPanel("back", 80 * CM, 50 * CM, 6))
    request = LayRequest(140 * CM, panels, lengths=(StashLength("short", 140 * CM, 60 * CM),))
    lay = improve(request, plan_lay(request), budget(), lambda _: None)
    assert stash_faults(request, lay) == []
    alone = replace(request, lengths=())
    assert lay.length <= plan_lay(alone).length
    assert lay.used == ()


def test_nobody_waits_once_a_stop_is_asked_for() -> None:
    request = shelf_of(3)
    first = plan_lay(request)
    stopped = Budget(lambda: 0.0, 1.0, None, lambda: True)
    assert improve_stash(request, first, stopped, lambda _: None) == first
