"""Pairs of panels brought side by side, or end to end, where it costs nothing: equal panels change places."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from projects.calc.lay.request import Lay, LayRequest, Placement

Name = tuple[str, int]
"""A panel: its name, and which of its copies."""
Pair = tuple[Name, Name]
MOST_STEPS: Final = 4_000
MOST_PAIRS: Final = 200
BESIDE, BEHIND = 0, 1
Neighbour = tuple[int, int, int]
"""Whether beside or behind, and the places of the two."""


def pair_up(lay: Lay, request: LayRequest, pairs: Sequence[Pair]) -> Lay:
    """The same lay with panels in each other's places, so that as many pairs as possible lie together.

    Only panels that lie with the same width and length change places, on whatever length they lie; pinned
    ones stay. So length, cuts and remnants are what they were. Two lie side by side when they begin at the
    same y with nothing between them across, end to end when they begin at the same x with nothing between
    along; more pairs together come first, then more of them side by side. Pairs of which a panel isn't in the
    lay are passed over, and those after the first 200. The same lay always gives the same answer; never fewer
    lie together than before.
    """
    at = {(p.name, p.copy): i for i, p in enumerate(lay.placements)}
    wanted = [pair for pair in pairs if pair[0] in at and pair[1] in at and pair[0] != pair[1]]
    wanted = wanted[:MOST_PAIRS]
    if not wanted:
        return lay
    search = _Search(lay, request, wanted, at)
    search.go(0, {}, 0, 0)
    return replace(lay, placements=tuple(_moved(lay.placements, search.best))) if search.best else lay


def together(lay: Lay, pair: Pair) -> bool:
    """Whether the two of a pair lie side by side or end to end."""
    at = {(p.name, p.copy): i for i, p in enumerate(lay.placements)}
    return any({a, b} == {at.get(pair[0]), at.get(pair[1])} for _, a, b in neighbours(lay.placements))


def neighbours(placements: Sequence[Placement]) -> list[Neighbour]:
    """Places that lie beside or behind one another, the first of each nearer 0."""
    found = []
    for a, first in enumerate(placements):
        for b, second in enumerate(placements):
            if a == b or first.on != second.on:
                continue
            if first.y == second.y and first.x + first.width <= second.x:
                between = (
                    first.x + first.width,
                    first.y,
                    second.x,
                    first.y + min(first.length, second.length),
                )
                way = BESIDE
            elif first.x == second.x and first.y + first.length <= second.y:
                between = (
                    first.x,
                    first.y + first.length,
                    first.x + min(first.width, second.width),
                    second.y,
                )
                way = BEHIND
            else:
                continue
            if not any(_lies_in(p, between) for p in placements if p.on == first.on):
                found.append((way, a, b))
    return sorted(found)


def _lies_in(p: Placement, box: tuple[int, int, int, int]) -> bool:
    return p.x < box[2] and box[0] < p.x + p.width and p.y < box[3] and box[1] < p.y + p.length


class _Search:
    """Pairs in turn, each put on two places that are neighbours, or left alone; a bounded search."""

    def __init__(self, lay: Lay, request: LayRequest, pairs: Sequence[Pair], at: dict[Name, int]) -> None:
        self.pairs, self.at = pairs, at
        self.sizes = [(p.width, p.length) for p in lay.placements]
        self.held = {at[pin.name, pin.copy] for pin in request.pins if (pin.name, pin.copy) in at}
        both = [n for way, a, b in neighbours(lay.placements) for n in ((way, a, b), (way, b, a))]
        many = Counter(a for _, a, _ in both)
        # Places with few neighbours first: those with many serve another pair as well.
        self.near = sorted(both, key=lambda n: (n[0], many[n[1]] + many[n[2]], n))
        ways = {(a, b): way for way, a, b in reversed(both)}
        now = [ways.get((at[a], at[b])) for a, b in pairs]
        self.score = (sum(way is not None for way in now), now.count(BESIDE))
        self.best: dict[int, int] = {}
        self.steps = MOST_STEPS

    def go(self, turn: int, goes: dict[int, int], near: int, beside: int) -> None:
        """`goes`: where the panel of a place goes."""
        self.steps -= 1
        left = len(self.pairs) - turn
        if self.steps < 0 or (near + left, beside + left) <= self.score:
            return
        if not left:
            self.score, self.best = (near, beside), dict(goes)
            return
        first, second = (self.at[name] for name in self.pairs[turn])
        for way, a, b in self._places(first, second, goes):
            self.go(turn + 1, goes | {first: a, second: b}, near + 1, beside + (way == BESIDE))
        self.go(turn + 1, goes, near, beside)

    def _places(self, first: int, second: int, goes: dict[int, int]) -> Iterator[Neighbour]:
        taken = {place for panel, place in goes.items() if panel not in (first, second)} | self.held
        for way, a, b in self.near:
            if self._may(first, a, goes, taken) and self._may(second, b, goes, taken):
                yield way, a, b

    def _may(self, panel: int, place: int, goes: dict[int, int], taken: set[int]) -> bool:
        if panel in goes:
            return goes[panel] == place
        if panel in self.held:
            return panel == place
        return place not in taken and self.sizes[panel] == self.sizes[place]


def _moved(placements: Sequence[Placement], goes: dict[int, int]) -> list[Placement]:
    """Every panel in its place: those that must go first, the others where they were if it is free."""
    goes = dict(goes)
    taken = set(goes.values())
    rest = [at for at in range(len(placements)) if at not in goes]
    for at in rest:
        if at not in taken:
            goes[at] = at
            taken.add(at)
    for at in rest:
        if at not in goes:
            size = (placements[at].width, placements[at].length)
            place = next(
                i for i, p in enumerate(placements) if i not in taken and (p.width, p.length) == size
            )
            goes[at] = place
            taken.add(place)
    return [
        replace(placements[at], x=placements[to].x, y=placements[to].y, on=placements[to].on)
        for at, to in sorted(goes.items(), key=lambda item: item[1])
    ]
