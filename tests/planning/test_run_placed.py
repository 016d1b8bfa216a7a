"""Where the next tuck is folded and sewn, beside a strip of cloth that is drawn on and sewn tuck by tuck."""

from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.bench_state import Fact, State, fold
from projects.planning import plan_rows
from projects.planning.run_placed import Placed
from projects.planning.run_units import Unit
from projects.planning.runs import RunPlan, runs_of
from tests import make
from tests.make import MM
from tests.planning.test_by_ratio import rows

PAIRS = {"graduated": make.GRADUATED, "overlapping": ((10, 14),)}
INCH_STEP = 793_750


@cache
def run_of(name: str) -> RunPlan:
    return runs_of(plan_rows(rows(make.content(make.tucks(*PAIRS[name])))))[0]


def at(number: int) -> str:
    return f"2026-03-02T09:{number:02}:00.000000Z"


def state_of(run: RunPlan, off: list[int], steps: dict[int, int], guide: int) -> State:
    """The first tucks sewn at depths off by these from what was asked; ``steps`` and guide asked before."""
    facts = [
        Fact("g", "guide", at(0), asked={"guide": guide}),
        Fact("c", "correct", at(0), asked={"steps": {str(n): nm for n, nm in steps.items()}, "spaces": {}}),
    ]
    for place, (unit, wrong) in enumerate(zip(run.units, off, strict=False)):
        beyond = guide + steps.get(unit.number, 0)
        depth = (unit.depth or 0) + beyond + wrong if wrong else None
        asked: dict[str, Any] = {"beyond": {str(unit.number): beyond}}
        facts.append(Fact(f"t{place:02}", "sewn", at(place + 1), unit.number, depth=depth, asked=asked))
    return fold(facts)


def swallowed(unit: Unit, deeper: int, placing: str) -> tuple[int, int]:
    """The flat cloth a tuck of this depth takes: about its drawn fold, or on from the line reached first."""
    depth = (unit.depth or 0) + deeper
    if placing == "folds":
        return unit.at - depth, unit.at + depth
    if unit.from_far:
        line = unit.at + (unit.depth or 0)
        return line - 2 * depth, line
    line = unit.at - (unit.depth or 0)
    return line, line + 2 * depth


@given(
    name=st.sampled_from(sorted(PAIRS)), placing=st.sampled_from(["lines", "folds"]),
    off=st.lists(st.sampled_from([0, 0, 500_000, -500_000, INCH_STEP, 1_500_000]), min_size=1, max_size=5),
    stepped=st.dictionaries(st.integers(0, 6), st.sampled_from([500_000, -500_000, INCH_STEP])),
    guide=st.sampled_from([0, 500_000, -500_000]),
)  # fmt: skip
def test_as_on_a_strip_of_cloth(
    name: str, placing: str, off: list[int], stepped: dict[int, int], guide: int
) -> None:
    """The guide only brings tucks to their depth, so it takes up nothing; all else does."""
    run = run_of(name)
    steps = {run.units[place].number: nm for place, nm in stepped.items()}
    state = state_of(run, off, steps, guide)
    last, unit = run.units[len(off) - 1], run.units[len(off)]
    start, end = swallowed(last, steps.get(last.number, 0) + off[-1], placing)
    step = steps.get(unit.number, 0)
    mine = swallowed(unit, step, placing)
    where = Placed(run, state, placing).where(unit)
    assert where.to_line == (start - mine[1] if unit.from_far else mine[0] - end)
    assert where.length - where.to_line == (unit.depth or 0) + step, "fold and line agree with what is asked"
    assert where.leans == last.number


@pytest.mark.parametrize("placing", ["lines", "folds", "last"])
def test_nothing_asked_and_nothing_wrong_is_the_plan(placing: str) -> None:
    run = run_of("graduated")
    for sewn, unit in enumerate(run.units[:8]):
        where = Placed(run, state_of(run, [0] * sewn, {}, 0), placing).where(unit)
        planned = run.where(unit, {before.number for before in run.units[:sewn]})
        assert (where.length, where.to_line, where.leans) == (planned.length, planned.to_line, planned.leans)


def test_what_is_drawn() -> None:
    run = run_of("graduated")
    unit = run.units[1]
    drawn = {placing: Placed(run, fold(()), placing).drawn(unit) for placing in ("lines", "folds", "last")}
    assert drawn == {"lines": (unit.at - 7 * MM, unit.at + 7 * MM), "folds": (unit.at,), "last": ()}
