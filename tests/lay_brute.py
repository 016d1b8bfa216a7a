"""The shortest lay of a few panels by trying all of them; no code is shared with the planner."""

from __future__ import annotations

from itertools import permutations, product

from projects.calc.lay import LayRequest


def shortest_by_trying(request: LayRequest) -> int:
    """The shortest lay of a few small panels: every order, way and whole-number place, lowest and leftmost.

    Some shortest lay has every panel pushed down and left, and panels can then be put back in one after the
    other from below, so trying every order with every position finds it.
    """
    sizes = [
        [(p.width, p.length)] + ([(p.length, p.width)] if p.may_turn and not request.one_way else [])
        for p in request.panels
        for _ in range(p.count)
    ]
    best = sum(max(max(way) for way in ways) for ways in sizes)
    for order in set(permutations(range(len(sizes)))):
        for ways in product(*(sizes[i] for i in order)):
            best = min(best, _fill(ways, request.width, best))
    return best


def _fill(ways: tuple[tuple[int, int], ...], width: int, best: int, heights: tuple[int, ...] = ()) -> int:
    heights = heights or (0,) * width
    if max(heights) >= best:
        return best
    if not ways:
        return max(heights)
    (wide, long), rest = ways[0], ways[1:]
    for x in range(width - wide + 1):
        top = max(heights[x : x + wide]) + long
        best = min(best, _fill(rest, width, best, heights[:x] + (top,) * wide + heights[x + wide :]))
    return best
