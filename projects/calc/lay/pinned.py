"""Panels held where they are on the roll, the others laid around them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random

from projects.calc.lay.budget import Budget
from projects.calc.lay.free import Box, around, lowest_place, without
from projects.calc.lay.grid import Grid, Laid
from projects.calc.lay.request import Item, LayError, LayRequest, Pin
from projects.calc.lay.skyline import Spot
from projects.calc.lengths import Rounding, rounded

Held = tuple[list[Spot], list[Item]]


def held(request: LayRequest, items: Sequence[Item]) -> Held:
    """The pinned panels where they lie, and the items still to be laid. Raises LayError for a bad pin."""
    by_name = {(item.panel.name, item.copy): item for item in items}
    spots: list[Spot] = []
    for pin in request.pins:
        if pin.on:
            continue
        item = by_name.pop((pin.name, pin.copy), None)
        if item is None:
            raise _refused(pin, "is no panel of this lay, or is pinned twice", "a panel of this lay, once")
        spots.append(_spot(pin, item, request))
    for at, spot in enumerate(spots):
        for other in spots[:at]:
            if _overlap(spot, other):
                raise _refused(
                    request.pins[at],
                    f"lies over {other.item.panel.name}, which is pinned too, or nearer than the gap",
                    "a place clear of other pins",
                )
    return spots, [item for item in items if (item.panel.name, item.copy) in by_name]


def box_of(spot: Spot) -> Box:
    """What a laid panel takes, its gap in it."""
    return spot.x, spot.y, spot.x + spot.width, spot.y + spot.length


def lay_around(spots: Sequence[Spot], items: Sequence[Item], room: int) -> list[Spot]:
    """The pinned panels and the others around them: the shortest of a few orders."""
    boxes = [box_of(spot) for spot in spots]
    orders = (
        sorted(items, key=lambda item: min((-length, -w) for w, length in item.ways)),
        sorted(items, key=lambda item: min((-w, -length) for w, length in item.ways)),
        sorted(items, key=lambda item: -item.ways[0][0] * item.ways[0][1]),
    )
    found = [[*spots, *around(order, room, boxes)[0]] for order in orders]
    return min(found, key=lambda laid: max(spot.y + spot.length for spot in laid))


class PinnedOrders:
    """A search over orders around what is pinned: two change places, kept unless the lay gets longer."""

    def __init__(self, grid: Grid, seed: int) -> None:
        self.grid = grid
        self.random = Random(seed)
        ends = sum(max(length for _, length in ways) for ways in grid.ways)
        ends += max((y + length for _, y, _, length in grid.held), default=0)
        self.free: list[Box] = [(0, 0, grid.width, ends)]
        for x, y, w, length in grid.held:
            self.free = without(self.free, (x, y, x + w, y + length))
        self.order = sorted(range(len(grid.ways)), key=lambda at: -max(w * n for w, n in grid.ways[at]))
        self.best, self.first = self._fill(self.order)

    def run(self, budget: Budget, better: Callable[[int, list[Laid]], None]) -> None:
        """Search until the budget is over; `better` hears of each shorter lay."""
        count = len(self.order)
        better(self.best, self.first)
        while count > 1 and budget.step(10 * count):
            order = self.order[:]
            order.insert(self.random.randrange(count), order.pop(self.random.randrange(count)))
            length, laid = self._fill(order)
            if length <= self.best:
                if length < self.best:
                    better(length, laid)
                self.best, self.order = length, order

    def _fill(self, order: Sequence[int]) -> tuple[int, list[Laid]]:
        free, laid, top = self.free, [], 0
        for at in order:
            place = lowest_place(self.grid.ways[at], free)
            assert place is not None
            end, x, y, w, length = place
            laid.append((at, x, y, w, length))
            free = without(free, (x, y, x + w, end))
            top = max(top, end)
        return top, laid


def _spot(pin: Pin, item: Item, request: LayRequest) -> Spot:
    panel, gap = item.panel, request.gap
    size = (panel.length, panel.width) if pin.turned else (panel.width, panel.length)
    grown = (size[0] + gap, size[1] + gap)
    if grown not in item.ways:
        raise _refused(pin, "can't lie that way", "the way it may lie on this cloth")
    if pin.x < 0 or pin.y < request.end_loss or pin.x + size[0] > request.width:
        most = rounded(request.width - size[0], Rounding.PANEL, request.system)
        raise _refused(
            pin, "is pinned off the cloth", f"a place from 0 to {most} across, clear of the end of the cloth"
        )
    return Spot(item, pin.x, pin.y - request.end_loss, *grown)


def _overlap(a: Spot, b: Spot) -> bool:
    return a.x < b.x + b.width and b.x < a.x + a.width and a.y < b.y + b.length and b.y < a.y + a.length


def _refused(pin: Pin, problem: str, expected: str) -> LayError:
    return LayError(
        f"{pin.name} {problem}.",
        panel=pin.name,
        given=f"{pin.name}, number {pin.copy}",
        expected=expected,
        remedy="Pin it elsewhere, or let it go.",
    )
