"""The quick ways to use the stash as plainly as they can be said: everything filled anew each time, every
place compared with every other. Slow, and what the planner's quick ways are held to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import suppress
from itertools import product

from projects.calc.lay import LayError, plan_lay
from projects.calc.lay.stash.aims import Laid, Problem, key_of
from projects.calc.lay.stash.bins import Bin, Kind, Rect, Spot, area, hits, less, rect_of
from projects.calc.lay.stash.fill import Taste, order_of
from projects.calc.lay.stash.fill import _zones as zones
from projects.calc.lay.stash.greedy import ways_for
from projects.calc.lay.stash.groups import Group, capacity
from projects.calc.lay.stash.shorten import counts_of, request_on, spots_of, tastes_of

Place = tuple[Rect, tuple[Rect, ...]]
"""A rectangle that is free, and the flaws and pinned panels in it."""


def fill_plainly(bin_: Bin, order: Sequence[int], kinds: Sequence[Kind], taste: Taste) -> tuple[Spot, ...]:
    """What `fill.fill` is to answer."""
    whole = (0, bin_.start, bin_.room, bin_.end)
    if taste.straight and taste.through and bin_.blocks:
        free: list[Place] = [(whole, tuple(b for b in bin_.blocks if hits(whole, b)))]
    else:
        rects = zones(whole, bin_.blocks, bin_.gap) if taste.straight else _largest_free([whole], bin_.blocks)
        free = [(rect, ()) for rect in rects]
    pins = [rect_of(spot) for spot, _ in bin_.pinned]
    laid: list[Spot] = []
    for kind in order:
        tries = [
            (score, at, rests, spot)
            for at, place in enumerate(free)
            for score, spot in _scored(place, kind, kinds[kind].ways, taste)
            if (rests := _rests(place, spot, pins, taste)) is not None
        ]
        if not tries:
            continue
        _, at, rests, spot = min(tries, key=lambda one: one[0])
        laid.append(spot)
        if taste.straight:
            blocks = free.pop(at)[1]
            free += [(rest, tuple(b for b in blocks if hits(rest, b))) for rest in rests]
        else:
            free = [(rect, ()) for rect in _largest_free([rect for rect, _ in free], [rect_of(spot)])]
    return tuple(laid)


def _scored(
    place: Place, kind: int, ways: Sequence[tuple[int, int]], taste: Taste
) -> Iterator[tuple[tuple[int, int, int], Spot]]:
    (x1, y1, x2, y2), blocks = place
    xs = {x1, *(block[2] for block in blocks if block[2] > x1)}
    ys = {y1, *(block[3] for block in blocks if block[3] > y1)}
    for (wide, long), x, y in product(ways, sorted(xs), sorted(ys)):
        spot = (kind, x, y, wide, long)
        over, behind = x2 - x - wide, y2 - y - long
        if min(over, behind) >= 0 and not any(hits(rect_of(spot), block) for block in blocks):
            yield ((min(over, behind), y, x) if taste.snug else (y + long, over, x)), spot


def _rests(place: Place, spot: Spot, pins: Sequence[Rect], taste: Taste) -> list[Rect] | None:
    (x1, y1, x2, y2), blocks = place
    x, y, x3, y3 = rect_of(spot)
    held = [block for block in blocks if block in pins]
    along = taste.along
    for before, after in ((along, along), (not along, along), (along, not along), (not along, not along)):
        near = [(x1, y1, x, y2), (x, y1, x2, y)] if before else [(x1, y1, x2, y), (x1, y, x, y2)]
        far = [(x3, y, x2, y2), (x, y3, x3, y2)] if after else [(x3, y, x2, y3), (x, y3, x2, y2)]
        rests = [r for r in (*near, *far) if r[0] < r[2] and r[1] < r[3]]
        if all(any(_within(pin, rest) for rest in rests) for pin in held):
            return rests
    return None


def _largest_free(free: Sequence[Rect], taken: Sequence[Rect]) -> list[Rect]:
    for a, b, c, d in taken:
        found, cut = [r for r in free if not hits(r, (a, b, c, d))], []
        for x1, y1, x2, y2 in free:
            if hits((x1, y1, x2, y2), (a, b, c, d)):
                parts = (x1, y1, min(x2, a), y2), (max(x1, c), y1, x2, y2)
                parts += (x1, y1, x2, min(y2, b)), (x1, max(y1, d), x2, y2)
                cut += [r for r in parts if r[0] < r[2] and r[1] < r[3]]
        whole = [*found, *dict.fromkeys(cut)]
        free = [r for r in whole if not any(_within(r, other) for other in whole if other != r)]
    return list(free)


def _within(rect: Rect, other: Rect) -> bool:
    return rect[0] >= other[0] and rect[1] >= other[1] and rect[2] <= other[2] and rect[3] <= other[3]


def quick_use_plainly(problem: Problem, group: Group) -> Laid | None:
    """What `greedy.quick_use` is to answer or to better."""
    bins = sorted((b for b in group if not b.is_roll), key=lambda b: b.width * b.length)
    bins += [b for b in group if b.is_roll]

    def key(laid: Laid) -> object:
        return key_of(problem, laid)

    tries = list(_uses(problem, bins))
    if not tries:
        return None
    best = min(tries, key=key)
    for bin_ in reversed([b for b in bins if not b.is_roll and not b.pinned]):
        fewer = [b for b in bins if b is not bin_]
        if sum(map(capacity, fewer)) < area(problem.counts, problem.kinds):
            continue
        for laid in _uses(problem, fewer):
            if key_of(problem, laid) <= key_of(problem, best):
                best, bins = laid, fewer
    tries = sorted([best, *_uses(problem, bins)], key=key)
    finished = [{bin_: _shorter(problem, bin_, spots) for bin_, spots in laid.items()} for laid in tries[:3]]
    return min(finished, key=key)


def _uses(problem: Problem, bins: Sequence[Bin]) -> Iterator[Laid]:
    turns = [bins]
    if bins and bins[-1].is_roll and len(bins) > 2:
        turns.append([*sorted(bins[:-1], key=lambda b: (b.width, b.length)), bins[-1]])
    for way, turn in product(ways_for(problem), turns):
        order, left = order_of(problem.counts, problem.kinds, way.by), problem.counts
        laid: dict[Bin, tuple[Spot, ...]] = {}
        for bin_ in turn:
            waiting = Counter(dict(enumerate(left)))
            here = [kind for kind in order if waiting[kind] > 0 and not waiting.subtract([kind])]
            snug = way.taste.snug and not bin_.is_roll
            taste = Taste(snug, way.taste.straight, way.taste.along, way.taste.through)
            if here:
                laid[bin_] = fill_plainly(bin_, here, problem.kinds, taste)
                left = less(left, laid[bin_])
        if not any(left):
            yield laid


def _shorter(problem: Problem, bin_: Bin, spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    found, counts = [spots], counts_of(problem, spots)
    for by, taste in product(range(3), tastes_of(problem.request)):
        found.append(fill_plainly(bin_, order_of(counts, problem.kinds, by), problem.kinds, taste))
    if spots and not bin_.blocks:
        with suppress(LayError):
            found.append(spots_of(plan_lay(request_on(problem, bin_, spots)), bin_))
    return min((laid for laid in found if len(laid) == len(spots)), key=bin_.used)
