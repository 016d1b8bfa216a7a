"""Spreading whole steps evenly over a row of tucks or spaces, each within its limit. Lengths nm."""

from __future__ import annotations

from collections.abc import Sequence


def spread_evenly(wanted: int, weights: Sequence[int]) -> tuple[int, ...]:
    """`wanted` single steps over a row, at most one each, by weight (whole numbers, 0 for none); evenly where
    weights are alike.

    >>> spread_evenly(4, [1] * 8)
    (1, 0, 1, 0, 1, 0, 1, 0)
    """
    bounds = [int(weight > 0) for weight in weights]
    return _spread(min(wanted, sum(bounds)), weights, bounds)


def spread_steps(
    wanted: int,
    limits: Sequence[int],
    step: int,
    *,
    most: int | None = None,
    room: Sequence[int | None] | None = None,
) -> tuple[int, ...]:
    """How many steps each takes: `wanted` together, or as many as the limits allow.

    Shares follow the limits: where all are alike, steps lie evenly, the first half an interval in. None
    takes more than whole steps within its limit, or than one where its limit is below a step; all together
    take no more than the sum of the limits. `most` bounds each, `room` each by itself (None: unbounded).
    """
    bounds = [max(1, limit // step) if limit > 0 else 0 for limit in limits]
    if most is not None:
        bounds = [min(bound, most) for bound in bounds]
    if room is not None:
        bounds = [b if r is None else min(b, r) for b, r in zip(bounds, room, strict=True)]
    open_limits = [limit if bound else 0 for limit, bound in zip(limits, bounds, strict=True)]
    total = sum(open_limits)
    wanted = min(wanted, total // step, sum(bounds))
    if wanted <= 0:
        return (0,) * len(limits)
    return _spread(wanted, open_limits, bounds)


def _spread(wanted: int, weights: Sequence[int], bounds: Sequence[int]) -> tuple[int, ...]:
    """The j-th step (from 1) falls due once j - 1/2 of `wanted` shares of the weights have passed; what a
    full one can't take goes to the next, and at the end to those before."""
    if wanted <= 0:
        return (0,) * len(weights)
    total = sum(weights)
    given, passed, steps = 0, 0, []
    for weight, bound in zip(weights, bounds, strict=True):
        passed += weight
        due = (2 * wanted * passed + total) // (2 * total)
        takes = min(bound, due - given)
        steps.append(takes)
        given += takes
    for i in reversed(range(len(steps))):
        more = min(bounds[i] - steps[i], wanted - given)
        steps[i] += more
        given += more
    return tuple(steps)
