"""An independent, dumb judge of lays on lengths: every panel against every other, flaw, pin and claim."""

from __future__ import annotations

from itertools import combinations

from projects.calc.lay import Lay, LayRequest, Placement
from tests.lay_checker import wrong_panels


def stash_faults(request: LayRequest, lay: Lay) -> list[str]:
    """Everything wrong with a lay on lengths and roll, in words; an empty list for a good one."""
    found = wrong_panels(request, lay)
    on: dict[str, list[Placement]] = {}
    for placed in lay.placements:
        on.setdefault(placed.on, []).append(placed)
    for name, here in on.items():
        found += _wrong_on(request, name, here)
    return found + _wrong_pins(request, lay) + _wrong_lots(request, on) + _wrong_claims(request, lay, on)


def _wrong_on(request: LayRequest, name: str, here: list[Placement]) -> list[str]:
    length = next((length for length in request.lengths if length.name == name), None)
    if name and length is None:
        return [f"{name} is no length"]
    width = length.width if length else request.width
    most = length.length if length else request.most_length
    found = []
    for p in here:
        if p.x < 0 or p.x + p.width > width or p.y < 0 or (most is not None and p.y + p.length > most):
            found.append(f"{p.name} is off {name or 'the roll'}")
        if p.y < request.end_loss:
            found.append(f"{p.name} lies on the lost end")
        for flaw in length.flaws if length else ():
            beside = p.x + p.width <= flaw.x or flaw.x + flaw.width <= p.x
            if not (beside or p.y + p.length <= flaw.y or flaw.y + flaw.length <= p.y):
                found.append(f"{p.name} lies on a flaw")
    for a, b in combinations(here, 2):
        across = max(a.x - (b.x + b.width), b.x - (a.x + a.width))
        along = max(a.y - (b.y + b.length), b.y - (a.y + a.length))
        if max(across, along) < request.gap:
            found.append(f"{a.name} and {b.name} are too near")
    return found


def _wrong_pins(request: LayRequest, lay: Lay) -> list[str]:
    lies = {(p.name, p.copy, p.x, p.y, p.turned, p.on) for p in lay.placements}
    return [
        f"{pin.name} {pin.copy} was moved"
        for pin in request.pins
        if (pin.name, pin.copy, pin.x, pin.y, pin.turned, pin.on) not in lies
    ]


def _wrong_lots(request: LayRequest, on: dict[str, list[Placement]]) -> list[str]:
    lots: set[object] = {length.dye_lot for length in request.lengths if length.name in on}
    lots |= {None} if "" in on else set()
    return ["two dye lots are mixed"] if request.one_dye_lot and len(lots) > 1 else []


def _wrong_claims(request: LayRequest, lay: Lay, on: dict[str, list[Placement]]) -> list[str]:
    found = []
    ends = {name: max(p.y + p.length for p in here) for name, here in on.items()}
    if lay.length != ends.get("", 0):
        found.append("the length is not what the roll gives")
    used = [(name.name, ends[name.name]) for name in request.lengths if name.name in ends]
    if [(u.name, u.length) for u in lay.used] != used:
        found.append("what is used is wrong")
    if lay.lower_bound > lay.length:
        found.append("the bound is above the lay")
    if lay.shortest and lay.lower_bound != lay.length:
        found.append("shortest is claimed wrongly")
    widths = {length.name: length.width for length in request.lengths} | {"": request.width}
    taken = sum(widths.get(name, 0) * end for name, end in ends.items())
    cut = sum(p.width * p.length for p in lay.placements)
    if taken and abs(float(lay.waste_share) - (1 - cut / taken)) > 0.0001:
        found.append("the waste is wrong")
    return found
