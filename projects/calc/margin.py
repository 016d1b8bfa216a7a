"""The sewing margin: what a panel is cut longer by because hands and samples are not exact."""

from __future__ import annotations

from math import isqrt
from typing import NamedTuple

from projects.calc.lengths import ceil_div

ONE_WAY, BOTH_WAYS = 233, 258
"""z x 100: 1 panel in 100 comes out short; each direction stricter when both are tucked."""


class MarginParts(NamedTuple):
    """What a sewing margin is made of, each as if it were alone (nm): M^2 = hand^2 + sample^2 + tape^2.

    `hand` is the depth spread, z 2 s sqrt(n); `sample` what is not known of the take-up, z n se; `tape` how
    far a check measure may be off, 0 where none is taken.
    """

    hand: int
    sample: int
    tape: int = 0

    @property
    def total(self) -> int:
        """M, to the nanometre or two that the parts were rounded by."""
        return _ceil_root(self.hand**2 + self.sample**2 + self.tape**2)


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
    square = sum(_under_the_root(n, se, depth_spread, check_every, tape))
    z = BOTH_WAYS if both else ONE_WAY
    return ceil_div(_ceil_root(z * z * square), 100)


def margin_parts(
    n: int,
    se: int,
    *,
    depth_spread: int = 400_000,
    both: bool = False,
    check_every: int | None = None,
    tape: int = 500_000,
) -> MarginParts:
    """The parts of `sewing_margin` for the same inputs, each rounded to the nearest nm."""
    if n <= 0:
        return MarginParts(0, 0)
    z = BOTH_WAYS if both else ONE_WAY
    squares = _under_the_root(n, se, depth_spread, check_every, tape)
    return MarginParts(*((isqrt(z * z * square) + 50) // 100 for square in squares))


def _under_the_root(
    n: int, se: int, depth_spread: int, check_every: int | None, tape: int
) -> tuple[int, int, int]:
    """The squares that add up under the root: hand, sample, tape."""
    square = 0
    if check_every is not None and check_every < n:
        n, square = check_every, tape * tape
    return 4 * depth_spread * depth_spread * n, (n * se) ** 2, square


def _ceil_root(square: int) -> int:
    return isqrt(square - 1) + 1 if square else 0


def split_margin(margin: int, at: str) -> tuple[int, int]:
    """(first end, far end) of a margin: half each, the odd nanometre first; or all at the end named."""
    if at == "first":
        return margin, 0
    if at == "far":
        return 0, margin
    return margin - margin // 2, margin // 2
