"""An independent, dumb judge of lays: every panel against every other, no code shared with the packer."""

from __future__ import annotations

from collections import Counter

from projects.calc.lay import Lay, LayRequest


def faults(request: LayRequest, lay: Lay) -> list[str]:
    """Everything wrong with a lay, in words; an empty list for a good one."""
    return (
        wrong_panels(request, lay)
        + _outside(request, lay)
        + _too_near(request, lay)
        + _pins_moved(request, lay)
        + _false_claims(request, lay)
    )


def wrong_panels(request: LayRequest, lay: Lay) -> list[str]:
    """Panels missing, not asked for, of another size, or turned where they may not be."""
    wanted = Counter((p.name, copy) for p in request.panels for copy in range(1, p.count + 1))
    laid = Counter((p.name, p.copy) for p in lay.placements)
    found = [f"{name} {copy} is missing" for name, copy in wanted - laid]
    found += [f"{name} {copy} was not asked for" for name, copy in laid - wanted]
    sizes = {p.name: p for p in request.panels}
    for placed in lay.placements:
        panel = sizes.get(placed.name)
        if panel is None:
            continue
        size = (panel.length, panel.width) if placed.turned else (panel.width, panel.length)
        if (placed.width, placed.length) != size:
            found.append(f"{placed.name} has another size")
        if placed.turned and (request.one_way or not panel.may_turn):
            found.append(f"{placed.name} was turned")
    return found


def _outside(request: LayRequest, lay: Lay) -> list[str]:
    return [
        f"{p.name} is off the cloth"
        for p in lay.placements
        if p.x < 0 or p.y < request.end_loss or p.x + p.width > request.width or p.y + p.length > lay.length
    ]


def _too_near(request: LayRequest, lay: Lay) -> list[str]:
    found = []
    for i, a in enumerate(lay.placements):
        for b in lay.placements[i + 1 :]:
            beside = max(a.x - (b.x + b.width), b.x - (a.x + a.width))
            above = max(a.y - (b.y + b.length), b.y - (a.y + a.length))
            if max(beside, above) < request.gap:
                found.append(f"{a.name} and {b.name} are too near")
    return found


def _pins_moved(request: LayRequest, lay: Lay) -> list[str]:
    laid = {(p.name, p.copy): (p.x, p.y, p.turned, p.on) for p in lay.placements}
    return [
        f"{pin.name} {pin.copy} is not where it is pinned"
        for pin in request.pins
        if laid.get((pin.name, pin.copy)) != (pin.x, pin.y, pin.turned, pin.on)
    ]


def _false_claims(request: LayRequest, lay: Lay) -> list[str]:
    found = []
    if lay.placements and lay.length != max(p.y + p.length for p in lay.placements):
        found.append("the length is not where the last panel ends")
    if lay.lower_bound > lay.length:
        found.append("the bound is above the lay")
    if lay.shortest != (lay.length == lay.lower_bound):
        found.append("shortest is claimed wrongly")
    if lay.length:
        used = sum(p.width * p.length for p in lay.placements) / (request.width * lay.length)
        if abs(float(lay.waste_share) - (1 - used)) > 0.0001:
            found.append("the waste is wrong")
    return found
