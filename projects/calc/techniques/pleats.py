"""What knife, box and inverted pleats share: counting them into a section and cutting strips for them.

n = round(section / width), then width = section / n; fold i at round(i x section / n), never i x a rounded
width (NIMI Dress Making, p. 201-205). Lengths nm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from projects.calc.axis import Axis, AxisError, place_at, take_up_of
from projects.calc.direction import Direction
from projects.calc.errors import millimetres
from projects.calc.folds import Pressing
from projects.calc.lengths import ceil_div, half_up

MEETING: Final = 100_000
"""Folds nearer than this meet, 0.1 mm."""


@dataclass(frozen=True, slots=True)
class PleatCount:
    """Whole pleats in a section: how many, how wide each shows, and the flat cloth they need."""

    n: int
    width: Fraction
    pattern: int
    folds: tuple[int, ...]
    """Fold 0..n from the section's start: i x section / n, each rounded by itself."""


def count_pleats(section: int, width: int) -> int:
    """n = max(1, floor(section / width + 1/2))."""
    if width <= 0 or section <= 0:
        wrong, given = ("width", width) if width <= 0 else ("section", section)
        raise AxisError(wrong, millimetres(given), f"a {wrong} above 0", "Give a length.")
    return max(1, half_up(section, width))


def pleats(section: int, depth: int, width: int, folds_each: int, extra: int = 0) -> PleatCount:
    """Pleats with `folds_each` take-ups of twice the underlay `depth` each."""
    n = count_pleats(section, width)
    pattern = section + n * folds_each * take_up_of(depth, extra)
    return PleatCount(n, Fraction(section, n), pattern, fold_lines(section, n))


def fold_lines(section: int, n: int) -> tuple[int, ...]:
    """round(i x section / n) for i = 0..n, half up."""
    return tuple(half_up(i * section, n) for i in range(n + 1))


def middles(section: int, n: int) -> tuple[int, ...]:
    """The middle of each pleat's share of the section: round((2 i - 1) section / 2 n)."""
    return tuple(half_up((2 * i - 1) * section, 2 * n) for i in range(1, n + 1))


def lay_pleats(
    direction: Direction,
    length: int,
    extra: int,
    seams: tuple[int, ...],
    pressings: tuple[Pressing, ...],
) -> Axis:
    """Pleats of one depth at known seams, already counted from the panel's first edge."""
    count = len(seams)
    laid = place_at(
        seams,
        (direction.depth,) * count,
        (take_up_of(direction.depth, extra),) * count,
        (direction.mark,) * count,
        length=length,
        pressings=pressings,
    )
    return _meeting(laid)


def _meeting(laid: Axis) -> Axis:
    """Pleats that overlap by less than a hand can fold meet: widths are rounded, and a hair of overlap must
    not count as two more layers."""
    over = laid.narrowest_gap
    if not -MEETING < over < 0:
        return laid
    return replace(laid, reaches=tuple(reach + over for reach in laid.reaches))


@dataclass(frozen=True, slots=True)
class Strips:
    """Strips cut across a narrow cloth: how many, the cloth they take, and the whole pleats each holds."""

    strips: int
    cloth_length: int
    pleats: tuple[int, ...] = ()


def pleat_strips(pattern: int, cloth: int, allowance: int, length: int, n: int | None = None) -> Strips:
    """Strips of `length` across cloth `cloth` wide, `allowance` lost to joins in each.

    ceil(pattern / (cloth - allowance)); given the number of pleats `n`, strips hold whole pleats, joins at
    inner folds, and it may take one strip more. Raises AxisError when not one pleat fits.
    """
    room = cloth - allowance
    if room <= 0:
        raise AxisError(
            "cloth", millimetres(cloth), f"more than {millimetres(allowance)}", "Take a wider cloth."
        )
    strips = ceil_div(pattern, room)
    if n is None:
        return Strips(strips, strips * length)
    each = room * n // pattern
    if each < 1:
        raise AxisError(
            "cloth",
            millimetres(cloth),
            f"at least {millimetres(ceil_div(pattern, n) + allowance)} for one whole pleat",
            "Take a wider cloth or shallower pleats.",
        )
    full, rest = divmod(n, each)
    shares = (each,) * full + ((rest,) if rest else ())
    return Strips(len(shares), len(shares) * length, shares)
