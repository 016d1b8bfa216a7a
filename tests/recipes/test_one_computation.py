"""The recipe page, a piece's page and the Plan as JSON say the same of the same size: one computation."""

import pytest
from django.test import Client
from django.urls import reverse

from projects.models import Workroom
from projects.planning import plan_project
from projects.planning.export import plan_json
from tests import make
from tests.recipes.posts import fields

MM = 1_000_000


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_size_tried_and_a_piece_of_that_size_have_the_same_flat_cloth(
    owner_page: Client, workroom: Workroom, units: str
) -> None:
    make.workroom(units=units, seam_allowance=12 * MM, squaring=8 * MM, check_every=None)
    side = make.tucks(*make.GRADUATED)
    row = make.recipe(of=make.content(side, make.tucks((15, 5))))
    version, cloth = row.versions.get(), make.fabric(thickness=155_000)
    make.sample(version, cloth, across_flat=443 * MM, across_finished=216 * MM)
    page = owner_page.get(reverse("recipe", args=[row.pk]))
    tried = owner_page.post(
        "/recipes/work-out/",
        fields(page) | {"size.across": "483 mm", "size.along": "617 mm", "fabric": str(cloth.pk)},
    ).context["panel"]
    seam = {f"allowance_{edge}": 12 * MM for edge in ("sides", "top", "bottom")}
    piece = make.piece(version=version, fabric=cloth, across=483 * MM, along=617 * MM, **seam)
    plan = plan_project(piece.project)
    planned = plan.pieces[0].panels[0].plan
    assert (tried.cut_width, tried.cut_length) == (planned.cut_width, planned.cut_length)
    assert tried == planned
    written = plan_json(plan)["pieces"][0]["panels"][0]
    assert (written["cut_width_nm"], written["cut_length_nm"]) == (tried.cut_width, tried.cut_length)
