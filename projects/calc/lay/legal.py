"""Whether a lay answers a request, judged anew whatever found it; and which of two answers serves better.

Nothing here is shared with the searches. Lengths are whole nm; x across the cloth, y along it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from projects.calc.lay.request import Flaw, Lay, LayRequest, Pin, Placement

Box = tuple[int, int, int, int]
Key = tuple[int, tuple[int, ...], int, int]


def first_fault(request: LayRequest, lay: Lay) -> str:
    """What is wrong with a lay as an answer to a request, in words; empty where nothing is."""
    return next(_faults(request, lay), "")


def _faults(request: LayRequest, lay: Lay) -> Iterator[str]:
    yield from _panels(request, lay)
    yield from _on_cloth(request, lay)
    yield from _too_near(lay.placements, request.gap)
    yield from _flawed(request, lay)
    yield from _unpinned(request, lay)
    yield from _mixed(request, lay)
    if request.straight_cuts:
        yield from _not_straight(request, lay)
    if lay.lower_bound > lay.length:
        yield "The bound is above the length."


def _panels(request: LayRequest, lay: Lay) -> Iterator[str]:
    wanted = Counter((p.name, copy) for p in request.panels for copy in range(1, p.count + 1))
    laid = Counter((p.name, p.copy) for p in lay.placements)
    for name, _ in (wanted - laid) or (laid - wanted):
        yield f"{name} is not laid as often as it was asked for."
        return
    panels = {panel.name: panel for panel in request.panels}
    for placed in lay.placements:
        panel = panels[placed.name]
        size = (panel.length, panel.width) if placed.turned else (panel.width, panel.length)
        if (placed.width, placed.length) != size:
            yield f"{placed.name} has another size."
        if placed.turned and (request.one_way or not panel.may_turn):
            yield f"{placed.name} was turned."


def rooms(request: LayRequest) -> dict[str, tuple[int, int | None]]:
    """Width and length of each cloth by its name; the roll, "", has no end unless one is asked for."""
    found: dict[str, tuple[int, int | None]] = {x.name: (x.width, x.length) for x in request.lengths}
    return {**found, "": (request.width, request.most_length)} if request.width else found


def _on_cloth(request: LayRequest, lay: Lay) -> Iterator[str]:
    cloths, used = rooms(request), {use.name: use.length for use in lay.used}
    ends = dict.fromkeys(cloths, 0)
    for placed in lay.placements:
        if placed.on not in cloths:
            yield f"{placed.name} lies on cloth that is not there."
            return
        if placed.x < 0 or placed.x + placed.width > cloths[placed.on][0] or placed.y < request.end_loss:
            yield f"{placed.name} lies off the cloth."
        ends[placed.on] = max(ends[placed.on], placed.y + placed.length)
    for name, end in ends.items():
        most = cloths[name][1]
        if most is not None and end > most:
            yield "A panel lies beyond the end of the cloth."
        if end != (used.get(name, 0) if name else lay.length):
            yield "What is used is not where the last panel ends."


def _too_near(placements: Sequence[Placement], gap: int) -> Iterator[str]:
    """Along the cloth, so that only panels that may meet are compared."""
    placed = sorted(placements, key=lambda p: (p.on, p.y))
    for at, one in enumerate(placed):
        for other in placed[at + 1 :]:
            if other.on != one.on or other.y >= one.y + one.length + gap:
                break
            if other.x < one.x + one.width + gap and one.x < other.x + other.width + gap:
                yield f"{one.name} and {other.name} lie over one another, or nearer than the gap."


def _flawed(request: LayRequest, lay: Lay) -> Iterator[str]:
    flaws = {length.name: length.flaws for length in request.lengths}
    for placed in lay.placements:
        if any(_meet(_box(placed), _flaw(flaw)) for flaw in flaws.get(placed.on, ())):
            yield f"{placed.name} lies on a flaw."


def _unpinned(request: LayRequest, lay: Lay) -> Iterator[str]:
    at = {(p.name, p.copy): (p.x, p.y, p.turned, p.on) for p in lay.placements}
    for pin in request.pins:
        if at.get((pin.name, pin.copy)) != (pin.x, pin.y, pin.turned, pin.on):
            yield f"{pin.name} is not where it is pinned."


def _mixed(request: LayRequest, lay: Lay) -> Iterator[str]:
    lots = {length.name: length.dye_lot for length in request.lengths}
    found = {(placed.on == "", lots.get(placed.on, "")) for placed in lay.placements}
    if request.one_dye_lot and request.lengths and len(found) > 1:
        yield "Dye lots are mixed."


def _not_straight(request: LayRequest, lay: Lay) -> Iterator[str]:
    for name in {placed.on for placed in lay.placements}:
        boxes = [_box(placed) for placed in lay.placements if placed.on == name]
        if not comes_apart(boxes, request.gap):
            yield "Straight cuts don't take it apart."


def comes_apart(boxes: Sequence[Box], gap: int) -> bool:
    """Whether cuts from edge to edge of what they cut, one after another, free every box."""
    waiting = [list(boxes)]
    while waiting:
        part = waiting.pop()
        if len(part) < 2:
            continue
        two = _parted(part, gap, 0) or _parted(part, gap, 1)
        if two is None:
            return False
        waiting += two
    return True


def _parted(boxes: list[Box], gap: int, axis: int) -> tuple[list[Box], list[Box]] | None:
    """The two sides of the first straight cut that goes through none of the boxes, across one axis."""
    ordered = sorted(boxes, key=lambda box: box[axis])
    end = ordered[0][axis + 2]
    for at, box in enumerate(ordered[1:], 1):
        if box[axis] >= end + gap:
            return ordered[:at], ordered[at:]
        end = max(end, box[axis + 2])
    return None


def worth(request: LayRequest, lay: Lay) -> Key:
    """How well a lay serves; of two the smaller is better.

    The aims in order: buy least; leave the largest lengths whole (what remains of each by area, the largest
    first; nothing where it is under the smallest remnant); cut few lengths; take little.
    """
    used = {use.name: use.length for use in lay.used}
    kept, taken, count = [], 0, 0
    for length in request.lengths:
        gone = used.get(length.name, 0)
        rest = length.length - gone
        kept.append(length.width * rest if min(length.width, rest) >= request.smallest_remnant else 0)
        taken, count = taken + length.width * gone, count + (gone > 0)
    return lay.length, tuple(-area for area in sorted(kept, reverse=True)), count, taken


def pin_fault(request: LayRequest, pin: Pin) -> tuple[str, str]:
    """What keeps a panel from being held as ``pin`` says, and which of its fields is wrong: (field, words).

    Both are empty where nothing does. Other pins, flaws, the edges of the cloth and the grain are looked at,
    in words without numbers; ``free_along`` says what would do.
    """
    panel = next((p for p in request.panels if p.name == pin.name and 1 <= pin.copy <= p.count), None)
    if panel is None:
        return "name", f"{pin.name} is not among the panels still to cut."
    if pin.turned and (request.one_way or not panel.may_turn):
        return "turned", "The cloth has one way up." if request.one_way else "Its grain may not lie across."
    cloths = rooms(request)
    if pin.on not in cloths:
        return "on", "That cloth is not there."
    width, most = cloths[pin.on]
    wide, long = (panel.length, panel.width) if pin.turned else (panel.width, panel.length)
    if pin.x < 0 or pin.x + wide > width:
        return "x", "It would lie beyond the edge of the cloth."
    if pin.y < request.end_loss:
        return "y", "It would lie on the end that is lost."
    if most is not None and pin.y + long > most:
        return "y", "It would lie beyond the end of the cloth."
    return _in_the_way(request, pin, (pin.x, pin.y, pin.x + wide, pin.y + long))


def _in_the_way(request: LayRequest, pin: Pin, box: Box) -> tuple[str, str]:
    near = _grown(box, request.gap)
    for other in _other_pins(request, pin):
        if _meet(near, pin_box(request, other)):
            return "y", f"{other.name} is pinned there{', or nearer than the gap' if request.gap else ''}."
    length = next((x for x in request.lengths if x.name == pin.on), None)
    if length and any(_meet(box, _flaw(flaw)) for flaw in length.flaws):
        return "y", "A flaw of the cloth is in the way."
    return "", ""


def _other_pins(request: LayRequest, pin: Pin) -> list[Pin]:
    return [p for p in request.pins if p.on == pin.on and (p.name, p.copy) != (pin.name, pin.copy)]


def pin_box(request: LayRequest, pin: Pin) -> Box:
    """Where a pinned panel lies: its near corner and its far one."""
    panel = next(p for p in request.panels if p.name == pin.name)
    wide, long = (panel.length, panel.width) if pin.turned else (panel.width, panel.length)
    return pin.x, pin.y, pin.x + wide, pin.y + long


def free_along(request: LayRequest, pin: Pin) -> tuple[int, int | None] | None:
    """The stretch along the cloth (nm; no end: None) in which the corner of ``pin`` may lie at its x,
    the one nearest its y. None where there is none."""
    panel = next(p for p in request.panels if p.name == pin.name)
    wide, long = (panel.length, panel.width) if pin.turned else (panel.width, panel.length)
    width, most = rooms(request)[pin.on]
    if not 0 <= pin.x <= width - wide:
        return None
    found: list[tuple[int, int | None]] = []
    at = request.end_loss
    for near, far in _stretches_taken(request, pin, wide):
        if near - long >= at:
            found.append((at, near - long))
        at = max(at, far)
    if most is None or most - long >= at:
        found.append((at, None if most is None else most - long))
    return min(found, key=lambda stretch: _off(pin.y, *stretch), default=None)


def _off(y: int, start: int, end: int | None) -> int:
    return max(0, start - y, 0 if end is None else y - end)


def _stretches_taken(request: LayRequest, pin: Pin, wide: int) -> list[tuple[int, int]]:
    """From where to where along the cloth something lies across the width that the panel would take."""
    gap, column = request.gap, (pin.x, pin.x + wide)
    boxes = [_grown(pin_box(request, other), gap) for other in _other_pins(request, pin)]
    length = next((x for x in request.lengths if x.name == pin.on), None)
    boxes += [_flaw(flaw) for flaw in length.flaws] if length else []
    return sorted((y, far) for x, y, side, far in boxes if x < column[1] and column[0] < side)


def _box(placed: Placement) -> Box:
    return placed.x, placed.y, placed.x + placed.width, placed.y + placed.length


def _flaw(flaw: Flaw) -> Box:
    return flaw.x, flaw.y, flaw.x + flaw.width, flaw.y + flaw.length


def _grown(box: Box, by: int) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
