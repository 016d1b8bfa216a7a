"""The exact search: CP-SAT on the places sums can reach. The one module that loads the solver.

The model is built as the solver's own message: its Python face would load libraries of tables, which takes
longer than many a lay, and more memory than all the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, isfinite
from typing import Any

from ortools.sat.python import cp_model_helper as cp

from projects.calc.lay.grid import Grid, Laid
from projects.calc.lay.sums import ranges, reachable, reachable_without_each


@dataclass(slots=True)
class Solved:
    """What the solver found: a lay (None: it found none), its length, a bound (units), whether it is done."""

    laid: list[Laid] | None
    length: int
    bound: int
    done: bool
    work: float = 0.0  # in the solver's own measure


class Model:
    """Panels of a grid on cloth no longer than `most`; the length is what is made short."""

    def __init__(self, grid: Grid, least: int, most: int) -> None:
        self.grid = grid
        self.most = most
        self.proto = cp.CpModelProto()
        self.solver: Any = cp.SolveWrapper()  # partly untyped
        self.x: list[int] = []
        self.y: list[int] = []
        self.ways: list[list[int]] = []  # literals that say how a turning item lies; empty for the others
        self.boxes: list[tuple[int, int, int, int]] = []  # intervals across and along, and their sizes
        self.length = self._variable(self._ends(least, most))
        self.proto.objective.vars.append(self.length)
        self.proto.objective.coeffs.append(1)
        self._lay_loose()
        self._hold_pinned()
        self._no_overlap()
        self._equals_in_turn()

    def hint(self, laid: Sequence[Laid], length: int) -> None:
        """Where a known lay has everything."""
        hint = self.proto.solution_hint
        hint.vars.append(self.length)
        hint.values.append(min(length, self.most))
        for at, x, y, w, long in laid:
            for variable, value in ((self.x[at], x), (self.y[at], y)):
                hint.vars.append(variable)
                hint.values.append(value)
            for literal, way in zip(self.ways[at], self.grid.ways[at], strict=False):
                hint.vars.append(literal)
                hint.values.append(int(way == (w, long)))

    def solve(
        self, seconds: float, work: float, seed: int, better: Callable[[int, list[Laid]], None]
    ) -> Solved:
        """Search for so many seconds, or so much of the solver's own measure of work."""
        settings = cp.SatParameters()
        settings.max_time_in_seconds = seconds
        settings.max_deterministic_time = work
        settings.random_seed = seed
        settings.num_workers = 1  # several would race, and the same request might give another lay
        settings.linearization_level = 0  # many quick tries find more here than relaxations save
        solver = self.solver
        solver.set_parameters(settings)
        heard = _Heard(self, better)
        solver.add_solution_callback(heard)
        answer = solver.solve(self.proto)
        status = answer.status
        if status == cp.INFEASIBLE:
            return Solved(None, 0, self.most + 1, True, answer.deterministic_time)
        found = status in (cp.OPTIMAL, cp.FEASIBLE)
        values = list(answer.solution) if found else []
        length = values[self.length] if found else 0
        bound = ceil(answer.best_objective_bound - 1e-6) if isfinite(answer.best_objective_bound) else 0
        laid = self.laid(values) if found else None
        return Solved(laid, length, bound, status == cp.OPTIMAL, answer.deterministic_time)

    def stop(self) -> None:
        """End the search of another thread."""
        self.solver.stop_search()

    def laid(self, values: Sequence[int]) -> list[Laid]:
        found = []
        for at, ways in enumerate(self.grid.ways):
            lies = next((i for i, literal in enumerate(self.ways[at]) if values[literal]), 0)
            found.append((at, values[self.x[at]], values[self.y[at]], *ways[lies]))
        return found

    def _ends(self, least: int, most: int) -> list[int]:
        choices = [tuple({long for _, long in ways}) for ways in self.grid.ways]
        sums = reachable(choices, most, self._bases(1, 3))
        ends = [end for end in sums if end >= least] if sums else []
        return ranges(ends) if ends else [least, most]

    def _bases(self, at: int, size: int) -> list[int]:
        return sorted({0, *(held[at] + held[size] for held in self.grid.held)})

    def _lay_loose(self) -> None:
        grid = self.grid
        across = reachable_without_each(
            [tuple({w for w, _ in ways}) for ways in grid.ways], grid.width, self._bases(0, 2)
        )
        along = reachable_without_each(
            [tuple({long for _, long in ways}) for ways in grid.ways], self.most, self._bases(1, 3)
        )
        for at, ways in enumerate(grid.ways):
            x = self._variable(_domain(across[at], grid.width - min(w for w, _ in ways)))
            y = self._variable(_domain(along[at], self.most - min(long for _, long in ways)))
            self.x.append(x)
            self.y.append(y)
            literals = [] if len(ways) == 1 else self._one_of(len(ways))
            self.ways.append(literals)
            for i, (w, long) in enumerate(ways):
                only = [literals[i]] if literals else []
                if long > self.most:  # this way it can't be part of a shorter lay
                    self._linear(only, [1], 0, 0, [])
                    continue
                self.boxes.append((self._interval(x, w, only), self._interval(y, long, only), w, long))
                self._linear([self.length, y], [1, -1], long, self.most, only)
                if literals:
                    self._linear([x], [1], 0, grid.width - w, only)

    def _hold_pinned(self) -> None:
        for x, y, w, long in self.grid.held:
            fixed_x, fixed_y = self._variable([x, x]), self._variable([y, y])
            self.boxes.append((self._interval(fixed_x, w, []), self._interval(fixed_y, long, []), w, long))

    def _no_overlap(self) -> None:
        """Panels keep clear of each other; in each direction they also fit as so much at a time."""
        boxes = self.proto.constraints.add().no_overlap_2d
        boxes.x_intervals.extend([box[0] for box in self.boxes])
        boxes.y_intervals.extend([box[1] for box in self.boxes])
        across = self.proto.constraints.add().cumulative
        across.capacity.offset = self.grid.width
        across.intervals.extend([box[1] for box in self.boxes])
        along = self.proto.constraints.add().cumulative
        along.capacity.vars.append(self.length)
        along.capacity.coeffs.append(1)
        along.intervals.extend([box[0] for box in self.boxes])
        for _, _, w, long in self.boxes:
            across.demands.add().offset = w
            along.demands.add().offset = long

    def _equals_in_turn(self) -> None:
        """Equal items change places freely: the one that comes first lies first."""
        last: dict[Any, int] = {}
        for at, ways in enumerate(self.grid.ways):
            if ways in last:
                self._linear([self.y[at], self.y[last[ways]]], [1, -1], 0, self.most, [])
            last[ways] = at

    def _variable(self, domain: Sequence[int]) -> int:
        self.proto.variables.add().domain.extend(domain)
        return len(self.proto.variables) - 1

    def _one_of(self, count: int) -> list[int]:
        literals = [self._variable([0, 1]) for _ in range(count)]
        self.proto.constraints.add().exactly_one.literals.extend(literals)
        return literals

    def _interval(self, start: int, size: int, only: Sequence[int]) -> int:
        constraint = self.proto.constraints.add()
        constraint.enforcement_literal.extend(only)
        interval = constraint.interval
        for end in (interval.start, interval.end):
            end.vars.append(start)
            end.coeffs.append(1)
        interval.end.offset = size
        interval.size.offset = size
        return len(self.proto.constraints) - 1

    def _linear(
        self, variables: Sequence[int], factors: Sequence[int], least: int, most: int, only: Sequence[int]
    ) -> None:
        constraint = self.proto.constraints.add()
        constraint.enforcement_literal.extend(only)
        constraint.linear.vars.extend(variables)
        constraint.linear.coeffs.extend(factors)
        constraint.linear.domain.extend([least, most])


class _Heard(cp.SolutionCallback):
    """Passes on each lay the solver finds."""

    def __init__(self, model: Model, better: Callable[[int, list[Laid]], None]) -> None:
        super().__init__()
        self.model = model
        self.better = better

    def OnSolutionCallback(self) -> None:  # noqa: N802 - the solver's name
        model = self.model
        values = [self.SolutionIntegerValue(at) for at in range(len(model.proto.variables))]
        self.better(values[model.length], model.laid(values))


def _domain(values: Sequence[int] | None, most: int) -> list[int]:
    return [0, most] if values is None else ranges(values)
