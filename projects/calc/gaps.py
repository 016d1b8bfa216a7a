"""The visible gaps of a repeat: how much cloth shows between tucks, and where a panel should begin.

A gap runs from the end of what one tuck covers to the start of what the next covers. Pressed on it is
s - d(i), back s - d(i+1), opened s - (d(i) + d(i+1)) / 2, turned apart s, turned together
s - d(i) - d(i+1).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from projects.calc.folds import Pressing, Tuck, after_seam, before_seam

NARROWEST_GAP = 3_000_000
"""Below this a presser foot no longer has room: half a foot, a starting value, nm."""


@dataclass(frozen=True, slots=True)
class GapNote:
    """A gap worth a warning: after which tuck of the repeat (from 1), how wide (nm), and its kind."""

    after: int
    gap: int
    kind: str
    """"tight", "blind" or "overlapping"."""


def gap_between(space: int, first: tuple[Pressing, int], second: tuple[Pressing, int]) -> int:
    """Visible gap between two neighbours given as (pressing, width covered), nm."""
    return space - after_seam(*first) - before_seam(*second)


def visible_gaps(
    tucks: Sequence[Tuck], pressing: Pressing = Pressing.ON, reach: int | None = None
) -> tuple[int, ...]:
    """Gap after tucks 1..n, the last before the next repeat, nm."""
    following = (*tucks[1:], *tucks[:1])
    if reach is not None:
        covered = after_seam(pressing, reach) + before_seam(pressing, reach)
        return tuple(after.space - covered for after in following)
    if pressing is Pressing.ON:
        return tuple(after.space - tuck.depth for tuck, after in zip(tucks, following, strict=True))
    return tuple(
        after.space - after_seam(pressing, tuck.depth) - before_seam(pressing, after.depth)
        for tuck, after in zip(tucks, following, strict=True)
    )


def widest_gap(tucks: Sequence[Tuck], pressing: Pressing, reach: int | None = None) -> int:
    """Which tuck (from 1) the widest visible gap comes after; the first of equals."""
    gaps = visible_gaps(tucks, pressing, reach)
    return gaps.index(max(gaps)) + 1


def widest_gap_phase(tucks: Sequence[Tuck], pressing: Pressing, reach: int | None = None) -> int:
    """The phase a panel starts at unless centring or matching decides: the middle of the widest gap."""
    gaps = visible_gaps(tucks, pressing, reach)
    gap = max(gaps)
    index = gaps.index(gap)
    lines = list(accumulate([t.space for t in tucks]))
    end = lines[index] + after_seam(pressing, tucks[index].depth if reach is None else reach)
    return (end + gap // 2) % lines[-1]


def gap_notes(
    tucks: Sequence[Tuck], pressing: Pressing, reach: int | None = None, narrowest: int = NARROWEST_GAP
) -> tuple[GapNote, ...]:
    """Gaps that are tight (below `narrowest`), blind (zero) or overlapping (negative), in order."""
    gaps = visible_gaps(tucks, pressing, reach)
    return tuple(GapNote(i, gap, gap_kind(gap)) for i, gap in enumerate(gaps, 1) if gap < narrowest)


def gap_kind(gap: int) -> str:
    """ "overlapping", "blind", or "tight" for a gap already known to be narrow."""
    if gap < 0:
        return "overlapping"
    return "tight" if gap else "blind"
