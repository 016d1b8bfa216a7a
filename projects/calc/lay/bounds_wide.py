"""How short a lay can be when both its sides are looked at: what can't stand side by side, nor be stacked.

`bound.lower_bound` counts what wide panels force. Here long ones count too: panels longer than half a lay
can't be stacked in it, so they stand side by side, and if they are wider together than the cloth no lay is
that short. Sizes, widths and lengths include the gap, in whole nm.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import accumulate, combinations_with_replacement
from operator import mul
from typing import Final

from projects.calc.lay.request import Item
from projects.calc.units import ceil_div

Measure = tuple[list[int], list[int], int]  # panels upright, panels turned, the whole side
Ways = tuple[tuple[int, int], ...]
THRESHOLDS: Final = 5  # tried on each side
PARTS: Final = (1, 2, 3)  # halves, thirds and quarters of a side
PAIRS: Final = 40  # lengths of which sums of two are looked at
FINER: Final = 5  # halvings of the last stretch


def lifted(items: Sequence[Item], width: int, bound: int, most: int) -> int:
    """A bound from `bound` up to `most`, the length of a lay there is: no lay of the items is shorter.

    A length is ruled out where panels, each counted by a dual feasible function of its width times one of its
    length, come to more than the cloth does; then every shorter one is as well. Lengths at which some
    function jumps are halved, so a few milliseconds do, and what is found holds though another could be
    higher. Source: S. P. Fekete and J. Schepers, A combinatorial characterization of higher-dimensional
    orthogonal packing (2004), with the functions of their New classes of fast lower bounds (2001).
    """
    if not items or bound >= most:
        return bound
    ruled_out = _Ruling(items, width)
    if not ruled_out(bound):
        return bound
    lengths = _jumps({long for item in items for _, long in item.ways}, bound, most)
    low, high = -1, len(lengths)  # the last that is ruled out, and the first that isn't
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if ruled_out(lengths[middle]) else (low, middle)
    out = lengths[low] if low >= 0 else bound
    free = lengths[high] if high < len(lengths) else most
    for _ in range(FINER):
        middle = (out + free) // 2
        if middle <= out:
            break
        out, free = (middle, free) if ruled_out(middle) else (out, middle)
    return max(bound, out + 1)


def _jumps(sizes: set[int], bound: int, most: int) -> list[int]:
    """Lengths just under those at which one more panel may be stacked, and the one just under `most`."""
    some = sorted(sizes)[:: ceil_div(len(sizes), PAIRS)]
    sums = {a + b for a, b in combinations_with_replacement(some, 2)}
    sums |= {times * size for size in sizes for times in (2, 3, 4)}
    return sorted({total - 1 for total in sums if bound < total < most} | {most - 1})


class _Ruling:
    """Whether a length is ruled out; equal panels are counted together."""

    def __init__(self, items: Sequence[Item], width: int) -> None:
        fixed = Counter(item.ways for item in items if len(item.ways) == 1)
        turning = Counter(item.ways for item in items if len(item.ways) > 1)
        kinds = [*fixed, *turning]
        counts = [*fixed.values(), *turning.values()]
        self.turns = bool(turning)
        self.width = width
        # Of panels that may turn the smaller of both sides: then they are told apart no more than they are.
        least = [(min(long for _, long in item.ways), min(w for w, _ in item.ways)) for item in items]
        self.sides = sorted(least, reverse=True)
        self.turned = sorted(((w, long) for long, w in least), reverse=True)
        self.least = max(min(long for _, long in ways) for ways in kinds)
        self.long = [ways[0][1] for ways in kinds], [ways[-1][1] for ways in kinds]
        wide = [ways[0][0] for ways in kinds], [ways[-1][0] for ways in kinds]
        self.across: list[Measure] = [
            (list(map(mul, counts, upright)), list(map(mul, counts, turned)), full)
            for upright, turned, full in _measures(wide, width)
        ]

    def __call__(self, length: int) -> bool:
        if self.least > length or self._crowded(length):
            return True
        along = list(_measures(self.long, length))
        return any(self._counted(wide, long) > wide[2] * long[2] for wide in self.across for long in along)

    def _crowded(self, length: int) -> bool:
        """Whether panels no two of which fit after one another are wider together than the cloth; or panels
        no two of which fit beside one another, longer than `length`."""
        return _apart(self.sides, length) > self.width or _apart(self.turned, self.width) > length

    def _counted(self, wide: Measure, long: Measure) -> int:
        """What the panels count as, those that may turn the way that counts less."""
        upright = map(mul, wide[0], long[0])
        return sum(map(min, upright, map(mul, wide[1], long[1])) if self.turns else upright)


def _apart(sides: Sequence[tuple[int, int]], whole: int) -> int:
    """The most that the second sides come to of panels of whose first sides no two fit into `whole`.

    Those longer than half of it, less those that one shorter panel fits beside, and that panel. `sides` begin
    with the longest.
    """
    tall = [first for first, _ in sides if 2 * first > whole]
    sums = [0, *accumulate(second for _, second in sides[: len(tall)])]
    lengths = [-first for first in tall]
    pairs = (sums[bisect_left(lengths, first - whole)] + second for first, second in sides[len(tall) :])
    return max(sums[-1], max(pairs, default=0))


def _measures(sizes: tuple[list[int], list[int]], whole: int) -> Iterator[Measure]:
    """What each size counts as on a side, and the whole side, by several dual feasible functions."""
    distinct = {size for of in sizes for size in of}
    functions = [partial(_over, k=k, whole=whole) for k in _thresholds(distinct, whole)]
    functions += [partial(_in_parts, k=k, whole=whole) for k in PARTS]
    seen = set()
    for function in functions:
        counted = {size: function(size) for size in distinct}
        key = tuple(counted.values())
        if key not in seen:
            seen.add(key)
            yield [counted[size] for size in sizes[0]], [counted[size] for size in sizes[1]], function(whole)


def _over(size: int, k: int, whole: int) -> int:
    """What leaves less than `k` counts as the whole side, less than `k` as nothing, the rest as itself."""
    return whole if size > whole - k else 0 if size < k else size


def _in_parts(size: int, k: int, whole: int) -> int:
    """How many whole parts k + 1 times its size gives; one that gives them exactly counts as it is."""
    parts, rest = divmod((k + 1) * size, whole)
    return whole * parts if rest else size * k


def _thresholds(sizes: set[int], whole: int) -> list[int]:
    """0, and an even choice of the sizes at which anything changes, up to half the side."""
    half = whole // 2
    found = sorted({s for s in sizes if s <= half} | {whole - s + 1 for s in sizes if half < s <= whole})
    return [0, *found[:: ceil_div(len(found), THRESHOLDS) or 1]]
