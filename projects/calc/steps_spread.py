"""Spreading whole steps evenly over a row of tucks or spaces, each within its limit. Lengths nm."""

from __future__ import annotations

from collections.abc import Sequence


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
    given, passed, steps = 0, 0, []
    for limit, bound in zip(open_limits, bounds, strict=True):
        passed += limit
        # The j-th step (from 1) falls due once j - 1/2 of `wanted` shares have passed.
        due = (2 * wanted * passed + total) // (2 * total)
        takes = min(bound, due - given)
        steps.append(takes)
        given += takes
    return tuple(steps)
