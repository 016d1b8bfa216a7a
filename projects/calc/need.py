"""How large a panel must be when finished: the pattern and everything added to it, part by part.

Lengths are whole nm of finished cloth; the parts sum to the need.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from projects.calc.axis import count_within, repeat_of
from projects.calc.centring import start_phase
from projects.calc.direction import Direction
from projects.calc.lengths import ceil_div
from projects.calc.margin import MarginParts, margin_parts, sewing_margin, split_margin
from projects.calc.sampling import TakeUp
from projects.calc.sizes import EDGES, PieceSize, Sizing
from projects.calc.techniques import TECHNIQUES
from projects.calc.techniques.corded import covered_width
from projects.calc.techniques.pleats import count_pleats


@dataclass(frozen=True, slots=True)
class Parts:
    """One direction of a panel's finished need; start is the first edge (left or top), end the far edge."""

    pattern: int
    allowance_start: int
    allowance_end: int
    squaring: int
    """At each end."""
    margin_start: int = 0
    margin_end: int = 0
    repeat_start: int = 0
    repeat_end: int = 0
    """Rounding up to whole repeats, at the far end (at the first on a mirrored panel); what whole squares are
    over, or short by, half at each end."""
    margin_of: MarginParts | None = None
    """What the margin comes from; None for plain cloth, which needs none."""

    @property
    def margin(self) -> int:
        """The sewing margin at both ends together."""
        return self.margin_start + self.margin_end

    @property
    def repeats(self) -> int:
        """What rounding to whole repeats adds at both ends; below 0 where whole squares fall short."""
        return self.repeat_start + self.repeat_end

    @property
    def need(self) -> int:
        """All parts together."""
        return self.lead + self.pattern + self.allowance_end + self.trim_end

    @property
    def trim_start(self) -> int:
        """From the panel's first edge to the piece's cut edge."""
        return self.squaring + self.margin_start + self.repeat_start

    @property
    def trim_end(self) -> int:
        """From the piece's far cut edge to the panel's far edge."""
        return self.squaring + self.margin_end + self.repeat_end

    @property
    def lead(self) -> int:
        """From the panel's first edge to the pattern."""
        return self.trim_start + self.allowance_start

    @property
    def centre(self) -> int:
        """The piece's centre line from the panel's first edge."""
        return self.lead + self.pattern // 2

    def mirrored(self) -> Parts:
        """The same parts with first and far end changed over."""
        return Parts(
            self.pattern,
            self.allowance_end,
            self.allowance_start,
            self.squaring,
            self.margin_end,
            self.margin_start,
            self.repeat_end,
            self.repeat_start,
            self.margin_of,
        )


def parts_of(
    name: str,
    direction: Direction | None,
    piece: PieceSize,
    sizing: Sizing,
    take_up: TakeUp,
    thickness: int | None,
    both: bool,
) -> Parts:
    """Pattern + allowances not drawn in + 2 x squaring + sewing margin, in whole repeats where wished."""
    bare = bare_parts(name, piece, sizing)
    if direction is None:
        return bare
    tucks = units(direction, bare, thickness)
    margin, of = _margin(tucks, take_up.se, sizing.depth_spread, both, sizing.check_every, sizing.tape)
    ends = split_margin(margin, piece.margin_at)
    with_margin = replace(bare, margin_start=ends[0], margin_end=ends[1], margin_of=of)
    return _in_whole_repeats(with_margin, direction, piece)


def bare_parts(name: str, piece: PieceSize, sizing: Sizing) -> Parts:
    """Pattern, allowances not drawn in and squaring: what plain cloth needs."""
    first, far = EDGES[name]
    pattern: int = getattr(piece, name)
    start: int = getattr(piece, f"allowance_{first}")
    end: int = getattr(piece, f"allowance_{far}")
    return Parts(pattern, start, end, sizing.squaring)


@lru_cache(maxsize=1_024)
def _margin(
    tucks: int, se: int, spread: int, both: bool, every: int | None, tape: int
) -> tuple[int, MarginParts]:
    """The margin and its parts. They hang on few numbers: pieces of one recipe often share them."""
    return (
        sewing_margin(tucks, se, depth_spread=spread, both=both, check_every=every, tape=tape),
        margin_parts(tucks, se, depth_spread=spread, both=both, check_every=every, tape=tape),
    )


def _in_whole_repeats(parts: Parts, direction: Direction, piece: PieceSize) -> Parts:
    if direction.is_pleats or not (direction.whole_repeats or piece.whole_repeats):
        return parts
    short = repeat_up(parts.need, repeat_of(direction.tucks)) - parts.need
    return replace(parts, repeat_end=short)


def units(direction: Direction, parts: Parts, thickness: int | None) -> int:
    """Tucks in the need as it stands, or folds of the pleats in the pattern."""
    if direction.is_pleats:
        each = len(TECHNIQUES[direction.technique].starting_take_up(direction, thickness))
        return each * count_pleats(parts.pattern, direction.width)
    phase = start_phase(direction, parts.centre, reach_of(direction, thickness))
    return count_within(direction.tucks, parts.need, phase)


def reach_of(direction: Direction, thickness: int | None) -> int | None:
    """What a standing tuck covers; None for one that covers its depth."""
    return covered_width(direction.cord, thickness) if direction.stands_up else None


def repeat_up(need: int, repeat: int) -> int:
    """The need in whole repeats, so that a row of panels continues the texture."""
    return ceil_div(need, repeat) * repeat


def repeat_up_any_phase(need: int, repeat: int) -> int:
    """Whole repeats from which any piece can be cut wherever its texture must start: round up (need + R)."""
    return repeat_up(need + repeat, repeat)
