"""The planner: several quick orders, the shortest kept. The same request always gives the same lay."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Final

from projects.calc.lay.bound import lower_bound
from projects.calc.lay.bounds_wide import lifted
from projects.calc.lay.pinned import held, lay_around
from projects.calc.lay.request import Item, Lay, LayError, LayRequest, Placement, items_of
from projects.calc.lay.shelf import shelves
from projects.calc.lay.skyline import Spot, best_fit, bottom_left
from projects.calc.lengths import Rounding, rounded

MORE_TRIES: Final = 40  # up to so many panels the orders that seldom win are tried too


def plan_lay(request: LayRequest) -> Lay:
    """A short lay of the panels on cloth of one width, with a bound on how short any lay could be.

    Raises LayError naming the panel that doesn't fit, or where `most_length` is too short for what was found.
    No panels: an empty lay of no length. Pinned panels stay where they are. No solver is loaded.
    """
    if request.lengths:
        from projects.calc.lay.stash import plan_stash

        return plan_stash(request)
    if request.straight_cuts:
        from projects.calc.lay.straight import plan_straight

        return plan_straight(request)
    items = items_of(request)
    if not items:
        return Lay(0, (), 0, Decimal(0), True)
    room = request.width + request.gap
    bound = lower_bound(items, room)
    pinned, loose = held(request, items)
    if pinned:
        bound = max(bound, max(spot.y + spot.length for spot in pinned))
        spots = lay_around(pinned, loose, room)
    else:
        spots = slid_left(_shortest(items, room, bound))
    return answer(spots, lifted(items, room, bound, length_of(spots)), request)


def _shortest(items: list[Item], room: int, bound: int) -> list[Spot]:
    """The shortest of the tries, the first of equals; stops where nothing shorter can exist."""
    best: list[Spot] = []
    for pack in _tries(items):
        spots = pack(room)
        if not best or length_of(spots) < length_of(best):
            best = spots
        if length_of(best) == bound:
            break
    return best


def _tries(items: list[Item]) -> Iterator[Callable[[int], list[Spot]]]:
    """Packers with the orders that serve them; sorting is stable, so equals stay in the order asked."""
    yield partial(best_fit, items)
    upright = [Item(item.panel, item.copy, item.ways[:1]) if len(item.ways) > 1 else item for item in items]
    if upright != items:
        yield partial(best_fit, upright)
    yield partial(shelves, sorted(items, key=lambda item: min((-length, -w) for w, length in item.ways)))
    if len(items) <= MORE_TRIES:
        yield partial(best_fit, items, longest=True)
        yield partial(bottom_left, sorted(upright, key=lambda item: (-item.ways[0][0], -item.ways[0][1])))
        yield partial(bottom_left, sorted(upright, key=lambda item: (-item.ways[0][1], -item.ways[0][0])))


def length_of(spots: Sequence[Spot]) -> int:
    return max(spot.y + spot.length for spot in spots)


def answer(spots: Sequence[Spot], bound: int, request: LayRequest) -> Lay:
    """The lay as answered, from where items lie and a bound (both grown by the gap).

    Raises LayError where `most_length` is too short for it; an end loss is part of its length.
    """
    length = length_of(spots) - request.gap + request.end_loss
    bound = bound - request.gap + request.end_loss
    if request.most_length is not None and length > request.most_length:
        raise _too_long(request, length)
    used = sum(panel.width * panel.length * panel.count for panel in request.panels)
    waste = 1 - Fraction(used, request.width * length)
    share = (Decimal(waste.numerator) / Decimal(waste.denominator)).quantize(Decimal("0.0001"))
    placements = sorted((_placed(spot, request) for spot in spots), key=lambda placed: (placed.y, placed.x))
    return Lay(length, tuple(placements), bound, share, length == bound)


def slid_left(spots: Sequence[Spot]) -> list[Spot]:
    """The same lay with every panel as far left as it goes, so that what is over lies along one edge."""
    slid: list[Spot] = []
    for spot in sorted(spots, key=lambda spot: spot.x):
        near, far = spot.y, spot.y + spot.length
        beside = (other.x + other.width for other in slid if other.y < far and near < other.y + other.length)
        slid.append(Spot(spot.item, max(beside, default=0), near, spot.width, spot.length))
    return slid


def _placed(spot: Spot, request: LayRequest) -> Placement:
    panel, gap = spot.item.panel, request.gap
    width, length = spot.width - gap, spot.length - gap
    turned = (width, length) != (panel.width, panel.length)
    return Placement(panel.name, spot.x, spot.y + request.end_loss, width, length, turned, spot.item.copy)


def _too_long(request: LayRequest, length: int) -> LayError:
    given, most = (rounded(nm, Rounding.PANEL, request.system) for nm in (length, request.most_length or 0))
    return LayError(
        f"The panels need {given} of this cloth; there are {most}.",
        panel="",
        given=given,
        expected=f"at most {most}",
        remedy=f"Use a length of at least {given}, or lay some panels elsewhere.",
    )
