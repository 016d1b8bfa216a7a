"""A recipe tried on a size, without a project: a piece nobody saved, planned the way every piece is."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from projects.calc.panels import PanelPlan
from projects.calc.recipe import Recipe
from projects.models import Fabric, Piece, Project, Sample, Workroom

from .load import Rows
from .pieces import Desk, panel_of
from .samples import Samples


def samples_of(*recipes: Recipe) -> QuerySet[Sample]:
    """Living samples of the techniques of these recipes, on whatever cloth."""
    techniques = {d.technique for recipe in recipes for d in (recipe.across, recipe.along) if d is not None}
    used = Q(across_technique__in=techniques) | Q(along_technique__in=techniques)
    return Sample.objects.live().filter(used).order_by("pk")


def try_on(
    recipe: Recipe, *, across: int, along: int, fabric: Fabric | None, samples: Samples, workroom: Workroom
) -> PanelPlan:
    """The panel of a plain rectangle of this finished size with the studio's usual allowances (nm).

    The cloth is washed before cutting. Raises CalcError naming "across" or "along" where the size can't be.
    """
    seam = workroom.seam_allowance
    piece = Piece(
        across=across,
        along=along,
        allowance_sides=seam,
        allowance_top=seam,
        allowance_bottom=seam,
        fabric=fabric,
    )
    rows = Rows(project=Project(washing="before"), workroom=workroom, pieces=(piece,))
    return panel_of(piece, recipe, Desk(rows, samples))
