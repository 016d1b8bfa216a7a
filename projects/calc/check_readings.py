"""What one check measure says by itself, what a wrong depth does, and whether a seam runs askew. Lengths nm.

E = r + f is what the finished panel will be too long by (r: near reading - planned, f: far reading -
planned); r alone tells only where the texture sits. Source: derived. How far off a reading has to be to be
rather a wrong one is a starting value.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from projects.calc.errors import CalcError
from projects.calc.hand import TAPE

PLACINGS: Final = ("lines", "folds", "last")
ASKEW: Final = 164
"""1.64 x 100: readings differ by more than their own straying explains in 9 of 10."""
BEYOND: Final = 6
"""So many times what is near enough is rather a wrong reading than a hand's; a starting value."""


@dataclass(frozen=True, slots=True)
class Judged:
    """``shift`` is r. ``excess`` is E, and ``fine`` whether it is near enough; both None where the second
    reading was left out: what the panel comes out at can't be told then."""

    excess: int | None
    shift: int
    fine: bool | None


def judge(
    near_planned: int,
    far_planned: int,
    near: int,
    far: int | None,
    near_enough: int,
    near_end: int | None = None,
    far_end: int | None = None,
) -> Judged:
    """Both readings beside what they should be; `near_enough` is the band of the check, nm. Where the other
    end of the seam was measured too, the mean of both ends is what counts."""
    shift = _mean(near, near_end) - near_planned
    if far is None:
        return Judged(None, shift, None)
    whole = near + far
    if near_end is not None and far_end is not None:
        whole = _mean(whole, near_end + far_end)
    excess = whole - near_planned - far_planned
    return Judged(excess, shift, abs(excess) <= near_enough)


def _mean(one: int, other: int | None) -> int:
    return one if other is None else (one + other) // 2


def beyond_a_hand(change: int, band: int) -> bool:
    """Whether a change of E (nm) is more than single tucks and a steady error together make, where `band` is
    near enough: rather a reading that is wrong, or a tuck nobody knows of."""
    return abs(change) > BEYOND * band


def alike(one: int, other: int, band: int) -> bool:
    """Whether two measures of the same E say the same: within the band, or within what four readings of a
    tape stray by."""
    return abs(one - other) <= band or not _beyond(one - other, 4)


@dataclass(frozen=True, slots=True)
class WrongDepth:
    """What a tuck sewn at a wrong depth does: the panel is `shorter` by 2 D (below 0: longer); its own seam
    and the seams after it lie nearer by these to the edge where sewing began (below 0: farther)."""

    shorter: int
    own_seam: int
    later_seams: int


def wrong_depth(planned: int, sewn: int, placing: str) -> WrongDepth:
    """`sewn` instead of `planned`: D too deep makes the panel 2 D short.

    Placed by drawn "lines": the first stitch line holds its own seam, later seams move by 2 D. By drawn
    "folds": its own seam moves by D, later ones by 2 D. From the "last" seam: its own moves by D (its fold
    was measured, not its line), and the later ones with it. Raises CalcError for another placing.
    """
    deeper = sewn - planned
    if placing not in PLACINGS:
        raise CalcError("placing", placing, "lines, folds or last", "Say what seams are placed by.")
    own = 0 if placing == "lines" else deeper
    return WrongDepth(2 * deeper, own, deeper if placing == "last" else 2 * deeper)


@dataclass(frozen=True, slots=True)
class Skew:
    """How a seam differs at its other end: it lies `seam` farther from the edge where sewing began (below 0:
    nearer), and the panel will be `extent` longer there; None where a far reading is missing."""

    seam: int
    extent: int | None

    @property
    def runs_askew(self) -> bool:
        """Whether the seam itself lies otherwise there by more than a tape strays."""
        return _beyond(self.seam, 2)

    @property
    def uneven(self) -> bool:
        """Whether the panel comes out otherwise there by more than a tape strays."""
        return self.extent is not None and _beyond(self.extent, 4)


def skew(near: int, far: int | None, near_end: int | None, far_end: int | None) -> Skew | None:
    """None where the two ends agree within what a tape strays, or the other end was not measured.

    A difference of k readings strays by tape x sqrt(k); beyond 1.64 times that it is said.
    """
    if near_end is None:
        return None
    seam = near_end - near
    extent = None if far is None or far_end is None else seam + far_end - far
    found = Skew(seam, extent)
    return found if found.runs_askew or found.uneven else None


def _beyond(difference: int, readings: int) -> bool:
    return (100 * difference) ** 2 > (ASKEW * TAPE) ** 2 * readings
