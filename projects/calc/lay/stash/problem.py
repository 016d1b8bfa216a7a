"""From a request to bins and kinds: checks what was asked, and puts pinned panels where they are held."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Final

from projects.calc.lay.request import LayError, LayRequest, Pin, items_of
from projects.calc.lay.stash.aims import Problem
from projects.calc.lay.stash.bins import Bin, Kind, Spot, hits, length_bin, rect_of, roll_bin, ways_of
from projects.calc.lengths import Rounding, rounded

ANY_WIDTH: Final = 10**15


def problem_of(request: LayRequest) -> Problem:
    """What is asked, ready to be searched. Raises LayError for a panel without a size, lengths that can't be
    told apart, and a pin that holds nothing or holds it where it can't lie."""
    items_of(replace(request, width=ANY_WIDTH, most_length=None))
    _check_lengths(request)
    held = {(pin.name, pin.copy) for pin in request.pins}
    kinds = tuple(
        Kind(
            panel,
            tuple(copy for copy in range(1, panel.count + 1) if (panel.name, copy) not in held),
            ways_of(panel, request),
        )
        for panel in request.panels
    )
    bins = {length.name: length_bin(length, request) for length in request.lengths}
    roll = roll_bin(request)
    if roll is not None:
        bins[""] = roll
    for pin in request.pins:
        bins[pin.on] = _pinned(pin, bins.get(pin.on), kinds, request)
    roll = bins.pop("", None)
    return Problem(request, kinds, tuple(bins.values()), roll)


def _check_lengths(request: LayRequest) -> None:
    for name, times in Counter(length.name for length in request.lengths).items():
        if not name or times > 1:
            raise LayError(
                f"{times} lengths are called {name}." if name else "A length has no name.",
                panel="",
                given=name,
                expected="a name of its own for each length",
                remedy="Name each length differently.",
            )
    for length in request.lengths:
        if length.width <= 0 or length.length <= 0:
            raise LayError(
                f"{length.name} has no size.",
                panel="",
                given=f"{_say(length.width, request)} by {_say(length.length, request)}",
                expected="a usable width and a length above 0",
                remedy="Give it a usable width and a length above 0, or leave it out.",
            )
    if request.end_loss < 0 or request.smallest_remnant < 0:
        raise LayError(
            "What an end loses and the smallest remnant can't be below 0.",
            panel="",
            given=_say(min(request.end_loss, request.smallest_remnant), request),
            expected="0 or more",
            remedy="Give 0 or more.",
        )


def _pinned(pin: Pin, bin_: Bin | None, kinds: tuple[Kind, ...], request: LayRequest) -> Bin:
    """The bin with the panel held on it."""
    if bin_ is None:
        on = pin.on or "the roll"
        raise _bad_pin(pin, f"is held on {on}, which isn't there", "Hold it on a length that is there.")
    at = next(
        (i for i, k in enumerate(kinds) if k.panel.name == pin.name and 1 <= pin.copy <= k.panel.count), None
    )
    if at is None or sum((p.name, p.copy) == (pin.name, pin.copy) for p in request.pins) > 1:
        raise _bad_pin(pin, "is held but not among the panels, or held twice", "Hold each panel once.")
    panel, gap = kinds[at].panel, request.gap
    way = (panel.length, panel.width) if pin.turned else (panel.width, panel.length)
    grown = (way[0] + gap, way[1] + gap)
    if grown not in kinds[at].ways:
        raise _bad_pin(pin, "is held turned, but must not turn", "Hold it with its grain along the cloth.")
    spot: Spot = (at, pin.x, pin.y, *grown)
    x1, y1, x2, y2 = rect_of(spot)
    if x1 < 0 or y1 < bin_.start or x2 > bin_.room or y2 > bin_.end:
        most_x, most_y = _say(bin_.room - grown[0], request), _say(bin_.end - grown[1], request)
        raise _bad_pin(
            pin, "is held off the cloth", f"It fits up to {most_x} across and {most_y} along the cloth."
        )
    if any(hits(rect_of(spot), block) for block in bin_.blocks):
        raise _bad_pin(pin, "is held on a flaw or too near another held panel", "Hold it elsewhere.")
    return replace(bin_, blocks=(*bin_.blocks, rect_of(spot)), pinned=(*bin_.pinned, (spot, pin.copy)))


def _bad_pin(pin: Pin, problem: str, remedy: str) -> LayError:
    given = f"{pin.name} {pin.copy}"
    return LayError(
        f"{given} {problem}.", panel=pin.name, given=given, expected="a place it can lie", remedy=remedy
    )


def _say(nm: int, request: LayRequest) -> str:
    return rounded(nm, Rounding.PANEL, request.system)
