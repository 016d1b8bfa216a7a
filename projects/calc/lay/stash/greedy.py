"""A good use of the stash, quickly: bins filled one after the other, the largest left out where it can be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from projects.calc.lay.stash.aims import Key, Laid, Problem, key_of
from projects.calc.lay.stash.bins import Bin, Counts, Spot, area, less
from projects.calc.lay.stash.fill import Taste, fill, order_of
from projects.calc.lay.stash.groups import Group, capacity
from projects.calc.lay.stash.shorten import shortened, tastes_of

MANY: Final = 80
"""Panels above which fewer ways to fill are tried, so that an answer still comes at once."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way to fill: which panels first, and where each goes."""

    by: int
    taste: Taste


def quick_use(problem: Problem, group: Group) -> Laid | None:
    """The best use found of the bins of a group; None where none was found."""
    roll = next((bin_ for bin_ in group if bin_.is_roll), None)
    lengths = sorted((bin_ for bin_ in group if not bin_.is_roll), key=lambda b: b.width * b.length)
    bins = [*lengths, roll] if roll else lengths
    tries = list(_tried(problem, bins))
    if not tries:
        return None
    best, bins = _without_the_largest(problem, bins, min(tries, key=lambda laid: key_of(problem, laid)))
    tries = sorted([best, *_tried(problem, bins)], key=lambda laid: key_of(problem, laid))
    finished = [_shortened(problem, laid) for laid in tries[:3]]
    return min(finished, key=lambda laid: key_of(problem, laid))


def ways_for(problem: Problem) -> list[Way]:
    """Ways to fill worth trying."""
    ways = [Way(by, taste) for by in range(3) for taste in tastes_of(problem.request)]
    return ways if sum(problem.counts) <= MANY else ways[:2]


def share_out(
    problem: Problem, bins: Sequence[Bin], order: Sequence[int], taste: Taste
) -> tuple[dict[Bin, tuple[Spot, ...]], Counts]:
    """Fill the bins in turn with panels in an order; what lies on each, and what is left over."""
    count = Counter(order)
    left = tuple(count[kind] for kind in range(len(problem.kinds)))
    laid: dict[Bin, tuple[Spot, ...]] = {}
    for bin_ in bins:
        waiting = list(left)
        here = []
        for kind in order:
            if waiting[kind]:
                waiting[kind] -= 1
                here.append(kind)
        if not here:
            break
        # The roll is filled from its start, whatever the lengths are filled by: only its end counts.
        used = Taste(False, taste.straight, taste.along, taste.through) if bin_.is_roll else taste
        laid[bin_] = fill(bin_, here, problem.kinds, used)
        left = less(left, laid[bin_])
    return laid, left


def _tried(problem: Problem, bins: Sequence[Bin]) -> Iterator[Laid]:
    """Uses of the bins that hold all panels."""
    for way in ways_for(problem):
        order = order_of(problem.counts, problem.kinds, way.by)
        for turn in _orders(bins):
            laid, left = share_out(problem, turn, order, way.taste)
            if not any(left):
                yield laid


def _orders(bins: Sequence[Bin]) -> Iterator[Sequence[Bin]]:
    """The smallest first; where the roll is there too, also the narrowest first."""
    yield bins
    if bins and bins[-1].is_roll and len(bins) > 2:
        yield [*sorted(bins[:-1], key=lambda b: (b.width, b.length)), bins[-1]]


def _without_the_largest(problem: Problem, bins: list[Bin], best: Laid) -> tuple[Laid, list[Bin]]:
    """Leave out the largest, then the next, wherever the rest gives something better; the bins kept."""
    key: Key = key_of(problem, best)
    for bin_ in reversed([b for b in bins if not b.is_roll]):
        if bin_.pinned:
            continue
        fewer = [b for b in bins if b is not bin_]
        if sum(map(capacity, fewer)) < area(problem.counts, problem.kinds):
            continue
        for laid in _tried(problem, fewer):
            if (new := key_of(problem, laid)) <= key:
                best, key, bins = laid, new, fewer
    return best, bins


def _shortened(problem: Problem, laid: Laid) -> Laid:
    return {bin_: shortened(problem, bin_, spots) for bin_, spots in laid.items()}
