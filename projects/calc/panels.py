"""Pieces to panels: the flat cloth for one piece, with everything that is marked, sewn and said about it.

`panel` plans both directions; the rest is worked out when it is asked for. Lengths are whole nm, areas and
weights exact decimals.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from math import ceil

from projects.calc.joins import Joins, join_anywhere, join_widths
from projects.calc.lengths import System
from projects.calc.margin import sewing_margin
from projects.calc.marks import MarkRow, begin_at, cross_from
from projects.calc.need import repeat_up, repeat_up_any_phase
from projects.calc.needle import Stack, crossing_layers, garment_seam, seam, stack, warnings
from projects.calc.notes import Note, panel_notes
from projects.calc.order import Order, sewing_order
from projects.calc.ratio import ByRatio
from projects.calc.ratio_notes import ratio_notes
from projects.calc.ratio_samples import RatioUp, RatioUps, ratio_up
from projects.calc.ratio_side import panel_work, ratio_side
from projects.calc.ratio_work import RatioWork
from projects.calc.recipe import Recipe
from projects.calc.shrinkage import buy_for, washed_length, washed_width
from projects.calc.side import SidePlan, side
from projects.calc.sizes import (
    Cloth,
    DrawIns,
    Opening,
    PanelError,
    PieceSize,
    Sizing,
    TakeUps,
    whole,
)
from projects.calc.techniques.released import Extents, extents, sewn_length
from projects.calc.under import grams_with, thickness_with

__all__ = [
    "Cloth",
    "DrawIns",
    "Joins",
    "MarkRow",
    "Note",
    "Opening",
    "PanelError",
    "PanelPlan",
    "PieceSize",
    "RatioUp",
    "RatioUps",
    "RatioWork",
    "SidePlan",
    "Sizing",
    "Stack",
    "TakeUps",
    "begin_at",
    "buy_for",
    "cross_from",
    "garment_seam",
    "join_widths",
    "panel",
    "repeat_up",
    "repeat_up_any_phase",
    "sewing_margin",
    "washed_length",
    "washed_width",
    "whole",
]

_NM2_PER_M2 = Decimal(10**18)
JOIN_ALLOWANCE = 10_000_000
"""At each side of a join between widths, a starting value, nm."""


@dataclass(frozen=True)
class PanelPlan:
    """One panel. `first` is the direction sewn first, "" where fewer than two are sewn or either may be.

    `work` is what is marked and sewn where the panel is worked by ratio.
    """

    recipe: Recipe | None
    piece: PieceSize
    sizing: Sizing
    cloth: Cloth
    across: SidePlan
    along: SidePlan
    order: Order
    first: str
    mirrored: bool = False
    work: RatioWork | None = None

    @property
    def by_ratio(self) -> ByRatio | None:
        """The recipe's numbers where the panel is worked by ratio; None for tucks, pleats and plain cloth."""
        return self.recipe.ratio if self.recipe else None

    @property
    def cut_width(self) -> int:
        """Flat extent across, border included, nm."""
        return self.across.flat

    @property
    def cut_length(self) -> int:
        """Flat extent along, border included, nm."""
        return self.along.flat

    def side(self, name: str) -> SidePlan:
        """ "across" or "along"."""
        return self.across if name == "across" else self.along

    def other(self, name: str) -> SidePlan:
        """The direction that is not `name`."""
        return self.along if name == "across" else self.across

    @property
    def sides(self) -> tuple[SidePlan, SidePlan]:
        """Both directions in the order they are sewn."""
        return (self.along, self.across) if self.first == "along" else (self.across, self.along)

    @property
    def both(self) -> tuple[SidePlan, SidePlan]:
        """Both directions, across first."""
        return self.across, self.along

    @property
    def area(self) -> Decimal:
        """Flat cloth cut, square metres."""
        return Decimal(self.cut_width * self.cut_length) / _NM2_PER_M2

    @property
    def finished_area(self) -> Decimal:
        """The finished piece with its allowances, square metres."""
        wide, long = (
            p.pattern + p.allowance_start + p.allowance_end for p in (self.across.parts, self.along.parts)
        )
        return Decimal(wide * long) / _NM2_PER_M2

    @property
    def layers_max(self) -> int:
        """The most layers anywhere, what lies under the cloth among them."""
        return self.cloth_layers + len(self.cloth.under)

    @property
    def cloth_layers(self) -> int:
        """The most layers of the cloth itself: the two directions multiply. By ratio about: the average,
        rounded up."""
        if self.across.ratio is not None and self.along.ratio is not None:
            return ceil(self.across.ratio.ratio * self.along.ratio.ratio)
        return self.across.layers_max * self.along.layers_max

    @property
    def thickness(self) -> int | None:
        """Of the thickest place, nm, with what lies under the cloth; None while any of it is unknown."""
        return thickness_with(self.cloth.thickness, self.cloth_layers, self.cloth.under)

    @property
    def weight_per_m2(self) -> Decimal | None:
        """Grams of a finished square metre, with what lies under the cloth and is drawn in with it."""
        grams = grams_with(self.cloth.grams, self.cloth.under)
        return None if grams is None else grams * self.drawn

    @property
    def drawn(self) -> Decimal:
        """Flat cloth for each finished square metre: flat / finished."""
        flat = Decimal(self.across.textured * self.along.textured)
        return flat / Decimal(self.across.need * self.along.need)

    @property
    def weight(self) -> Decimal | None:
        """Grams of the finished piece, allowances and what lies under the cloth included."""
        return None if self.weight_per_m2 is None else self.weight_per_m2 * self.finished_area

    def weight_of(self, grams: Decimal | None) -> Decimal | None:
        """Grams of one layer of the finished piece, of so many g/m2; None where they are unknown."""
        return None if grams is None else grams * self.drawn * self.finished_area

    def run_of(self, name: str) -> int:
        """How long one seam of a direction runs when sewn, nm, border and margin included.

        The direction sewn first runs over the other's flat cloth, the second over what the first leaves.
        """
        other = self.other(name)
        second = bool(self.across.count and self.along.count) and self.sides[1].name == name
        return other.finished if second else other.flat

    def sewn(self, name: str) -> int:
        """Metres of seam of a direction, in nm: one seam per tuck, as far as it is sewn."""
        plan = self.side(name)
        if plan.direction is None:
            return 0
        return plan.count * sewn_length(plan.direction, self.run_of(name))

    @property
    def sewn_across(self) -> int:
        """Seam length of the tucks across, nm."""
        return self.sewn("across")

    @property
    def sewn_along(self) -> int:
        """Seam length of the tucks along, nm."""
        return self.sewn("along")

    def extents(self, name: str) -> Extents:
        """Finished extent of a direction where it is sewn and where its tucks are released."""
        plan = self.side(name)
        return extents(plan.direction, plan.length, plan.textured, self.run_of(name))

    @cached_property
    def stacks(self) -> tuple[Stack, ...]:
        """What passes under the needle: where tucks cross, and each edge sewn to one like it."""
        lift, thickness = self.sizing.needle_lift, self.cloth.thickness
        first, second = self.sides
        found = []
        if second.count or first.count:
            layers = crossing_layers(first.layers_max if second.count and first.count else 1)
            found.append(stack(_CROSSING, layers, thickness, lift))
        for plan, other in ((self.across, self.along), (self.along, self.across)):
            for zone, far in ((plan.near, False), (plan.far, True)):
                here = self.layers_max if self.work else plan.layers_at_edge(far) * other.layers_max
                layers, without = garment_seam(here, here), garment_seam(other.layers_max, other.layers_max)
                without = 0 if self.work else without  # gathers can't be left out of an allowance
                found.append(self._padded(seam(zone.name, layers, thickness, lift, without)))
        return tuple(found)

    def _padded(self, found: Stack) -> Stack:
        """A seam of two panels passes what lies under the cloth of both, which is not as thick as cloth."""
        if not self.cloth.under:
            return found
        return replace(found, thickness=None if self.thickness is None else 2 * self.thickness)

    def needle_warnings(self, system: System) -> tuple[str, ...]:
        """What is thicker than the machine lifts, in sentences and the units of ``system``."""
        if self.thickness is None or 2 * self.thickness <= self.sizing.needle_lift:
            return ()  # a seam passes at most two of the thickest places, so no stack can be over
        return warnings(self.stacks, system)

    @cached_property
    def joins(self) -> Joins | None:
        """Widths to join; None when the panel fits the cloth or the cloth's width is unknown."""
        usable = self.cloth.usable_width
        if usable is None or self.cut_width <= usable:
            return None
        if self.by_ratio:
            marks = self.work.grid_across if self.work else None
            return join_anywhere(self.by_ratio, self.cut_width, usable, JOIN_ALLOWANCE, marks)
        pleats = self.across.direction is not None and self.across.direction.is_pleats
        return join_widths(
            self.across.axis, self.cut_width, usable, JOIN_ALLOWANCE, border=self.across.border, pleats=pleats
        )

    @cached_property
    def notes(self) -> tuple[Note, ...]:
        """Everything worth a line beside the panel but its needle warnings, which need to know the units."""
        return (
            *panel_notes(self.across, self.along, self.sizing, self.cloth),
            *(ratio_notes(self.by_ratio, self.across, self.along, self.cloth.under) if self.by_ratio else ()),
            *((Note("width", self.joins.refusal, "across"),) if self.joins and self.joins.refusal else ()),
        )


