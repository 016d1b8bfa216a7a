"""What a recipe does, worked out for the recipe page: ratios, layers, hours, order, and what is to be drawn.

Nothing is read from the database here but what is handed in; nothing is saved.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from projects.calc import labour
from projects.calc.axis import Axis, GapNote, gap_notes
from projects.calc.errors import CalcError
from projects.calc.lengths import ceil_div
from projects.calc.order import Order, sewing_order
from projects.calc.recipe import Direction, Recipe, RecipeError
from projects.calc.sampling import TakeUp, take_up
from projects.calc.techniques import TECHNIQUES
from projects.models import Fabric

from .learned_rates import Rates
from .samples import Samples, place_of, side

METRE = 1_000_000_000
DRAWN_AT_LEAST, PHONE_AT_LEAST, MOST_REPEATS = 12, 4, 12


@dataclass(frozen=True, slots=True)
class SideWork:
    """One direction at work. Lengths nm; `shown` and `phone` are axes of whole repeats, for drawings."""

    name: str
    direction: Direction
    take_up: TakeUp
    repeat: int
    repeat_flat: int
    units: int
    shown: Axis
    phone: Axis
    repeats_shown: int
    repeats_phone: int
    gaps: tuple[GapNote, ...]
    taken: tuple[int, ...]
    """What each tuck of the repeat takes up, as listed (nm)."""

    @property
    def ratio(self) -> Fraction:
        """Flat / finished of one repeat."""
        return Fraction(self.repeat_flat, self.repeat)


@dataclass(frozen=True, slots=True)
class Work:
    """A recipe's facts. `minutes` is for one finished square metre, without setting up."""

    recipe: Recipe
    across: SideWork | None
    along: SideWork | None
    layers: int
    thickness: int | None
    light: Decimal | None
    minutes: Decimal
    starting: bool
    order: Order
    first: str
    learnt: int = 0
    """Finished steps that the minutes rest on; 0 where they rest on none."""

    @property
    def sides(self) -> tuple[SideWork, ...]:
        return tuple(s for s in (self.across, self.along) if s is not None)

    @property
    def area(self) -> Fraction:
        """Flat square metres for one finished square metre."""
        return _ratio(self.across) * _ratio(self.along)


def _ratio(work: SideWork | None) -> Fraction:
    return work.ratio if work else Fraction(1)


def work_out(
    recipe: Recipe,
    *,
    fabric: Fabric | None = None,
    samples: Samples | None = None,
    rates: Rates | None = None,
) -> Work:
    """Everything the page says of a recipe. Raises RecipeError naming the field where it can't be laid."""
    thickness = fabric.thickness if fabric else None
    across = _side_work(recipe, "across", fabric, samples)
    along = _side_work(recipe, "along", fabric, samples)
    layers = (across.shown.layers_max if across else 1) * (along.shown.layers_max if along else 1)
    order = _order(across, along)
    first = recipe.first if recipe.first != "auto" else order.first
    known = rates or Rates({})
    counted = quantities(across, along, first)
    parts = [(technique, labour.lines(counts, known.of(technique))) for technique, counts in counted]
    work = [line for _, lines in parts for line in lines if line.key != "setup"]
    return Work(
        recipe,
        across,
        along,
        layers,
        None if thickness is None else layers * thickness,
        fabric.light if fabric else None,
        sum((line.minutes for line in work), Decimal(0)),
        any(line.starting for line in work),
        order,
        first,
        max((known.steps(line.key, of) for of, lines in parts for line in lines), default=0),
    )


def _side_work(recipe: Recipe, name: str, fabric: Fabric | None, samples: Samples | None) -> SideWork | None:
    direction = side(recipe, name)
    if direction is None:
        return None
    known = _take_up(recipe, name, direction, fabric, samples)
    thickness = fabric.thickness if fabric else None
    repeat = repeat_of(direction)
    one = _laid(name, direction, repeat, known.extra, thickness)
    units = max(1, one.count)
    shown, phone = (min(MOST_REPEATS, ceil_div(least, units)) for least in (DRAWN_AT_LEAST, PHONE_AT_LEAST))
    reach = one.reaches[0] if direction.stands_up and one.count else None
    return SideWork(
        name,
        direction,
        known,
        repeat,
        one.flat,
        units,
        _laid(name, direction, shown * repeat, known.extra, thickness),
        _laid(name, direction, phone * repeat, known.extra, thickness),
        shown,
        phone,
        () if direction.is_pleats else gap_notes(direction.tucks, direction.laid, reach),
        tuple(max(0, q + known.extra) for q in starting_take_up(direction, thickness)),
    )


def _take_up(
    recipe: Recipe, name: str, direction: Direction, fabric: Fabric | None, samples: Samples | None
) -> TakeUp:
    if samples is None:
        return take_up(())
    place = place_of(recipe, name)
    return samples.take_up(fabric.pk if fabric else None, name, direction.technique, direction.way, place)


def repeat_of(direction: Direction) -> int:
    """Finished length of one repeat; of pleats, what one pleat shows."""
    return direction.width if direction.is_pleats else sum(t.space for t in direction.tucks)


def _laid(name: str, direction: Direction, length: int, extra: int, thickness: int | None) -> Axis:
    try:
        return TECHNIQUES[direction.technique].place(direction, length, extra, thickness)
    except CalcError as error:
        raise RecipeError(f"{name}.{error.field}", error.given, error.expected, error.remedy) from None


def starting_take_up(direction: Direction, thickness: int | None = None) -> tuple[int, ...]:
    return TECHNIQUES[direction.technique].starting_take_up(direction, thickness)


def folds_each(direction: Direction) -> int:
    """How many folds count as one: two of a box or an inverted pleat; a tuck is its own."""
    return len(starting_take_up(direction)) if direction.is_pleats else 1


def _order(across: SideWork | None, along: SideWork | None) -> Order:
    """Which direction first, judged on a finished square metre."""
    counted = [
        (_count(w), w.units and _count(w) * (w.repeat_flat - w.repeat) // w.units if w else 0)
        if w
        else (0, 0)
        for w in (across, along)
    ]
    return sewing_order(*counted[0], *counted[1])


def _count(work: SideWork) -> int:
    """Tucks or pleats in a finished metre."""
    return work.units * METRE // work.repeat


def quantities(
    across: SideWork | None, along: SideWork | None, first: str
) -> Iterator[tuple[str, dict[str, Decimal]]]:
    """What one finished square metre counts for the time budget, by technique: marks, metres, tucks, pleats,
    cords."""
    for work, other in ((across, along), (along, across)):
        if work is None:
            continue
        count = Decimal(_count(work))
        sewn_first = first != work.name and other is not None and first in ("across", "along")
        run = Decimal(1) if sewn_first else _decimal(_ratio(other))
        part = run if work.direction.sewn is None else min(run, Decimal(work.direction.sewn) / METRE)
        key = "pleats" if work.direction.is_pleats else "tucks"
        cords = count if work.direction.technique == "corded" else Decimal(0)
        counted = {"marks": count, key: count, "metres_sewn": count * part, "metres_pressed": count * run}
        yield work.direction.technique, counted | {"cords": cords}


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)
