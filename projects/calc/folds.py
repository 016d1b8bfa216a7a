"""Tucks, folds and which way they are pressed: the small words every other module speaks in.

Every length is whole nanometres.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Pressing(StrEnum):
    """Which way what a tuck covers lies from its seam."""

    ON = "on"
    """Away from the first edge: [x, x + d)."""
    BACK = "back"
    """Towards the first edge: [x - d, x)."""
    OPENED = "opened"
    """Flattened over its seam: [x - d/2, x + d/2)."""
    CORDED = "corded"
    """Stands up round its cord and is never pressed over; covers as much on both sides."""

    @property
    def turned(self) -> Pressing:
        """The pressing seen in a mirror, or with the panel turned end for end."""
        return _TURNED.get(self, self)


_TURNED = {Pressing.ON: Pressing.BACK, Pressing.BACK: Pressing.ON}


@dataclass(frozen=True, slots=True)
class Tuck:
    """One tuck of a repeat: space from the seam before and depth (fold to stitch line), both nm."""

    space: int
    depth: int
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Fold:
    """One tuck or pleat of a panel. Lengths nm; x and `cover_*` finished, a, b, fold, stitches flat."""

    number: int
    mark: str
    seam: int
    depth: int
    take_up: int
    start: int
    space: int
    cover_start: int
    cover_end: int
    pressing: Pressing
    caught: str = ""

    @property
    def end(self) -> int:
        """b: where its cloth ends, flat."""
        return self.start + self.take_up

    @property
    def fold(self) -> int:
        """The fold line, flat."""
        return self.start + self.take_up // 2

    @property
    def stitch_before(self) -> int:
        """The stitch line on the side of the first edge, flat."""
        return self.fold - self.depth

    @property
    def stitch_after(self) -> int:
        """The stitch line on the far side, flat."""
        return self.fold + self.depth


def half(nm: int) -> int:
    """Half a length, half up, so that both sides of a seam are given the same."""
    return (nm + 1) // 2


def before_seam(pressing: Pressing, reach: int) -> int:
    """How far a tuck covers from its seam towards the first edge, nm."""
    if pressing is Pressing.ON:
        return 0
    return reach if pressing is Pressing.BACK else half(reach)


def after_seam(pressing: Pressing, reach: int) -> int:
    """How far a tuck covers from its seam away from the first edge, nm."""
    if pressing is Pressing.BACK:
        return 0
    return reach if pressing is Pressing.ON else half(reach)


def even(nm: int) -> int:
    """The nearest even length, half up: a take-up is kept even so that folds are whole."""
    return nm + (nm & 1)


def take_up_of(depth: int, extra: int) -> int:
    """q = 2 d + e, even. Never below nothing: a tuck shallower than its cloth gives back takes up none."""
    return max(0, 2 * depth + even(extra))
