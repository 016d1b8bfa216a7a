"""What the bench says at this moment: the next unit, where it lies, what comes then, how long it takes."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import islice

from projects.calc.bench_state import SEWS, Fact, State, in_another_order
from projects.calc.checks import readings

from .plan import CheckMeasure
from .run_placed import Placed
from .run_units import Unit
from .runs import RunPlan, Where

IDLE = timedelta(minutes=15)
"""A longer gap between two taps is not work on one unit; a starting value."""
PLANNED_COUNTS_AS = 3
"""The planned minutes of a unit count as so many units of this run; a starting value."""
FIVE = 5
STILL_DUE = 3
"""So many units beyond it a check measure may still be made at its own seam."""


@dataclass(frozen=True, slots=True)
class Due:
    """A check measure to be made now: its plan, and both readings with exactly these units sewn (nm)."""

    check: CheckMeasure
    near: int
    far: int


@dataclass(frozen=True, slots=True)
class Now:
    """``unit`` None: all are sewn. ``place`` is its place in the order of sewing, from 1; ``deep`` what the
    guide is set to for it (nm), ``fives`` the units one tap may cover; ``pace`` minutes a unit. ``open`` are
    the units left out behind it, in the order of sewing."""

    unit: Unit | None
    place: int
    where: Where | None
    deep: int | None
    then: tuple[Unit, ...]
    left: int
    pace: Decimal
    due: Due | None
    ahead: CheckMeasure | None
    fives: tuple[int, ...]
    last: Unit | None
    open: tuple[int, ...] = ()

    @property
    def minutes_left(self) -> Decimal:
        return self.left * self.pace


def now_of(
    run: RunPlan, state: State, at: int | None = None, placing: str = "lines", person: int | None = None
) -> Now:
    """What to do next in a run; ``at`` is the unit the maker says to be at, where that is not sewn; the pace
    begins with what this person's hours taught."""
    last = last_unit(run, state)
    unit = run.by_number.get(at) if at is not None and at not in state.sewn else None
    onwards = last is not None and not in_another_order([*run.places], state.sewn)
    following = list(run.after(last.number, state.sewn)) if last and onwards else _unsewn(run, state)
    unit = unit or (following[0] if following else None)
    coming = list(run.after(unit.number, {*state.sewn, unit.number})) if unit else []
    due = due_of(run, state)
    return Now(
        unit=unit,
        place=run.places[unit.number] + 1 if unit else run.count,
        where=Placed(run, state, placing).where(unit) if unit else None,
        deep=depth_of(unit, state) if unit else None,
        then=tuple(islice(coming, 3)),
        left=len(following),
        pace=pace_of(run, state, person),
        due=due,
        ahead=_ahead(run, state, unit),
        fives=tuple(u.number for u in [unit, *coming][:FIVE]) if unit and run.fives else (),
        last=last,
        open=open_behind(run, state, unit),
    )


def _unsewn(run: RunPlan, state: State) -> list[Unit]:
    return [unit for unit in run.units if unit.number not in state.sewn]


def last_unit(run: RunPlan, state: State) -> Unit | None:
    """The unit sewn last: of those one tap covers the one that comes last in the order of sewing."""
    known = [n for n in state.last.units if n in run.places] if state.last else []
    return run.by_number[max(known, key=run.places.__getitem__)] if known else None


def depth_of(unit: Unit, state: State) -> int | None:
    """What the guide is set to for a unit now: planned, and what is asked beyond, nm."""
    return None if unit.depth is None else unit.depth + state.beyond(unit.number)


def between(run: RunPlan, state: State, to: int) -> tuple[int, ...]:
    """Units not sewn that a jump to ``to`` leaves out, in the order of sewing."""
    last = last_unit(run, state)
    start = run.places[last.number] + 1 if last else 0
    units = run.units[start : run.places.get(to, 0)]
    return tuple(unit.number for unit in units if unit.number not in state.sewn)


def pace_of(run: RunPlan, state: State, person: int | None = None) -> Decimal:
    """Minutes a unit at this run's own pace; what a unit takes this person is where it begins."""
    return pace_from(run.unit_minutes_of(person), state)


def pace_from(planned: Decimal, state: State) -> Decimal:
    """The same from the minutes ``planned`` for a unit: they count as a few units, so that the first taps
    don't say too much, and gaps over a quarter of an hour are left out."""
    taps = sorted((f for f in state.live if f.kind in SEWS), key=lambda fact: fact.place)
    units, spent = PLANNED_COUNTS_AS, planned * PLANNED_COUNTS_AS
    for before, tap in zip(taps, taps[1:], strict=False):
        if before.person == tap.person and (gap := _moment(tap) - _moment(before)) <= IDLE:
            units += len(tap.units)
            spent += Decimal(gap.total_seconds()) / 60
    return spent / units


def _moment(fact: Fact) -> datetime:
    return datetime.fromisoformat(fact.at)


def open_behind(run: RunPlan, state: State, unit: Unit | None) -> tuple[int, ...]:
    """The units not sewn that come before one in the order of sewing: taken back, or left out in a jump."""
    before = run.units[: run.places[unit.number]] if unit else ()
    return tuple(one.number for one in before if one.number not in state.sewn)


def due_of(run: RunPlan, state: State) -> Due | None:
    """The check measure to be made now: its unit is sewn, few after it, it isn't made. Units left open behind
    it lie flat, and its readings are for that."""
    made = {fact.unit for fact in state.checks}
    for check in reversed(run.checks):
        place = run.places.get(check.tuck)
        if place is None or check.tuck not in state.sewn:
            continue
        past = sum(unit.number in state.sewn for unit in run.units[place + 1 :])
        if check.tuck in made or past >= STILL_DUE:
            return None
        return Due(check, *readings_at(run, check.tuck, state.sewn, check))
    return None


def readings_at(
    run: RunPlan, number: int, sewn: Collection[int], check: CheckMeasure | None = None
) -> tuple[int, int]:
    """What both readings at a seam should be with the units sewn that are sewn, nm."""
    side, unit = run.side, run.by_number[number]
    axis = side.axis if side else None
    if side is None or axis is None:
        return (check.to_seam, check.to_edge) if check else (0, 0)
    places = run.ordinals
    lie = [places[n] for n in sewn if n in places]
    origin = places.get(unit.origin) if unit.origin is not None else None
    return readings(
        axis, lie, places[number], from_far=unit.from_far, origin=origin, border=side.border
    )


def _ahead(run: RunPlan, state: State, unit: Unit | None) -> CheckMeasure | None:
    """The next check measure still to come."""
    if unit is None:
        return None
    place = run.places[unit.number]
    return next((c for c in run.checks if run.places.get(c.tuck, -1) >= place), None)
