"""One direction of a panel worked by ratio: from the piece's extent to the flat cloth. Lengths whole nm."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from projects.calc.lattice import whole_squares
from projects.calc.margin import MarginParts, split_margin
from projects.calc.need import Parts, repeat_up
from projects.calc.ratio import ByRatio
from projects.calc.ratio_counts import FlatCloth, work_of
from projects.calc.ratio_samples import RatioUp, larger_by
from projects.calc.ratio_work import RatioWork
from projects.calc.shrinkage import ONE, grown, growth
from projects.calc.side import SidePlan, bare_parts, zones
from projects.calc.sizes import UNSAMPLED, Cloth, PieceSize, Sizing

ONE_WAY: Final = Decimal("2.33")
BOTH_WAYS: Final = Decimal("2.58")
"""z: 1 panel in 100 comes out short; each direction stricter when both draw the cloth in."""


def ratio_side(
    name: str, recipe: ByRatio, piece: PieceSize, sizing: Sizing, up: RatioUp, cloth: Cloth
) -> SidePlan:
    """Plan one direction: flat = ceil(need x ratio), of lattice whole squares and what they give."""
    parts = _parts(name, recipe, piece, sizing, up)
    stretch = growth(cloth.shrink(name)) if sizing.wash == "after" else ONE
    length = grown(parts.need, stretch)
    if recipe.technique == "lattice":
        squares = whole_squares(length, up.ratio, recipe.spacing, grown(sizing.squaring, stretch))
        length, flat = squares.finished, squares.flat
        parts = _given(parts, length, stretch)
    else:
        flat = grown(length, up.ratio)
    near, far = zones(name, parts, piece, stretch)
    return SidePlan(
        name=name,
        direction=None,
        parts=parts,
        axis=None,
        length=length,
        drawn_in=0,
        border=sizing.border,
        stretch=stretch,
        near=near,
        far=far,
        found=(),
        dropped=False,
        take_up=UNSAMPLED,
        ratio=up,
        drawn_from=flat,
    )


def takes_margin(recipe: ByRatio, name: str) -> bool:
    """Whether a direction is cut larger because its ratio is not sure. What is drawn up to size isn't, nor a
    direction that is not drawn at all."""
    return not recipe.drawn_to_size and recipe.draws(name)


def _parts(name: str, recipe: ByRatio, piece: PieceSize, sizing: Sizing, up: RatioUp) -> Parts:
    """Pattern, allowances, squaring, and a sewing margin of need x (e^(z se) - 1)."""
    bare = bare_parts(name, piece, sizing)
    if not takes_margin(recipe, name):
        return _whole_repeats(bare, recipe, piece, name, up)
    both = takes_margin(recipe, "across") and takes_margin(recipe, "along")
    margin = larger_by(bare.need, up.se, BOTH_WAYS if both else ONE_WAY)
    start, end = split_margin(margin, piece.margin_at)
    found = replace(bare, margin_start=start, margin_end=end, margin_of=MarginParts(0, margin))
    return _whole_repeats(found, recipe, piece, name, up)


def _whole_repeats(parts: Parts, recipe: ByRatio, piece: PieceSize, name: str, up: RatioUp) -> Parts:
    """Whole finished dots or rows where the piece asks for whole repeats; lattice has whole squares."""
    apart = recipe.spacing if name == "across" else recipe.row
    if not piece.whole_repeats or recipe.technique not in ("english", "honeycomb"):
        return parts
    one = max(1, apart * up.ratio.denominator // up.ratio.numerator)
    return replace(parts, repeat_end=repeat_up(parts.need, one) - parts.need)


def _given(parts: Parts, length: int, stretch: Fraction) -> Parts:
    """The parts of what whole squares give: what they are over, or short by, lies half at each end."""
    over = length * stretch.denominator // stretch.numerator - parts.need
    return replace(parts, repeat_start=over // 2, repeat_end=over - over // 2)


def panel_work(recipe: ByRatio, across: SidePlan, along: SidePlan) -> RatioWork:
    """What is marked and sewn on a panel with these two sides."""
    return work_of(
        recipe,
        FlatCloth(
            across.textured,
            along.textured,
            across.length,
            along.length,
            across.border,
            _seam(across),
            _seam(along),
        ),
    )


def _seam(side: SidePlan) -> int:
    """From the first edge to the seam line, on the flat cloth."""
    ratio = side.ratio.ratio if side.ratio else ONE
    return side.near.stitching * ratio.numerator // ratio.denominator
