"""Laying the panels of one bin again so that less of it is taken."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from projects.calc.lay.bound import lower_bound
from projects.calc.lay.request import Item, Lay, LayError, LayRequest
from projects.calc.lay.stash.aims import Problem
from projects.calc.lay.stash.bins import Bin, Counts, Spot, least_sides
from projects.calc.lay.stash.fill import Taste, fill, order_of


def tastes_of(request: LayRequest) -> tuple[Taste, ...]:
    """Ways to fill that suit how it is cut."""
    if request.straight_cuts:
        blocked = request.pins or any(length.flaws for length in request.lengths)
        return tuple(
            Taste(snug, True, along, through)
            for through in ((True, False) if blocked else (False,))
            for snug in (False, True)
            for along in (False, True)
        )
    return Taste(), Taste(snug=True)


def shortened(problem: Problem, bin_: Bin, spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """The same panels on the same bin, taking no more of it than before."""
    if not spots or _is_least(problem, bin_, spots):
        return spots
    best = _refilled(problem, bin_, spots)
    if bin_.blocks:
        return best
    try:
        lay = _planned(request_on(problem, bin_, spots))
    except LayError:
        return best
    found = spots_of(lay, bin_)
    return found if bin_.used(found) < bin_.used(best) else best


def _is_least(problem: Problem, bin_: Bin, spots: Sequence[Spot]) -> bool:
    """Whether panels plainly can't take less of a bin than they do."""
    items = [Item(kind.panel, 1, kind.ways) for kind in (problem.kinds[spot[0]] for spot in spots)]
    return bin_.used(spots) + bin_.gap - bin_.start <= lower_bound(items, bin_.room)


def request_on(problem: Problem, bin_: Bin, spots: Sequence[Spot]) -> LayRequest:
    """The panels of `spots` on a cloth as wide and long as the bin, each panel named by its kind. The lost
    end is left out: `spots_of` adds it."""
    counts = Counter(spot[0] for spot in spots)
    panels = tuple(
        replace(problem.kinds[kind].panel, name=str(kind), count=n) for kind, n in sorted(counts.items())
    )
    return replace(
        problem.request,
        width=bin_.width,
        panels=panels,
        most_length=bin_.length - bin_.start,
        lengths=(),
        end_loss=0,
        pins=(),
    )


def spots_of(lay: Lay, bin_: Bin) -> tuple[Spot, ...]:
    """Where a lay of `request_on` puts the panels on the bin."""
    gap = bin_.gap
    return tuple((int(p.name), p.x, p.y + bin_.start, p.width + gap, p.length + gap) for p in lay.placements)


def _planned(request: LayRequest) -> Lay:
    # The planner asks this package for lays on lengths: imported late, neither needs the other to start.
    from projects.calc.lay.planner import plan_lay

    return plan_lay(request)


def _refilled(problem: Problem, bin_: Bin, spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """The shortest of the quick ways to lay them, or as they lie."""
    counts = counts_of(problem, spots)
    best, orders, least = spots, set[tuple[int, ...]](), least_sides(problem.kinds)
    for by in range(3):
        order = tuple(order_of(counts, problem.kinds, by))
        if order in orders:
            continue
        orders.add(order)
        for taste in tastes_of(problem.request):
            # One that doesn't end sooner is given up as soon as that shows.
            laid = fill(bin_, order, problem.kinds, taste, least, under=bin_.used(best) + bin_.gap)
            if len(laid) == len(spots):
                best = laid
    return best


def counts_of(problem: Problem, spots: Sequence[Spot]) -> Counts:
    """How many of each kind lie in `spots`."""
    counts = Counter(spot[0] for spot in spots)
    return tuple(counts[kind] for kind in range(len(problem.kinds)))
