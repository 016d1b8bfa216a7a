"""A recipe tried on a size, without a project: a piece nobody saved, planned the way every piece is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import Q, QuerySet

from projects.calc.panels import PanelPlan, PieceSize, SidePlan, panel
from projects.calc.ratio_samples import RatioUp, RatioUps
from projects.calc.recipe import Direction, Recipe
from projects.models import Fabric, Piece, Project, Sample, Workroom

from .load import Rows
from .pieces import Desk, Shared, panel_of, size_of
from .samples import Samples, other

MM, NOTHING = 1_000_000, Decimal(0)
MEANWHILE = 500 * MM
"""Finished size of the direction nobody asks about while the other is solved; it changes nothing there."""


def samples_of(*recipes: Recipe) -> QuerySet[Sample]:
    """Living samples of the techniques of these recipes, on whatever cloth."""
    techniques = {technique for recipe in recipes for technique in recipe.techniques}
    used = Q(across_technique__in=techniques) | Q(along_technique__in=techniques)
    return Sample.objects.live().filter(used).order_by("pk")


def rectangle(*, across: int, along: int, fabric: Fabric | None, workroom: Workroom) -> Piece:
    """A plain rectangle of this finished size with the studio's usual seam allowance all round (nm)."""
    seam = workroom.seam_allowance
    return Piece(
        across=across,
        along=along,
        allowance_sides=seam,
        allowance_top=seam,
        allowance_bottom=seam,
        fabric=fabric,
    )


def _desk(piece: Piece, samples: Samples, workroom: Workroom) -> Desk:
    known = {"spreads": samples.spreads} if samples.spreads else {}
    rows = Rows(project=Project(washing="before"), workroom=workroom, pieces=(piece,), **known)
    return Desk(rows, samples)


def try_on(
    recipe: Recipe, *, across: int, along: int, fabric: Fabric | None, samples: Samples, workroom: Workroom
) -> PanelPlan:
    """The panel of a plain rectangle of this finished size with the studio's usual allowances (nm).

    The cloth is washed before cutting. Raises CalcError naming "across" or "along" where the size can't be.
    """
    piece = rectangle(across=across, along=along, fabric=fabric, workroom=workroom)
    return panel_of(piece, recipe, _desk(piece, samples, workroom))


@dataclass(frozen=True, slots=True)
class Trial:
    """A recipe to be tried on many sizes, or with other numbers, all else as for every piece."""

    recipe: Recipe
    shared: Shared
    size: PieceSize

    @classmethod
    def of(
        cls, recipe: Recipe, *, fabric: Fabric | None, samples: Samples, workroom: Workroom, room: bool
    ) -> Trial:
        """With `room` allowances, squaring and sewing margin are kept as for a piece; else nothing is."""
        piece = rectangle(across=MEANWHILE, along=MEANWHILE, fabric=fabric, workroom=workroom)
        shared = Shared.of(piece, recipe, _desk(piece, samples, workroom))
        if room:
            return cls(recipe, shared, size_of(piece))
        return cls(recipe, _bare(shared), PieceSize(MEANWHILE, MEANWHILE))

    def side(self, name: str, finished: int, direction: Direction | None = None) -> SidePlan:
        """One direction at a finished size (nm), with other numbers where given. Raises CalcError."""
        recipe = self.recipe if direction is None else replace(self.recipe, **{name: direction})
        extents = {name: finished, other(name): MEANWHILE}
        return self.panel(extents["across"], extents["along"], recipe).side(name)

    def panel(self, across: int, along: int, recipe: Recipe | None = None) -> PanelPlan:
        """A whole panel of this finished size (nm), with other numbers where given. Raises CalcError."""
        size, known = replace(self.size, across=across, along=along), self.shared
        return panel(
            recipe or self.recipe, size, known.sizing, known.take_ups, known.cloth, known.draw_ins,
            known.ratios,
        )  # fmt: skip


def _bare(shared: Shared) -> Shared:
    """Edge to edge: no squaring, and take-up or ratio taken as certain, so that no margin is needed."""
    ups = shared.take_ups
    certain = {
        name: replace(known, se=0)
        for name in ("across", "along", "across_second", "along_second")
        if (known := getattr(ups, name)) is not None
    }
    sizing = replace(shared.sizing, squaring=0, depth_spread=0, check_every=None)
    ratios = shared.ratios and RatioUps(*(replace(up, se=NOTHING) for up in _both(shared.ratios)))
    return replace(shared, sizing=sizing, take_ups=replace(ups, **certain), ratios=ratios)


def _both(ratios: RatioUps) -> tuple[RatioUp, RatioUp]:
    return ratios.across, ratios.along
