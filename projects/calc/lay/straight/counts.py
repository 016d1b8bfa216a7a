"""How many of each kind a block holds, as one number, so that many pairs of blocks are compared at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

BITS: Final = 62  # of a signed 64 bit number, one left for what sums carry over

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Many = Any  # numpy's own operators widen these


class Counts:
    """A field of bits for each kind: one bit where there is one of it, else its number and a guard bit."""

    def __init__(self, counts: Sequence[int]) -> None:
        self.units: list[int] = []
        self.ones = self.several = self.guards = self.most = self.all = 0
        at = 0
        for count in counts:
            self.units.append(1 << at)
            self.all |= count << at
            if count == 1:
                self.ones |= 1 << at
                at += 1
                continue
            wide = count.bit_length()
            self.several |= ((2 << wide) - 1) << at
            self.guards |= 1 << (at + wide)
            self.most |= count << at
            at += wide + 1
        self.bits = at

    @staticmethod
    def needed(counts: Sequence[int]) -> int:
        """Bits that these counts take; only up to BITS of them can be held."""
        return sum(1 if count == 1 else count.bit_length() + 1 for count in counts)

    def together(self, a: Many, b: Many) -> Bools:
        """Where two blocks can lie in one lay: they hold no more of any kind than there are."""
        fine: Bools = (a & b & self.ones) == 0
        if self.guards:
            left = (self.most | self.guards) - ((a & self.several) + (b & self.several))
            fine &= (left & self.guards) == self.guards
        return fine
