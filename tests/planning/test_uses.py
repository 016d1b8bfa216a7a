"""Projects that need a fabric as wadding or backing are seen like those that are sewn from it."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.calc.ratio import ByRatio
from projects.calc.recipe import Recipe as Content
from projects.models import Edge, Fabric, Piece, Project, RecipeVersion
from projects.planning.lay_others import others_for
from projects.planning.making import plan_rows
from projects.planning.several import load_several
from projects.planning.wanted import also_wanted
from tests import make
from tests.make import MM

TODAY = date(2026, 3, 20)


@pytest.fixture
def quilted(owner) -> RecipeVersion:
    return make.version(of=Content(ratio=ByRatio("quilting", Decimal(1), Decimal(1), spacing=25 * MM)))


def quilt(version: RecipeVersion, **under: Fabric) -> Project:
    project = make.project(washing="never")
    make.piece(project, fabric=make.fabric(), version=version, **under)
    return project


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["wadding", "backing"])
def test_others_want_what_lies_under(quilted: RecipeVersion, role: str) -> None:
    shared = make.fabric("Wool wadding", width=900 * MM)
    one, other = quilt(quilted, **{role: shared}), quilt(quilted, **{role: shared})
    wanted = also_wanted(one, [shared.pk], today=TODAY)
    assert [row.project for row in wanted[shared.pk]] == [other] and wanted[shared.pk][0].amount > 0
    assert others_for(one, shared) == [other]


@pytest.mark.django_db
def test_what_lies_under_nothing_is_not_wanted(quilted: RecipeVersion) -> None:
    """Wadding that was chosen for a piece that isn't quilted counts for nothing."""
    shared = make.fabric("Wool wadding", width=900 * MM)
    one, other = quilt(quilted, wadding=shared), quilt(quilted, wadding=shared)
    Piece.objects.filter(project=other).update(version=make.version())
    assert also_wanted(one, [shared.pk], today=TODAY) == {}


@pytest.mark.django_db
def test_pieces_and_edges_that_were_deleted_want_nothing(quilted: RecipeVersion) -> None:
    shared = make.fabric("Wool wadding", width=900 * MM)
    one, other = quilt(quilted, wadding=shared), quilt(quilted, wadding=shared)
    Piece.objects.filter(project=other).update(deleted_at="2026-03-01T12:00Z")
    assert others_for(one, shared) == [] and also_wanted(one, [shared.pk], today=TODAY) == {}
    left = make.piece(other, fabric=make.fabric())
    edge = make.edge(left, fabric=shared, finish="bound")
    assert others_for(one, shared) == [other]
    Edge.objects.filter(pk=edge.pk).update(deleted_at="2026-03-01T12:00Z")
    assert others_for(one, shared) == []


@pytest.mark.django_db
def test_quilted_pieces_cost_no_queries(quilted: RecipeVersion) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            for rows in load_several(list(Project.objects.all()), today=TODAY):
                plan_rows(rows)
        return len(found)

    project = quilt(quilted, wadding=make.fabric("Wool"), backing=make.fabric("Lawn"))
    one = queries()
    for name in ("Back", "Sleeve", "Yoke", "Collar", "Cuff"):
        under = {role: make.fabric(f"{role} of {name}") for role in ("wadding", "backing")}
        make.piece(project, name=name, fabric=make.fabric(), version=quilted, **under)
    assert queries() == one


@pytest.mark.django_db
def test_a_lay_says_what_is_left_out_of_wadding(quilted: RecipeVersion, owner_page: Client) -> None:
    """A piece that can't be planned needs its wadding all the same."""
    shared = make.fabric("Wool wadding", width=900 * MM)
    project = quilt(quilted, wadding=shared)
    broken = make.piece(
        project, name="Bib", fabric=make.fabric(width=300 * MM), wadding=shared, version=quilted,
        across=900 * MM,
    )  # fmt: skip
    shown = owner_page.get(reverse("lay", args=[project.pk, shared.pk]))
    assert [p.piece_id for p in shown.context["left_out"]] == [broken.pk]
