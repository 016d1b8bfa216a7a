"""Every use of a small stash, by brute force on whole numbers. Shares no code with the planner.

Each panel goes on each length or the roll; on each, every whole-number place of every panel is tried (for
straight cuts: every whole-number cut). Uses are then compared by the aims, written down anew here.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product
from random import Random

from projects.calc.lay import LayPanel, LayRequest
from projects.calc.lay.request import Flaw, StashLength

Size = tuple[int, int]
Aims = tuple[int, tuple[int, ...], int, int]
ROLL = -1


def best_by_brute(request: LayRequest) -> Aims | None:
    """(bought, areas kept with the largest first and negative, lengths cut, area taken) of the best use."""
    panels = [p for p in request.panels for _ in range(p.count)]
    places = [*range(len(request.lengths)), *([ROLL] if request.width else [])]
    best: Aims | None = None
    for choice in product(places, repeat=len(panels)):
        if request.one_dye_lot and len({_lot(request, place) for place in choice}) > 1:
            continue
        aims = _aims(request, panels, choice)
        if aims is not None and (best is None or aims < best):
            best = aims
    return best


def aims_met(request: LayRequest, bought: int, used: dict[str, int]) -> Aims:
    """The same figures of a given use."""
    kept = []
    for length in request.lengths:
        rest = length.length - used.get(length.name, 0)
        small = min(rest, length.width) < request.smallest_remnant
        kept.append(0 if small else length.width * rest)
    taken = sum(length.width * used.get(length.name, 0) for length in request.lengths)
    return bought, tuple(-area for area in sorted(kept, reverse=True)), len(used), taken


def _lot(request: LayRequest, place: int) -> object:
    return ROLL if place == ROLL else request.lengths[place].dye_lot


def _aims(request: LayRequest, panels: list[LayPanel], choice: tuple[int, ...]) -> Aims | None:
    bought, used = 0, {}
    for place in set(choice):
        here = tuple(
            sorted(_ways(request, panel) for panel, at in zip(panels, choice, strict=True) if at == place)
        )
        length = None if place == ROLL else request.lengths[place]
        end = least_end(here, length, request.width, request.end_loss, request.gap, request.straight_cuts)
        if end is None:
            return None
        if length is None:
            bought = end
        else:
            used[length.name] = end
    return aims_met(request, bought, used)


def _ways(request: LayRequest, panel: LayPanel) -> tuple[Size, ...]:
    both = {(panel.width, panel.length), (panel.length, panel.width)}
    turns = panel.may_turn and not request.one_way
    return tuple(sorted(both)) if turns else ((panel.width, panel.length),)


@cache
def least_end(
    panels: tuple[tuple[Size, ...], ...],
    length: StashLength | None,
    roll: int,
    lost: int,
    gap: int,
    straight: bool,
) -> int | None:
    """Where the last panel ends at the earliest; None where the panels don't fit."""
    width = length.width if length else roll
    most = length.length if length else lost + sum(max(max(way) for way in ways) + gap for ways in panels)
    flaws = length.flaws if length else ()
    area = sum(ways[0][0] * ways[0][1] for ways in panels)
    for end in range(lost + -(-area // width), most + 1):
        if straight and _cut_free(panels, width, end - lost, gap):
            return end
        if not straight and _fit(panels, width, lost, end, flaws, gap):
            return end
    return None


def _fit(
    panels: tuple[tuple[Size, ...], ...], width: int, lost: int, end: int, flaws: tuple[Flaw, ...], gap: int
) -> bool:
    """Whether the panels lie somewhere between `lost` and `end`: every place tried, as sets of unit squares.

    A panel takes its own squares and those of the gap after and beside it, so that two keep their gap.
    """
    spoilt = {(x, y) for f in flaws for x in range(f.x, f.x + f.width) for y in range(f.y, f.y + f.length)}
    places = []
    for ways in panels:
        found = []
        for x, y, wide, long in _places(ways, width, lost, end):
            if not spoilt.intersection(product(range(x, x + wide), range(y, y + long))):
                grown = product(range(x, x + wide + gap), range(y, y + long + gap))
                found.append(sum(1 << (b * (width + gap) + a) for a, b in grown))
        places.append(found)
    places.sort(key=len)
    return _lay_rest(places, 0)


def _lay_rest(places: list[list[int]], taken: int) -> bool:
    if not places:
        return True
    return any(not here & taken and _lay_rest(places[1:], taken | here) for here in places[0])


def _places(ways: tuple[Size, ...], width: int, lost: int, end: int) -> Iterator[tuple[int, int, int, int]]:
    for wide, long in ways:
        for y in range(lost, end - long + 1):
            for x in range(width - wide + 1):
                yield x, y, wide, long


@cache
def _cut_free(panels: tuple[tuple[Size, ...], ...], width: int, length: int, gap: int) -> bool:
    """Whether straight cuts at whole numbers free the panels from a rectangle."""
    if not panels:
        return True
    if len(panels) == 1:
        return any(wide <= width and long <= length for wide, long in panels[0])
    for parts in product((True, False), repeat=len(panels) - 1):
        first = (panels[0], *(p for p, here in zip(panels[1:], parts, strict=True) if here))
        second = tuple(p for p, here in zip(panels[1:], parts, strict=True) if not here)
        if not second:
            continue
        for at in range(1, max(width, length)):
            if _cut_free(first, at, length, gap) and _cut_free(second, width - at - gap, length, gap):
                return True
            if _cut_free(first, width, at, gap) and _cut_free(second, width, length - at - gap, gap):
                return True
    return False


def small_case(seed: int) -> LayRequest:
    """A request small enough for all this: a few panels, up to three lengths, perhaps a roll."""
    random = Random(seed)
    straight = seed % 4 == 3
    panels = tuple(
        LayPanel(
            f"panel {i}",
            random.randint(1, 4),
            random.randint(1, 4),
            random.randint(1, 2),
            random.random() < 0.4,
        )
        for i in range(random.randint(1, 3))
    )
    while sum(p.count for p in panels) > 5:
        panels = panels[:-1]
    lengths = tuple(_small_length(random, f"length {i}", straight) for i in range(random.randint(1, 3)))
    return LayRequest(
        random.choice((0, 4, 5, 6)),
        panels,
        gap=random.choice((0, 0, 1, 2)),
        one_way=random.random() < 0.2,
        lengths=lengths,
        end_loss=random.choice((0, 0, 1)),
        one_dye_lot=random.random() < 0.5,
        smallest_remnant=random.choice((0, 0, 2, 3)),
        straight_cuts=straight,
    )


def _small_length(random: Random, name: str, straight: bool) -> StashLength:
    width, length = random.randint(2, 6), random.randint(2, 9)
    flaws = []
    while not straight and random.random() < 0.4:
        x, y = random.randint(0, width - 1), random.randint(0, length - 1)
        flaws.append(Flaw(x, y, random.randint(1, 2), random.randint(1, 2)))
    return StashLength(name, width, length, random.choice(("", "A", "A")), tuple(flaws))
