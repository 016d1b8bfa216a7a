"""Uses of the stash that are plainly the best there are, though not everything was tried."""

from __future__ import annotations

from projects.calc.lay.bound import lower_bound
from projects.calc.lay.bounds_wide import lifted
from projects.calc.lay.request import Item
from projects.calc.lay.stash.aims import Laid, Problem, kept_of
from projects.calc.lay.stash.bins import Bin


def plainly_best(problem: Problem, laid: Laid, bound: int, proven_end: int | None = None) -> bool:
    """Whether nothing meets the aims better: no lot serves, and what is bought is no more than the bound; or
    one length alone is cut, and `one_is_best`. `proven_end` is a use of that length known to be the least."""
    roll = problem.roll
    bought = roll.used(laid.get(roll, ())) if roll is not None else 0
    if bought:
        return bought == bound and problem.request.one_dye_lot
    cut = [bin_ for bin_ in problem.lengths if bin_.used(laid.get(bin_, ()))]
    return len(cut) == 1 and _one_is_best(problem, laid, cut[0], proven_end)


def _one_is_best(problem: Problem, laid: Laid, cut: Bin, proven_end: int | None) -> bool:
    """Whether the one length that is cut is the smallest, and no less of it could be taken.

    Every other length, whole, counts more than this one could. To cut into one of them instead, or as well,
    makes a larger area smaller and can only make a smaller one larger: that is worse by the aims.
    """
    least = problem.request.smallest_remnant
    if any(kept_of(bin_, 0, least) <= kept_of(cut, 0, least) for bin_ in problem.lengths if bin_ is not cut):
        return False
    items = [
        Item(kind.panel, copy, tuple(way for way in kind.ways if way[0] <= cut.room))
        for kind in problem.kinds
        for copy in range(kind.panel.count)
    ]
    used = cut.used(laid.get(cut, ()))
    ends = cut.gap - cut.start  # what a length has more, grown by the gap, than its end
    least = lifted(items, cut.room, lower_bound(items, cut.room), used + ends)
    return used <= max(least - ends, proven_end or 0)
