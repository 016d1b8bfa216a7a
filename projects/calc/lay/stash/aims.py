"""What makes one use of the stash better than another.

In this order:

1. the least bought from the roll; nothing, where the stash serves;
2. what remains of the lengths: the area (width times what is not begun) left of each, the largest first, is
   compared place by place, and more is better at the first place where two differ. So the largest length is
   left whole if it can be, then the next, and the smallest are cut first. What is under the smallest remnant
   worth keeping on either side counts as nothing;
3. the fewest lengths cut;
4. the least cloth taken.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.calc.lay.request import LayRequest
from projects.calc.lay.stash.bins import Bin, Kind, Spot

Key = tuple[int, tuple[int, ...], int, int]
"""Of two uses the one with the smaller key is the better."""


@dataclass(frozen=True, slots=True)
class Problem:
    """All that is asked: kinds of panels, lengths in the order given, the roll if one can be bought."""

    request: LayRequest
    kinds: tuple[Kind, ...]
    lengths: tuple[Bin, ...]
    roll: Bin | None

    @property
    def counts(self) -> tuple[int, ...]:
        return tuple(len(kind.copies) for kind in self.kinds)


Laid = Mapping[Bin, tuple[Spot, ...]]
"""What lies on each bin, pinned panels not in it; a bin may be missing."""


def key_of(problem: Problem, laid: Laid) -> Key:
    """How good a use is; smaller is better."""
    roll = problem.roll
    bought = roll.used(laid.get(roll, ())) if roll else 0
    return key_of_used(problem, bought, [bin_.used(laid.get(bin_, ())) for bin_ in problem.lengths])


def key_of_used(problem: Problem, bought: int, used: Sequence[int]) -> Key:
    """As `key_of`, from what is taken of each length in the order of the problem."""
    least = problem.request.smallest_remnant
    kept, taken = [], 0
    for bin_, gone in zip(problem.lengths, used, strict=True):
        kept.append(kept_of(bin_, gone, least))
        taken += bin_.width * gone
    kept.sort(reverse=True)
    return bought, tuple(-area for area in kept), sum(gone > 0 for gone in used), taken


def kept_of(bin_: Bin, used: int, least: int) -> int:
    """Area that remains of a length, 0 where it isn't worth keeping."""
    rest = bin_.length - used
    return bin_.width * rest if min(bin_.width, rest) >= least else 0
