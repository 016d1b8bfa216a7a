"""A good use of the stash, quickly: bins filled one after the other, the largest left out where it can be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from projects.calc.lay.stash.aims import Key, Laid, Problem, key_of
from projects.calc.lay.stash.bins import Bin, Counts, Spot, area, least_sides, less
from projects.calc.lay.stash.fill import Taste, fill, order_of
from projects.calc.lay.stash.groups import Group, capacity
from projects.calc.lay.stash.shorten import counts_of, shortened, tastes_of

MANY: Final = 80
"""Panels above which fewer ways to fill are tried, so that an answer still comes at once."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way to fill: which panels first, and where each goes."""

    by: int
    taste: Taste


@dataclass(slots=True)
class Known:
    """What was found on the way to one quick use, by the names of bins: uses differ in a few bins only, and
    those they share are filled once."""

    least: tuple[int, int]
    filled: dict[tuple[str, Taste, tuple[int, ...]], tuple[Spot, ...]] = field(default_factory=dict)
    shortened: dict[tuple[str, Counts], tuple[Spot, ...]] = field(default_factory=dict)

    @classmethod
    def nothing(cls, problem: Problem) -> Known:
        return cls(least_sides(problem.kinds))

    def fill(self, bin_: Bin, order: Sequence[int], problem: Problem, taste: Taste) -> tuple[Spot, ...]:
        at = (bin_.name, taste, tuple(order))
        found = self.filled.get(at)
        if found is None:
            found = self.filled[at] = fill(bin_, order, problem.kinds, taste, self.least)
        return found


def quick_use(problem: Problem, group: Group) -> Laid | None:
    """The best use found of the bins of a group; None where none was found."""
    roll = next((bin_ for bin_ in group if bin_.is_roll), None)
    lengths = sorted((bin_ for bin_ in group if not bin_.is_roll), key=lambda b: b.width * b.length)
    bins = [*lengths, roll] if roll else lengths
    known = Known.nothing(problem)
    tries = list(_tried(problem, bins, known))
    if not tries:
        return None
    first = min(tries, key=lambda laid: key_of(problem, laid))
    best, bins = _without_the_largest(problem, bins, first, known)
    others = _tried(problem, bins, known, buy=key_of(problem, best)[0] > 0)
    tries = sorted([best, *others], key=lambda laid: key_of(problem, laid))
    finished = [_shortened(problem, laid, known) for laid in tries[:3]]
    return min(finished, key=lambda laid: key_of(problem, laid))


def ways_for(problem: Problem) -> list[Way]:
    """Ways to fill worth trying."""
    ways = [Way(by, taste) for by in range(3) for taste in tastes_of(problem.request)]
    return ways if sum(problem.counts) <= MANY else ways[:2]


def share_out(
    problem: Problem,
    bins: Sequence[Bin],
    order: Sequence[int],
    taste: Taste,
    known: Known | None = None,
    *,
    all_or_none: bool = False,
) -> tuple[dict[Bin, tuple[Spot, ...]], Counts]:
    """Fill the bins in turn with panels in an order; what lies on each, and what is left over.

    With `all_or_none` it ends as soon as the bins to come plainly can't hold what is left.
    """
    known = known or Known.nothing(problem)
    count = Counter(order)
    left = tuple(count[kind] for kind in range(len(problem.kinds)))
    laid: dict[Bin, tuple[Spot, ...]] = {}
    here = list(order)
    for at, bin_ in enumerate(bins):
        if not here or (all_or_none and area(left, problem.kinds) > sum(map(capacity, bins[at:]))):
            break
        laid[bin_] = known.fill(bin_, here, problem, _on(bin_, taste))
        left = less(left, laid[bin_])
        waiting, before, here = list(left), here, []
        for kind in before:
            if waiting[kind]:
                waiting[kind] -= 1
                here.append(kind)
    return laid, left


def _on(bin_: Bin, taste: Taste) -> Taste:
    """A taste as far as it makes a difference on a bin. The roll is filled from its start, whatever the
    lengths are filled by: only its end counts."""
    snug, through = taste.snug and not bin_.is_roll, taste.through and bool(bin_.blocks)
    if (snug, through) == (taste.snug, taste.through):
        return taste
    return replace(taste, snug=snug, through=through)


def _tried(problem: Problem, bins: Sequence[Bin], known: Known, *, buy: bool = True) -> Iterator[Laid]:
    """Uses of the bins that hold all panels. Unless it may buy, the roll's part is left out: where a use that
    buys nothing is known, none that buys is better."""
    turns = [turn if buy or not turn[-1].is_roll else turn[:-1] for turn in _orders(bins)]
    for way in ways_for(problem):
        order = order_of(problem.counts, problem.kinds, way.by)
        for turn in turns:
            laid, left = share_out(problem, turn, order, way.taste, known, all_or_none=not buy)
            if not any(left):
                yield laid


def _orders(bins: Sequence[Bin]) -> Iterator[Sequence[Bin]]:
    """The smallest first; where the roll is there too, also the narrowest first."""
    yield bins
    if bins and bins[-1].is_roll and len(bins) > 2:
        yield [*sorted(bins[:-1], key=lambda b: (b.width, b.length)), bins[-1]]


def _without_the_largest(
    problem: Problem, bins: list[Bin], best: Laid, known: Known
) -> tuple[Laid, list[Bin]]:
    """Leave out the largest, then the next, wherever the rest gives something better; the bins kept."""
    key: Key = key_of(problem, best)
    for bin_ in reversed([b for b in bins if not b.is_roll]):
        if bin_.pinned:
            continue
        fewer = [b for b in bins if b is not bin_]
        if sum(map(capacity, fewer)) < area(problem.counts, problem.kinds):
            continue
        for laid in _tried(problem, fewer, known, buy=key[0] > 0):
            if (new := key_of(problem, laid)) <= key:
                best, key, bins = laid, new, fewer
    return best, bins


def _shortened(problem: Problem, laid: Laid, known: Known) -> Laid:
    return {bin_: _shortest(problem, bin_, spots, known) for bin_, spots in laid.items()}


def _shortest(problem: Problem, bin_: Bin, spots: tuple[Spot, ...], known: Known) -> tuple[Spot, ...]:
    """The panels of a bin laid again, unless the same panels were before."""
    at = (bin_.name, counts_of(problem, spots))
    if at not in known.shortened:
        known.shortened[at] = shortened(problem, bin_, spots)
    return min(spots, known.shortened[at], key=bin_.used)
