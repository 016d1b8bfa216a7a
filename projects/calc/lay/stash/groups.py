"""Which bins may be used together, and what must be bought at the least."""

from __future__ import annotations

from collections.abc import Sequence

from projects.calc.lay.bound import lower_bound
from projects.calc.lay.bounds_wide import lifted
from projects.calc.lay.request import Item
from projects.calc.lay.stash.aims import Problem
from projects.calc.lay.stash.bins import Bin, Kind, covered
from projects.calc.units import ceil_div

Group = tuple[Bin, ...]
"""Bins that may all be used in one lay, the roll last."""


def groups_of(problem: Problem) -> list[Group]:
    """With one dye lot: the lengths of each lot, and the roll by itself, which is another lot. Otherwise all
    together. A group without a bin that holds a pinned panel is none."""
    roll = () if problem.roll is None else (problem.roll,)
    if problem.request.one_dye_lot:
        lots = dict.fromkeys(bin_.lot for bin_ in problem.lengths)
        groups = [tuple(bin_ for bin_ in problem.lengths if bin_.lot == lot) for lot in lots]
        groups += [roll] if roll else []
    else:
        groups = [(*problem.lengths, *roll)]
    held = [bin_ for bin_ in (*problem.lengths, *roll) if bin_.pinned]
    return [group for group in groups if group and all(bin_ in group for bin_ in held)]


def least_bought(problem: Problem, group: Group) -> int | None:
    """A length of the roll that no use of the group can do with less of; None where it can't serve at all.

    What fits no length must be bought; and of panels that fit only some lengths, the area those don't hold.
    """
    lengths = [bin_ for bin_ in group if not bin_.is_roll]
    roll = next((bin_ for bin_ in group if bin_.is_roll), None)
    fits = [frozenset(bin_ for bin_ in lengths if bin_.holds(kind)) for kind in problem.kinds]
    wide = [kind for kind, bins in zip(problem.kinds, fits, strict=True) if not bins]
    over = max(_over(problem, fits, bins) for bins in {*fits, frozenset(lengths)})
    if not wide and over <= 0:
        return 0
    if roll is None or not all(roll.holds(kind) for kind in wide):
        return None
    shortest = min(way[1] for kind in problem.kinds for way in kind.ways)
    items = _items(wide, roll)
    forced = lower_bound(items, roll.room)
    forced = lifted(items, roll.room, forced, sum(max(item.ways)[1] for item in items))
    return roll.start + max(shortest, forced, ceil_div(max(over, 0), roll.room)) - roll.gap


def _over(problem: Problem, fits: Sequence[frozenset[Bin]], bins: frozenset[Bin]) -> int:
    """Area of the panels that fit none but `bins`, less what these hold."""
    asked = sum(
        kind.panel.count * kind.ways[0][0] * kind.ways[0][1]
        for kind, where in zip(problem.kinds, fits, strict=True)
        if where <= bins
    )
    return asked - sum(map(capacity, bins))


def capacity(bin_: Bin) -> int:
    """Area of a bin clear of flaws (gaps counted as the panels'); pinned panels lie on it too."""
    pins = {(x, y, x + wide, y + long) for (_, x, y, wide, long), _ in bin_.pinned}
    flaws = [block for block in bin_.blocks if block not in pins]
    whole = (0, bin_.start, bin_.room, max(bin_.start, bin_.end))
    return bin_.room * (whole[3] - bin_.start) - covered(flaws, whole)


def _items(kinds: Sequence[Kind], roll: Bin) -> list[Item]:
    return [
        Item(kind.panel, copy, tuple(way for way in kind.ways if way[0] <= roll.room))
        for kind in kinds
        for copy in range(kind.panel.count)
    ]
