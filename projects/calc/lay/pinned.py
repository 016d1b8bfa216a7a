"""Panels held where they are on the roll, the others laid around them."""

from __future__ import annotations

from collections.abc import Sequence

from projects.calc.lay.free import Box, around
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
