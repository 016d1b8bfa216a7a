"""Long runs are gone through once: what is asked for each unit does no work for all of them."""

from typing import Any

import pytest

from projects.calc.axis import Axis
from projects.calc.bench_state import Fact, fold
from projects.calc.lengths import System
from projects.planning import plan_rows
from projects.planning.run_advice import asked_now
from projects.planning.run_placed import Placed
from projects.planning.run_units import Unit
from projects.planning.runs import RunPlan, runs_of
from tests import make
from tests.planning.test_by_ratio import rows


@pytest.fixture
def run() -> RunPlan:
    found = runs_of(plan_rows(rows(make.content(make.tucks((6, 4))), across=1_500 * make.MM)))[0]
    assert found.count > 200
    return found


class Counted:
    """How often a method of a class is called."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, of: type, name: str) -> None:
        self.calls, real = 0, getattr(of, name)

        def counted(*given: Any) -> Any:
            self.calls += 1
            return real(*given)

        monkeypatch.setattr(of, name, counted)


def test_gaps_and_spaces_of_all_units(run: RunPlan, monkeypatch: pytest.MonkeyPatch) -> None:
    gaps, compared = Counted(monkeypatch, Axis, "gaps"), Counted(monkeypatch, Unit, "__eq__")
    found = [run.gap_before(unit) for unit in run.units]
    # Tucks 4 mm deep, pressed on, 6 mm apart.
    assert set(found[1:]) == {2 * make.MM} and found[0] == run.space_before(run.units[0])
    assert gaps.calls <= 1 and compared.calls <= run.count


def test_what_is_asked_with_nothing_drawn(run: RunPlan, monkeypatch: pytest.MonkeyPatch) -> None:
    gaps, compared = Counted(monkeypatch, Axis, "gaps"), Counted(monkeypatch, Unit, "__eq__")
    at = "2026-03-02T09:00:00.{:06d}Z"
    state = fold(Fact(f"{n}", "sewn", at.format(n), n) for n in range(1, 11))
    asked_now(run, state, "last", System.METRIC)
    assert gaps.calls <= 1 and compared.calls <= run.count


def test_where_every_unit_lies(run: RunPlan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each leans on its neighbour: none is looked for among all of its row."""
    asked: list[int] = []
    real = RunPlan.towards

    def towards(self: RunPlan, unit: Unit) -> Any:
        for one in real(self, unit):
            asked.append(one.number)
            yield one

    monkeypatch.setattr(RunPlan, "towards", towards)
    at = "2026-03-02T09:00:00.{:06d}Z"
    placed = Placed(run, fold(Fact(f"{n}", "sewn", at.format(n), n) for n in run.places), "last")
    found = [placed.where(unit) for unit in run.units]
    assert [where.leans for where in found] == [None, *(unit.number for unit in run.units[:-1])]
    assert len(asked) < 3 * run.count
