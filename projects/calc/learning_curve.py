"""Whether somebody gets quicker with each repeat: the learning curve, where logs show one.

T(n) = T(1) n^log2(r): r is what is left of the time at each doubling of the repeats. Source: the unit model
of the learning curve (see `labour.learning`).
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from math import log2, sqrt
from typing import Final

from projects.calc.learned import Observation

T95: Final = (
    *(6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812),
    *(1.796, 1.782, 1.771, 1.761, 1.753, 1.746, 1.740, 1.734, 1.729, 1.725),
    *(1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697),
)
"""The 0.95 quantile of Student's t for 1 to 30 degrees of freedom: published tables."""
Z95: Final = 1.645
LEAST_REPEATS: Final = 6
"""Fewer repeats show nothing; a starting value."""
STEEPEST: Final = 0.6


def learning_curve(observations: Iterable[Observation]) -> Decimal:
    """r, to two places; exactly 1 until logs show that repeats get quicker.

    Only repeats of one step and recipe by one person in one project (`Observation.series`) are compared: each
    such series has a level of its own, so that a project, person or step that goes quicker or slower as a
    whole shows no curve. The test: the common slope of log2(actual / planned) on log2(repeat) within the
    series is below 0 by Student's t, one-sided at 5 %, with at least `LEAST_REPEATS` repeats after the first.
    Source: analysis of covariance with one slope (Fisher).
    """
    series: dict[tuple[int | None, int, str, str], list[tuple[float, float]]] = {}
    for one in sorted(observations, key=lambda o: (o.repeat, o.minutes, o.planned)):
        key = (one.person, one.project, one.technique, one.series)
        point = (log2(one.repeat), log2(max(one.minutes, 0.5) / float(one.planned)))
        series.setdefault(key, []).append(point)
    along = across = up = 0.0
    count = 0
    for points in series.values():
        level = sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)
        along += sum((x - level[0]) ** 2 for x, _ in points)
        across += sum((x - level[0]) * (y - level[1]) for x, y in points)
        up += sum((y - level[1]) ** 2 for _, y in points)
        count += len(points) - 1
    if count < LEAST_REPEATS or along < 1e-12:
        return Decimal(1)
    slope, freedom = across / along, count - 1
    error = sqrt(max(up - slope * across, 0.0) / freedom / along)
    if slope >= 0 or -slope <= _t95(freedom) * error:
        return Decimal(1)
    return Decimal(f"{max(STEEPEST, 2.0**slope):.2f}")


def _t95(freedom: int) -> float:
    return T95[freedom - 1] if freedom <= len(T95) else Z95 + 1.6 / freedom
