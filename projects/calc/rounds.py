"""Work cut as rounds: puffs gathered from circles, flounces cut as rings. Lengths whole nm.

Sources: the usual drafting of both (see the worked examples in the tests); the close packing of circles.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import Final

from projects.calc.errors import CalcError, millimetres
from projects.calc.units import ceil_div, half_up

PI: Final = Fraction(3_141_592_653_589_793_238, 10**18)


class RoundError(CalcError):
    """A round that can't be cut."""


def puff_circle(finished: int, turn: int) -> int:
    """The circle to cut for a puff: 2 x its finished width + 2 x what is turned in."""
    return 2 * finished + 2 * turn


@dataclass(frozen=True, slots=True)
class Circles:
    """Circles cut from one rectangle: how many, in how many rows, and whether rows lie in the gaps of the
    row before."""

    count: int
    rows: int
    hexagonal: bool


def circles_on(width: int, length: int, circle: int) -> Circles:
    """The most circles of this diameter, in straight rows, or hexagonally only where that holds more."""
    if circle <= 0:
        raise RoundError("circle", millimetres(circle), "a circle above 0", "Give the finished width.")
    straight = Circles((width // circle) * (length // circle), length // circle, False)
    close = _hexagonal(width, length, circle)
    return close if close.count > straight.count else straight


def _hexagonal(width: int, length: int, circle: int) -> Circles:
    if width < circle or length < circle:
        return Circles(0, 0, True)
    rows = 1 + isqrt(4 * (length - circle) ** 2 // (3 * circle**2))  # rows are circle x root 3 / 2 apart
    each, between = width // circle, (2 * width - circle) // (2 * circle)
    return Circles((rows + 1) // 2 * each + rows // 2 * between, rows, True)


@dataclass(frozen=True, slots=True)
class Flounce:
    """A flounce as a ring or a part of one. `radius` lies on the seam line; `inner` and `outer` are the radii
    to cut, allowance and hem included. `outer_edge` is the finished lower edge; `pieces` how many are cut."""

    radius: int
    inner: int
    outer: int
    outer_edge: int
    ratio: Fraction
    pieces: int


def flounce(
    edge: int,
    depth: int,
    *,
    share: Fraction = Fraction(1),
    allowance: int = 0,
    hem: int = 0,
    joins: int = 0,
    usable_width: int | None = None,
) -> Flounce:
    """r = edge / (2 pi x share of a circle), each join adding two allowances to the edge first.

    A `share` above 1 takes several rings. Raises RoundError where nothing is left of the inner circle, or two
    outer radii do not fit the cloth.
    """
    _check_flounce(edge, depth, share)
    seam = edge + 2 * allowance * joins
    exact = seam / (2 * PI * share)
    radius = half_up(exact.numerator, exact.denominator)
    inner, outer = radius - allowance, radius + depth + hem
    if inner <= 0:
        raise RoundError(
            "share", f"{float(share):g} of a circle", f"an inner radius above {millimetres(allowance)}",
            "Take a smaller share of a circle or a smaller allowance.",
        )  # fmt: skip
    if usable_width is not None and 2 * outer > usable_width:
        raise RoundError(
            "depth", millimetres(depth), f"at most {millimetres(usable_width // 2 - radius - hem)}",
            "Make it less deep, cut it in more parts, or take a wider cloth.",
        )  # fmt: skip
    lower = 2 * PI * share * (radius + depth)
    return Flounce(
        radius, inner, outer, half_up(lower.numerator, lower.denominator),
        Fraction(radius + depth, radius), ceil_div(share.numerator, share.denominator),
    )  # fmt: skip


def _check_flounce(edge: int, depth: int, share: Fraction) -> None:
    for name, nm in (("edge", edge), ("depth", depth)):
        if nm <= 0:
            raise RoundError(name, millimetres(nm), "a length above 0", "Give a length.")
    if share <= 0:
        raise RoundError("share", f"{float(share):g}", "a share above 0", "1 is a whole circle.")
