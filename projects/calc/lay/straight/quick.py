"""A quick lay of straight cuts: several orders and rules, panels joined into blocks, the shortest kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from functools import partial
from itertools import product
from typing import Final

from projects.calc.lay.bound import lower_bound
from projects.calc.lay.bounds_wide import lifted
from projects.calc.lay.pinned import held
from projects.calc.lay.planner import answer, length_of
from projects.calc.lay.request import Item, Lay, LayRequest, items_of
from projects.calc.lay.shelf import shelves
from projects.calc.lay.skyline import Spot
from projects.calc.lay.stash.bins import Bin, Kind, least_sides
from projects.calc.lay.stash.through import fill_through
from projects.calc.lay.straight.filling import Rule, fill
from projects.calc.lay.straight.merging import as_items, merged, unpacked
from projects.calc.lay.straight.pins import places_around

FEW: Final = 40  # up to so many panels every order is tried with every rule
SOME: Final = 80  # up to so many, panels are joined into blocks
MANY: Final = 200  # above, only shelves: still straight, and quick with a thousand
WASTES: Final = (0.01, 0.03, 0.06)
RULES: Final = tuple(Rule(tight, wide) for tight, wide in product((True, False), (None, True, False)))

Pack = Callable[[], list[Spot]]


def plan_straight(request: LayRequest) -> Lay:
    """A short lay on the roll that straight cuts take apart, with a bound that holds for any lay.

    Raises LayError naming the panel that doesn't fit, where `most_length` is too short for what was found, or
    where no straight cuts part the pinned panels.
    """
    items = items_of(request)
    if not items:
        return Lay(0, (), 0, Decimal(0), True)
    room = request.width + request.gap
    bound = lower_bound(items, room)
    pinned, loose = held(request, items)
    if pinned:
        bound = max(bound, length_of(pinned))
    best: list[Spot] = []
    for pack in _tries_around(pinned, loose, room, request) if pinned else _tries(items, room):
        spots = pack()
        if not best or length_of(spots) < length_of(best):
            best = spots
        if length_of(best) == bound:
            break
    return answer(best, lifted(items, room, bound, length_of(best)), request)


def orders(items: Sequence[Item]) -> list[list[Item]]:
    """The items by length, by area, and by width, the largest first; equals stay in the order asked."""
    return [
        sorted(items, key=lambda item: min((-length, -w) for w, length in item.ways)),
        sorted(items, key=lambda item: -item.ways[0][0] * item.ways[0][1]),
        sorted(items, key=lambda item: min((-w, -length) for w, length in item.ways)),
    ]


def _tries(items: Sequence[Item], room: int) -> Iterator[Pack]:
    by = orders(items)
    yield partial(shelves, by[0], room)
    if len(items) > MANY:
        return
    for order, rule in product(by[:2], RULES if len(items) <= FEW else RULES[:1]):
        yield partial(fill, order, room, rule)
    if len(items) <= SOME:
        for waste in WASTES if len(items) <= FEW else WASTES[1:2]:
            yield partial(_in_blocks, by[0], room, waste)


def _in_blocks(items: Sequence[Item], room: int, waste: float) -> list[Spot]:
    blocks = merged(items, room, waste)
    tries = [fill(order, room, rule) for order in orders(as_items(blocks))[:2] for rule in RULES[:3]]
    return unpacked(min(tries, key=length_of), blocks)


def _tries_around(
    pinned: list[Spot], loose: Sequence[Item], room: int, request: LayRequest
) -> Iterator[Pack]:
    """Places that straight cuts leave around the pinned panels, filled first."""
    for along in (False, True):
        for order, rule in product(orders(loose), RULES if len(loose) <= FEW else RULES[:1]):
            yield partial(fill_around, pinned, order, room, request, rule, along=along)
    if len(loose) <= MANY:
        for order, along in product(orders(loose), (False, True)):
            yield partial(fill_beside, pinned, order, room, along=along)


def fill_around(
    pinned: Sequence[Spot], items: Sequence[Item], room: int, request: LayRequest, rule: Rule, *, along: bool
) -> list[Spot]:
    """The pinned panels, and the items in turn in what straight cuts leave around them, then in new rows."""
    places = places_around(pinned, room, request, along_first=along)
    return [*pinned, *fill(items, room, rule, places, length_of(pinned))]


def fill_beside(pinned: Sequence[Spot], items: Sequence[Item], room: int, *, along: bool) -> list[Spot]:
    """The pinned panels, and the items in turn where they end nearest the start, beside pins or beyond; those
    for which the cuts before leave no place, in new rows."""
    kinds = [Kind(item.panel, (item.copy,), item.ways) for item in items]
    end = length_of(pinned) + sum(max(long for _, long in item.ways) for item in items)
    held = tuple(((0, spot.x, spot.y, spot.width, spot.length), spot.item.copy) for spot in pinned)
    blocks = tuple((x, y, x + wide, y + long) for (_, x, y, wide, long), _ in held)
    roll = Bin("", room, 0, end, 0, is_roll=True, blocks=blocks, pinned=held)
    laid = fill_through(roll, range(len(items)), kinds, least_sides(kinds), snug=False, along=along)
    spots = [*pinned, *(Spot(items[at], x, y, wide, long) for at, x, y, wide, long in laid)]
    placed = {at for at, *_ in laid}
    left = [item for at, item in enumerate(items) if at not in placed]
    return [*spots, *fill(left, room, RULES[0], (), length_of(spots))]
