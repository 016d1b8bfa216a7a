"""Runs: the work of one direction of a panel, or of an edge, done unit after unit at the bench. All nm."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from hashlib import sha256
from math import isqrt

from projects.calc.gaps import NARROWEST_GAP
from projects.calc.marks import begin_at
from projects.calc.order_of_work import in_pairs
from projects.calc.panels import PanelPlan, SidePlan

from . import run_units
from .learned_rates import Rates, minutes_of, rates_for
from .plan import CheckMeasure, PanelLine, PiecePlan, Plan, PlannedStep
from .run_units import Unit
from .sewn import EdgePlan
from .touched import edge_key

TUCK, PLEAT, METRE = ("tuck", "tucks"), ("pleat", "pleats"), ("metre", "metres")
UNITS = {
    "gathers": ("row", "rows"),
    "shirring": ("row of elastic", "rows of elastic"),
    "english": ("row of stitches", "rows of stitches"),
    "honeycomb": ("row of dots", "rows of dots"),
    "lattice": ("row of squares", "rows of squares"),
    "quilting": ("line", "lines"),
    "trapunto": ("line", "lines"),
}
"""What a unit of each technique by ratio is called; the dots of English smocking are picked up before."""
DOTS = ("row of dots", "rows of dots")
LACKS = {"cut": "cut", "mark": "marked", "press": "pressed"}
"""What a panel is not yet while a step of this kind is open."""


@dataclass(frozen=True, slots=True)
class Where:
    """Where a unit is folded or sewn: ``length`` from the seam of unit ``leans`` on, or from ``edge`` where
    that is None, and to its stitch line where it has one. ``drawn`` is what is drawn for it, from the first
    edge of the flat cloth: its fold, both its stitch lines, its line; nothing where nothing is drawn."""

    length: int
    to_line: int | None
    leans: int | None
    edge: str
    drawn: tuple[int, ...] = ()


@dataclass(frozen=True)
class RunPlan:
    """One run: ``line`` and ``side`` (tucks, pleats), ``line`` alone (by ratio) or ``edge`` is there."""

    step: PlannedStep
    name: str
    technique: str
    one: str
    many: str
    fabric_id: int | None = None
    line: PanelLine | None = None
    side: SidePlan | None = None
    edge: EdgePlan | None = None
    picks_up: bool = False
    alike: bool = False
    """Planned with the rates of its project's own file: what people were taught here moves nothing."""
    before: tuple[PlannedStep, ...] = ()
    """Steps of its panel that come before it in the working order and are neither done nor skipped."""

    @property
    def key(self) -> str:
        return self.step.key

    @property
    def lacks(self) -> tuple[str, ...]:
        """What its panel is not yet, by ``before``: "cut", "marked", "pressed"; in the working order."""
        return tuple(dict.fromkeys(LACKS[step.kind] for step in self.before if step.kind in LACKS))

    @property
    def panel_id(self) -> int | None:
        return self.line.panel_id if self.line else None

    @property
    def edge_id(self) -> int | None:
        return self.edge.edge_id if self.edge else None

    @property
    def direction(self) -> str:
        """ "across" or "along" for tucks and pleats, else empty."""
        return self.side.name if self.side else ""

    @property
    def checks(self) -> Sequence[CheckMeasure]:
        return self.step.checks

    @property
    def minutes(self) -> Decimal:
        """Planned for all of it."""
        return self.step.minutes

    @property
    def count(self) -> int:
        """How many units, without making them."""
        return self.side.count if self.side else len(self.units)

    @cached_property
    def unit_minutes(self) -> Decimal:
        """Of the studio as a whole."""
        return self.minutes / max(1, self.count)

    def unit_minutes_of(self, person: int | None) -> Decimal:
        """What one takes this person, by what their own hours taught; asked once a run and person."""
        if self.alike:
            return self.unit_minutes
        if person not in self._paces:
            self._paces[person] = self.unit_minutes_at(rates_for(person))
        return self._paces[person]

    def unit_minutes_at(self, rates: Rates) -> Decimal:
        """The same where the person's rates are at hand, for many runs at once."""
        return self.unit_minutes if self.alike else minutes_of(self.step, rates) / max(1, self.count)

    @cached_property
    def _paces(self) -> dict[int | None, Decimal]:
        """As long as the run is kept, rates are what they were: they are part of what keeps it."""
        return {}

    @cached_property
    def units(self) -> tuple[Unit, ...]:
        """In the order of sewing."""
        if self.edge is not None:
            return run_units.of_edge(self.edge)
        if self.side is not None:
            return run_units.of_side(self.side)
        plan = self.line.plan if self.line else None
        return run_units.of_work(plan, plan.work, self.picks_up) if plan and plan.work else ()

    @cached_property
    def fingerprint(self) -> str:
        """Changes whenever a number of the run does, and not with the program: 16 letters."""
        numbers = [
            (u.number, u.at, u.extent, u.letter, u.depth, u.take_up, u.row, u.from_far, u.origin, u.lies,
             u.count, u.segment, u.long)
            for u in self.units
        ]  # fmt: skip
        return sha256(repr(numbers).encode()).hexdigest()[:16]

    @cached_property
    def by_number(self) -> dict[int, Unit]:
        return {unit.number: unit for unit in self.units}

    @cached_property
    def places(self) -> dict[int, int]:
        """Each unit's place in the order of sewing, from 0, by its number."""
        return {unit.number: place for place, unit in enumerate(self.units)}

    @cached_property
    def rows(self) -> dict[str, tuple[Unit, ...]]:
        """Units by row, each from its first edge."""
        found: dict[str, list[Unit]] = {}
        for unit in sorted(self.units, key=lambda unit: unit.at):
            found.setdefault(unit.row, []).append(unit)
        return {row: tuple(units) for row, units in found.items()}

    @cached_property
    def spaces(self) -> tuple[int, ...]:
        """Spaces between neighbours on the finished face, every row's."""
        return tuple(
            later.start - before.end
            for units in self.rows.values()
            for before, later in zip(units, units[1:], strict=False)
        )

    @cached_property
    def fives(self) -> bool:
        """Whether units lie so close that they are tapped in fives."""
        tucks = self.side is not None and self.one == TUCK[0]
        return tucks and min(self.spaces, default=NARROWEST_GAP) < NARROWEST_GAP

    @cached_property
    def overlapping(self) -> bool:
        """Whether each is pressed before the next, since its flap would lie over the next seam."""
        axis = self.side.axis if self.side else None
        return bool(axis and axis.count and axis.narrowest_gap < 0 and begin_at(axis) != "first")

    @property
    def paired(self) -> bool:
        """Whether two folds make one pleat, their flaps lying apart."""
        axis = self.side.axis if self.side else None
        return bool(axis and in_pairs(axis))

    def space_before(self, unit: Unit) -> int:
        """From the seam before it, on the side the sewing comes from, to its own, finished; the first from
        the edge."""
        neighbour = self._neighbour(unit)
        if neighbour is None:
            return unit.extent - unit.end if unit.from_far else unit.start
        return neighbour.start - unit.end if unit.from_far else unit.start - neighbour.end

    def gap_before(self, unit: Unit) -> int:
        """The visible gap there, nm; its space where no flap reaches into it."""
        neighbour = self._neighbour(unit)
        if not self._gaps or neighbour is None:
            return self.space_before(unit)
        return self._gaps[min(self.ordinals[u.number] for u in (unit, neighbour))]

    @cached_property
    def _gaps(self) -> Sequence[int]:
        axis = self.side.axis if self.side else None
        return axis.gaps() if axis else ()

    @cached_property
    def ordinals(self) -> dict[int, int]:
        """Each tuck's place on its axis, from the first edge, by its number."""
        axis = self.side.axis if self.side else None
        return {number: place for place, number in enumerate(axis.numbers)} if axis else {}

    @cached_property
    def _in_row(self) -> dict[int, int]:
        """Each unit's place in its row, by its number."""
        return {unit.number: place for units in self.rows.values() for place, unit in enumerate(units)}

    def _neighbour(self, unit: Unit) -> Unit | None:
        return next(self.towards(unit), None)

    def towards(self, unit: Unit) -> Iterator[Unit]:
        """The units of its row on the side the sewing comes from, the nearest first."""
        row, place = self.rows[unit.row], self._in_row[unit.number]
        beside = range(place + 1, len(row)) if unit.from_far else range(place - 1, -1, -1)
        return (row[i] for i in beside)

    def where(self, unit: Unit, sewn: Collection[int]) -> Where:
        """Where a unit lies with ``sewn`` units sewn: from the nearest seam on the side the sewing comes
        from, with what is not sewn between lying flat; else from the edge. A drawn mark says the same.
        Slanting lines lie apart by what is measured square to them."""
        far, edge = unit.from_far, unit.edges[1 if unit.from_far else 0]
        last = next((one for one in self.towards(unit) if one.number in sewn), None)
        if last is None:
            from_far = far and unit.segment is None
            length = unit.extent - unit.at if from_far else unit.at
            return Where(length, _less(length, unit.depth), None, edge)
        length = last.start - unit.at if far else unit.at - last.end
        if unit.segment is not None:
            length = isqrt(length * length // 2)
        return Where(length, _less(length, unit.depth), last.number, edge)

    def after(self, number: int, sewn: Collection[int]) -> Iterator[Unit]:
        """Units not sewn yet that come after one in the order of sewing, then those left out before."""
        place = self.places.get(number, -1)
        left = [unit for unit in self.units if unit.number not in sewn]
        yield from (unit for unit in left if self.places[unit.number] > place)
        yield from (unit for unit in left if self.places[unit.number] < place)


def _less(length: int, depth: int | None) -> int | None:
    return None if depth is None else length - depth


def runs_of(plan: Plan) -> tuple[RunPlan, ...]:
    """Every run of a plan, in the order of its steps."""
    steps = {step.key: step for step in plan.steps if step.in_plan}
    found = [run for piece in plan.pieces for run in _of_piece(piece, steps)]
    places, before = {key: place for place, key in enumerate(steps)}, _before(steps)
    ready = (replace(run, before=before.get(run.key, ())) for run in found)
    return tuple(sorted(ready, key=lambda run: places[run.key]))


def _before(steps: dict[str, PlannedStep]) -> dict[str, tuple[PlannedStep, ...]]:
    """The steps of its own panel that are open before each step at the bench."""
    waiting: dict[str, list[PlannedStep]] = {}
    found = {}
    for key, step in steps.items():
        if step.on_table:
            if step.at_bench:
                found[key] = tuple(waiting.get(step.on_table, ()))
            if step.state == "open":
                waiting.setdefault(step.on_table, []).append(step)
    return found


def _of_piece(piece: PiecePlan, steps: dict[str, PlannedStep]) -> Iterator[RunPlan]:
    for line in piece.panels:
        yield from of_line(piece.piece_id, line, steps)
    for edge in piece.edges:
        step = steps.get(edge_key(edge.edge_id))
        if step is not None:
            yield RunPlan(step, f"{piece.name}, {edge.name}", "edge", *METRE, piece.fabric_id, edge=edge)


def of_line(piece_id: int, line: PanelLine, steps: dict[str, PlannedStep]) -> Iterator[RunPlan]:
    """The runs of one panel that ``steps`` has a step for."""
    plan, start = line.plan, f"{piece_id}.{line.number}"
    if plan.work is not None:
        yield from _by_ratio(plan, line, start, steps)
        return
    for side in plan.sides:
        step = steps.get(f"{start}:sew:{side.name}:1")
        if step is not None and side.direction is not None:
            words = PLEAT if side.direction.is_pleats else TUCK
            technique = side.direction.technique
            yield RunPlan(step, line.name, technique, *words, line.fabric_id, line, side)


def _by_ratio(
    plan: PanelPlan, line: PanelLine, start: str, steps: dict[str, PlannedStep]
) -> Iterator[RunPlan]:
    technique = plan.work.technique if plan.work else ""
    draw, sew = steps.get(f"{start}:draw::1"), steps.get(f"{start}:sew::1")
    if draw is not None and draw.at_bench:
        yield RunPlan(draw, line.name, technique, *DOTS, line.fabric_id, line, picks_up=True)
    if sew is not None:
        yield RunPlan(sew, line.name, technique, *UNITS[technique], line.fabric_id, line)