_CROSSING = "while the tucks are sewn"


def panel(
    recipe: Recipe | None,
    piece: PieceSize,
    sizing: Sizing = Sizing(),  # noqa: B008 - frozen
    take_ups: TakeUps = TakeUps(),  # noqa: B008 - frozen
    cloth: Cloth = Cloth(),  # noqa: B008 - frozen
    draw_ins: DrawIns = DrawIns(),  # noqa: B008 - frozen
    ratios: RatioUps | None = None,
) -> PanelPlan:
    """Plan the panel of one piece; `recipe` None is plain cloth.

    `ratios` is what samples say where the recipe is worked by ratio; left out: no sample. Raises AxisError or
    PanelError naming the field when the numbers cannot be cut or folded.
    """
    if recipe is not None and recipe.ratio is not None:
        return _by_ratio(recipe, recipe.ratio, piece, sizing, ratios, cloth)
    directions = {name: getattr(recipe, name) if recipe else None for name in ("across", "along")}
    both = bool(recipe and recipe.both)

    def planned(name: str, second: bool) -> SidePlan:
        return side(
            name,
            directions[name],
            piece,
            sizing,
            take_ups.of(name, second),
            cloth,
            both=both,
            draw_in=draw_ins.of(name),
            second=second,
        )

    across, along = planned("across", False), planned("along", both)
    order = _order(recipe, across, along)
    first = order.first if both else ""
    if first == "along" and _depends_on_order(take_ups, draw_ins):
        across, along = planned("across", True), planned("along", False)
    return PanelPlan(recipe, piece, sizing, cloth, across, along, order, first)


