"""Binding: how wide strips are cut, how long for an edge, and what a blank of cloth honestly gives.

Lengths are whole nm. Irrational factors go through integer square roots, lengths rounded down and losses up,
so that nothing drifts and nothing is promised that the cloth does not hold. Strips on the bias have ends cut
on the grain, at 45 degrees, and are joined there; their length is measured along their middle.
Source of the widths and of yields cut by cut: trade practice, checked by a polygon search in the tests.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isqrt
from typing import Final

from projects.calc.errors import CalcError, millimetres

MM: Final = 1_000_000
FACING_TURN: Final = 6 * MM
"""Turned under at the inner edge of a facing: a starting value."""
END: Final = 15 * MM
"""Left over at each open end of an edge, to turn in: a starting value."""
MOST_STRIPS: Final = 5_000


class BindingError(CalcError):
    """Numbers that give no strip: says which and what would."""


@dataclass(frozen=True, slots=True)
class Strips:
    """What a rectangle gives. ``lengths`` are the strips kept, in the order they are cut (nm); ``dropped``
    how many were too short; ``gives`` all joined to one, less what the joins take (nm). The first
    ``first_side`` of them lie between the first cut and the far corner of the longer side."""

    width: int
    lengths: tuple[int, ...]
    dropped: int
    gives: int
    first_side: int = 0


@dataclass(frozen=True, slots=True)
class Loop:
    """One continuous strip from a square sewn to a tube: rounds of it, and its length (nm)."""

    rows: int
    gives: int


def root2(length: int) -> int:
    """``length`` x the square root of 2, rounded down."""
    return isqrt(2 * length * length)


def up(squared: int) -> int:
    """The square root of a whole number, rounded up."""
    return 0 if squared <= 0 else isqrt(squared - 1) + 1


def single_width(finished: int, edge: int = 0, binding: int = 0) -> int:
    """Strip of a single binding: 4 f + 0.6 (T + t), rounded up. ``edge`` is the thickness of what is bound,
    ``binding`` of the strip's cloth. Test it on a scrap."""
    return 4 * finished + -(-3 * (edge + binding) // 5)


def double_width(finished: int, edge: int = 0, binding: int = 0) -> int:
    """Strip of a double binding, folded in half first: 6 f + 1.2 T + 3 t, rounded up."""
    return 6 * finished + -(-(6 * edge + 15 * binding) // 5)


def hong_kong_width(finished: int, edge: int = 0, binding: int = 0) -> int:
    """A single binding whose inner edge lies flat behind the seam: as wide as one that is turned under, since
    what lies flat must be caught by the second row of stitches."""
    return single_width(finished, edge, binding)


def band_width(finished: int, allowance: int) -> int:
    """A band folded in half: twice its width and two allowances."""
    return 2 * (finished + allowance)


def facing_width(finished: int, allowance: int) -> int:
    """A facing: its width, the allowance of its seam, and the turn at its inner edge."""
    return finished + allowance + FACING_TURN


def join_loss(allowance: int, joins: int = 1) -> int:
    """What joins at 45 degrees take: 2.83 (2 root 2) x allowance each, rounded up."""
    return up(8 * (allowance * joins) ** 2)


def edge_strip(length: int, *, closed: bool, allowance: int, on_the_bias: bool = True) -> int:
    """Strip for one edge: a closed ring loses one join, an open one keeps an end to turn in at both."""
    if not closed:
        return length + 2 * END
    return length + (join_loss(allowance) if on_the_bias else 2 * allowance)


def area_bound(width: int, height: int, strip: int) -> int:
    """Area / strip width: only an upper bound, no blank gives it."""
    return width * height // strip


def least_side(total: int, strip: int, step: int = 1) -> int:
    """Side of the square whose area alone is enough, rounded up to ``step``: a lower bound."""
    return -(-up(total * strip) // step) * step


def bias_strips(width: int, height: int, strip: int, *, allowance: int = 0, least: int = 0) -> Strips:
    """Strips at 45 degrees, the first cut through a corner.

    Cut k of one side is min(root2 H, root2 W - 2 k w) long, of the other root2 H - 2 k w, W being the longer
    side. The strip between two cuts counts max(l(k), l(k - 1) - w). Strips shorter than ``least`` or than a
    join takes are dropped. Raises BindingError.
    """
    _check(width, height, strip, allowance)
    long, short = root2(max(width, height)), root2(min(width, height))
    if long > MOST_STRIPS * strip:
        raise _thousands(strip)
    sides = [tuple(_side(short, reach, strip)) for reach in (long, short)]
    worth = max(least, join_loss(allowance), 1)
    first, second = (tuple(length for length in side if length >= worth) for side in sides)
    kept = first + second
    taken = join_loss(allowance, len(kept) - 1) if kept else 0
    dropped = sum(map(len, sides)) - len(kept)
    return Strips(strip, kept, dropped, max(0, sum(kept) - taken), len(first))


def _side(most: int, reach: int, strip: int) -> Iterator[int]:
    """Strips from the first cut towards one corner; ``most`` is the first cut's length."""
    before = most
    for k in range(1, reach // (2 * strip) + 1):
        here = min(most, reach - 2 * k * strip)
        yield max(here, before - strip)
        before = here


def straight_strips(width: int, height: int, strip: int, *, allowance: int = 0) -> Strips:
    """Strips across the cloth, ``width`` long each, joined straight: a join takes 2 allowances."""
    _check(width, height, strip, allowance)
    count = height // strip
    if count > MOST_STRIPS:
        raise _thousands(strip)
    gives = max(0, count * width - 2 * allowance * max(0, count - 1))
    return Strips(strip, (width,) * count, 0, gives)


def continuous_loop(side: int, strip: int, allowance: int) -> Loop:
    """From a square S: T = S - 2 a, rows = floor(T / (root2 w)), gives rows x root2 T."""
    _check(side, side, strip, allowance)
    left = max(0, side - 2 * allowance)
    rows = isqrt(left * left // (2 * strip * strip))
    return Loop(rows, root2(rows * left))


def _check(width: int, height: int, strip: int, allowance: int) -> None:
    if min(width, height, strip) <= 0 or allowance < 0:
        raise BindingError(
            "strip",
            f"a blank {width} × {height} nm, strips {strip} nm wide, an allowance of {allowance} nm",
            "sides and a width above 0, and an allowance of 0 or more",
            "Type the sizes again.",
        )


def _thousands(strip: int) -> BindingError:
    return BindingError(
        "strip",
        f"strips {millimetres(strip)} wide",
        f"strips wide enough that the blank gives at most {MOST_STRIPS} of them",
        "Make the strips wider or the blank smaller.",
    )
