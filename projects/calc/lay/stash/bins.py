"""What there is to lay on and to lay: lengths and roll as bins, panels as kinds. Whole nm.

Panels are grown by the gap on two sides and bins likewise, so that what doesn't overlap keeps its gap. A flaw
needs no gap: in grown sizes it begins a gap later, and where it is thinner than the gap its far edge comes
before its near one. "Overlaps" then still says the right thing, which is all that is ever asked of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from projects.calc.lay.request import LayPanel, LayRequest, StashLength

Counts = tuple[int, ...]
"""How many of each kind."""
Rect = tuple[int, int, int, int]
"""x and y where it begins, x and y where it ends."""
Spot = tuple[int, int, int, int, int]
"""Index of a kind, x, y, width and length as it lies, grown by the gap."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Equal panels: the copies that are free to lie anywhere, and (width, length) as each may lie."""

    panel: LayPanel
    copies: tuple[int, ...]
    ways: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Bin:
    """One length, or the roll (no name): panels lie between x 0 and `room`, y `start` and `end`.

    `blocks` are flaws and pinned panels; `pinned` are the latter, with the copy each is.
    """

    name: str
    room: int
    start: int
    end: int
    gap: int
    lot: str = ""
    is_roll: bool = False
    blocks: tuple[Rect, ...] = ()
    pinned: tuple[tuple[Spot, int], ...] = ()

    @property
    def width(self) -> int:
        return self.room - self.gap

    @property
    def length(self) -> int:
        return self.end - self.gap

    def used(self, spots: Iterable[Spot]) -> int:
        """What is taken of it: up to where the last panel ends; nothing where none lies."""
        tops = [y + long for _, _, y, _, long in spots] + [spot[2] + spot[4] for spot, _ in self.pinned]
        return max(tops) - self.gap if tops else 0

    def holds(self, kind: Kind) -> bool:
        """Whether a panel fits by its size alone."""
        return any(wide <= self.room and self.start + long <= self.end for wide, long in kind.ways)


def hits(a: Rect, b: Rect) -> bool:
    """Whether two rectangles overlap; touching is none."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def rect_of(spot: Spot) -> Rect:
    _, x, y, wide, long = spot
    return x, y, x + wide, y + long


def ways_of(panel: LayPanel, request: LayRequest) -> tuple[tuple[int, int], ...]:
    """(width, length) a panel may lie in, grown by the gap."""
    gap = request.gap
    turns = panel.may_turn and not request.one_way and panel.width != panel.length
    upright = (panel.width + gap, panel.length + gap)
    return (upright, upright[::-1]) if turns else (upright,)


def length_bin(length: StashLength, request: LayRequest) -> Bin:
    """A length of the stash with its flaws, no pins yet."""
    gap = request.gap
    blocks = tuple((f.x + gap, f.y + gap, f.x + f.width, f.y + f.length) for f in length.flaws)
    room, end = length.width + gap, length.length + gap
    return Bin(length.name, room, request.end_loss, end, gap, length.dye_lot, False, blocks)


def roll_bin(request: LayRequest) -> Bin | None:
    """The roll, as long as all panels one after the other or as `most_length` allows; None where none is."""
    if request.width <= 0:
        return None
    gap, pins = request.gap, [pin.y for pin in request.pins if not pin.on]
    most = sum(max(p.width, p.length, 0) + gap for p in request.panels for _ in range(p.count))
    longest = request.end_loss + max(pins, default=0) + most
    if request.most_length is not None:
        longest = min(longest, request.most_length)
    return Bin("", request.width + gap, request.end_loss, longest + gap, gap, is_roll=True)


def less(counts: Counts, spots: Iterable[Spot]) -> Counts:
    """What is left of `counts` once `spots` are laid."""
    left = list(counts)
    for spot in spots:
        left[spot[0]] -= 1
    return tuple(left)


def area(counts: Counts, kinds: Sequence[Kind]) -> int:
    """Cloth that so many panels cover, gaps in it."""
    return sum(n * kind.ways[0][0] * kind.ways[0][1] for n, kind in zip(counts, kinds, strict=True))


def least_sides(kinds: Iterable[Kind]) -> tuple[int, int]:
    """The narrowest and the shortest that any panel lies: places smaller than that are of no use."""
    ways = [way for kind in kinds for way in kind.ways]
    return min((wide for wide, _ in ways), default=0), min((long for _, long in ways), default=0)


def covered(rects: Iterable[Rect], within: Rect) -> int:
    """Area of a union of rectangles inside another."""
    x1, y1, x2, y2 = within
    cut = [(max(a, x1), max(b, y1), min(c, x2), min(d, y2)) for a, b, c, d in rects]
    cut = [r for r in cut if r[0] < r[2] and r[1] < r[3]]
    edges = sorted({edge for r in cut for edge in (r[1], r[3])})
    total = 0
    for low, high in zip(edges, edges[1:], strict=False):
        reach, wide = x1, 0
        for a, _, c, _ in sorted(r for r in cut if r[1] <= low and high <= r[3]):
            wide += max(0, c - max(a, reach))
            reach = max(reach, c)
        total += wide * (high - low)
    return total
