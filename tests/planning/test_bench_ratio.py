"""Where rows and lines worked by ratio lie at the bench, as the mark table says it."""

from math import isqrt

import pytest

from projects.calc.bench_state import Fact, fold
from projects.calc.lengths import System
from projects.planning import plan_rows
from projects.planning.run_placed import Placed
from projects.planning.runs import RunPlan, runs_of
from projects.printing.ratio_marks import grid_tables_of_line
from projects.views.bench_words import Words
from tests.make import MM
from tests.planning.test_by_ratio import content, rows

AT = "2026-03-02T09:00:00.000000Z"


def run_of(technique: str, **values: object) -> RunPlan:
    recipe = content(technique, **values)
    return runs_of(plan_rows(rows(recipe)))[-1]


def said(run: RunPlan, *sewn: int, system: System = System.METRIC) -> str:
    """The large figure and the line below it of the next one, without what is worked in it."""
    state = fold([Fact(f"{n}", "sewn", AT, n) for n in sewn])
    unit = next(unit for unit in run.units if unit.number not in sewn)
    where, words = Placed(run, state, "lines").where(unit), Words(run, system)
    return f"{' '.join(words.figure(unit, where))} {words.where(unit, where)}".split(":")[0]


@pytest.mark.parametrize(
    ("system", "step"), [(System.METRIC, "25 mm"), (System.INCH, "31/32 in")]
)
def test_slanting_lines_lie_apart_square_to_one_another(system: System, step: str) -> None:
    """25 mm apart, root 2 as far at the edge: a hand measures 25 from the last line."""
    run = run_of("quilting", spacing=25 * MM, row=25 * MM, slant=True)
    first, then, *_ = run.units
    assert said(run, first.number, system=system) == f"{step} from the last line, square to it"
    beyond = next(unit for unit in run.units if unit.from_far)
    known = [unit.number for unit in run.units[: run.places[beyond.number]]]
    assert said(run, *known, system=system) == f"{step} from line {first.number}, square to it"
    assert then.at - first.at == isqrt(2 * (25 * MM) ** 2)


def test_the_first_slanting_line_is_told_as_the_mark_table_tells_it() -> None:
    run = run_of("quilting", spacing=25 * MM, row=25 * MM, slant=True)
    assert run.line is not None
    tables = {table.name: table for table in grid_tables_of_line(run.line, System.METRIC)}
    for unit in (run.units[0], next(u for u in run.units if u.row == "along")):
        corner = tables[unit.row].edge
        known = [u.number for u in run.units[: run.places[unit.number]]]
        figure, where = said(run, *known).split(" mm from ")
        assert where == corner and float(figure) * MM == pytest.approx(unit.at, abs=MM / 4)
        assert 0 < unit.at < unit.extent


def test_a_row_on_the_edge_says_so() -> None:
    """200 mm in rows of 10: the first dots lie on the edge and the last on the other."""
    run = run_of("english", row=10 * MM, spacing=10 * MM)
    words = Words(run, System.METRIC)
    last = run.units[-1]
    assert said(run).startswith("0 mm on the top edge itself")
    before = fold([Fact(f"{unit.number}", "sewn", AT, unit.number) for unit in run.units[:-1]])
    where = Placed(run, before, "lines").where(last)
    assert words.drawn(last, where) == "row drawn on the bottom edge itself"


def test_with_a_margin_the_first_row_is_measured_from_the_edge() -> None:
    run = run_of("gathers", rows=2)
    first = run.units[0]
    assert first.at > 0 and said(run) == f"{first.at / MM:g} mm from the {first.edges[0]}"
    assert said(run, 1).endswith("from the last row")


def test_straight_lines_are_measured_along_the_edge() -> None:
    run = run_of("quilting", spacing=25 * MM, row=25 * MM)
    first, then, *_ = run.units
    assert said(run).endswith(" from the left edge")
    assert said(run, first.number) == f"{(then.at - first.at) / MM:g} mm from the last line"
