"""The shortest a lay could be: a length no lay of these panels can beat."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import Final

from projects.calc.lay.request import Item
from projects.calc.units import ceil_div

Ways = tuple[tuple[int, int], ...]
THRESHOLDS: Final = 24  # enough to find what wide panels force; each one tried is a bound by itself


def lower_bound(items: Sequence[Item], width: int) -> int:
    """The larger of: the longest panel, the area over the width, and what wide panels force.

    Sizes and width include the gap, and so does the answer. For a threshold k up to half the width, a panel
    wider than `width` - k leaves no room beside it for anything at least k wide: it counts as the whole
    width, and panels narrower than k count as nothing. k = 0 is the area itself. Source: the dual feasible
    functions of S. P. Fekete and J. Schepers, New classes of fast lower bounds for bin packing (2001).
    """
    if not items:
        return 0
    longest = max(min(length for _, length in item.ways) for item in items)
    fixed = _Fixed([item.ways[0] for item in items if len(item.ways) == 1], width)
    turning = [item.ways for item in items if len(item.ways) > 1]
    forced = max(fixed.counted(k) + _turned(turning, width, k) for k in _thresholds(items, width))
    return max(longest, ceil_div(forced, width))


def _thresholds(items: Sequence[Item], width: int) -> list[int]:
    """0, half the width, and an even choice of the widths at which anything changes."""
    widths = {w for item in items for w, _ in item.ways}
    half = width // 2
    found = sorted({w for w in widths if w <= half} | {width - w + 1 for w in widths if w > width - half})
    step = ceil_div(len(found), THRESHOLDS) or 1
    return [0, *found[::step], half]


class _Fixed:
    """Panels that lie one way, summed by width so that each threshold is two look-ups."""

    def __init__(self, sizes: list[tuple[int, int]], width: int) -> None:
        sizes.sort()
        self.width = width
        self.widths = [w for w, _ in sizes]
        self.areas = [0, *accumulate(w * length for w, length in sizes)]
        self.lengths = [0, *accumulate(length for _, length in sizes)]

    def counted(self, k: int) -> int:
        """Area that counts at threshold k."""
        first, wide = bisect_left(self.widths, k), bisect_right(self.widths, self.width - k)
        full = self.width * (self.lengths[-1] - self.lengths[wide])
        return self.areas[wide] - self.areas[first] + full


def _turned(turning: Sequence[Ways], width: int, k: int) -> int:
    """Area that counts of panels that may turn: each the way that counts less."""
    return sum(min(_counted(w, width, k) * length for w, length in ways) for ways in turning)


def _counted(w: int, width: int, k: int) -> int:
    if w > width - k:
        return width
    return 0 if w < k else w
