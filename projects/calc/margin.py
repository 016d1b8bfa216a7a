"""The sewing margin: what a panel is cut longer by because hands and samples are not exact."""

from __future__ import annotations

from math import isqrt

from projects.calc.lengths import ceil_div

ONE_WAY, BOTH_WAYS = 233, 258
"""z x 100: 1 panel in 100 comes out short; each direction stricter when both are tucked."""


def sewing_margin(
    n: int,
    se: int,
    *,
    depth_spread: int = 400_000,
    both: bool = False,
    check_every: int | None = None,
    tape: int = 500_000,
) -> int:
    """M = z sqrt(4 s^2 n + (n se)^2) in whole nm, rounded up exactly (no floats).

    `n` tucks of the need without M, `se` the standard error of e, `depth_spread` s per tuck (nm). With a
    check measure every c tucks, corrected on the way, c stands in place of n and tape^2 joins the root.
    """
    if n <= 0:
        return 0
    square = 0
    if check_every is not None and check_every < n:
        n, square = check_every, tape * tape
    square += 4 * depth_spread * depth_spread * n + (n * se) ** 2
    z = BOTH_WAYS if both else ONE_WAY
    return ceil_div(_ceil_root(z * z * square), 100)


def _ceil_root(square: int) -> int:
    return isqrt(square - 1) + 1 if square else 0


def split_margin(margin: int, at: str) -> tuple[int, int]:
    """(first end, far end) of a margin: half each, the odd nanometre first; or all at the end named."""
    if at == "first":
        return margin, 0
    if at == "far":
        return 0, margin
    return margin - margin // 2, margin // 2