def _by_ratio(
    recipe: Recipe, by: ByRatio, piece: PieceSize, sizing: Sizing, ratios: RatioUps | None, cloth: Cloth
) -> PanelPlan:
    known = ratios or RatioUps(*(ratio_up((), by.ratio_of(name)) for name in ("across", "along")))
    across, along = (
        ratio_side(name, by, piece, sizing, known.of(name), cloth) for name in ("across", "along")
    )
    order = sewing_order(0, 0, 0, 0)
    return PanelPlan(
        recipe, piece, sizing, cloth, across, along, order, "", work=panel_work(by, across, along)
    )


def _depends_on_order(take_ups: TakeUps, draw_ins: DrawIns) -> bool:
    """Whether a direction is planned differently sewn second; mostly it is not."""
    sampled = take_ups.across_second is not None or take_ups.along_second is not None
    return sampled or draw_ins.across != 1 or draw_ins.along != 1


def _order(recipe: Recipe | None, across: SidePlan, along: SidePlan) -> Order:
    swallowed = [plan.axis.take_up if plan.axis else 0 for plan in (across, along)]
    best = sewing_order(across.count, swallowed[0], along.count, swallowed[1])
    if recipe is None or recipe.first == "auto" or not recipe.both:
        return best
    if best.first in ("either", recipe.first):
        return replace(best, first=recipe.first)
    why = f"The recipe asks for {recipe.first} first; {best.first} first would sew less."
    return Order(recipe.first, -best.saves, why)
