"""Lays in the Plan: kept ones while their inputs match, quick ones otherwise, and what cutting leaves."""

from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.activities import panels
from projects.calc.lay import LayPanel, LayRequest, plan_lay
from projects.models import KeptLay, Person, Piece, Project
from projects.planning import plan_project
from projects.planning.lay_json import inputs_json, lay_from_json, lay_to_json, request_from_json
from projects.planning.lays import bands_of
from projects.planning.plan import FabricPlan
from tests import make
from tests.make import MM

NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


def fabric_of(project: Project) -> FabricPlan:
    return plan_project(Project.objects.get(pk=project.pk)).fabrics[0]


@pytest.fixture
def coat(workroom: object) -> Project:
    project, cloth = make.project(), make.fabric()
    for number, name in enumerate(("Front", "Back", "Sleeve")):
        panels.sync_panels(make.piece(project, name=name, fabric=cloth, across=900 * MM, order=number))
    return project


def keep(project: Project) -> KeptLay:
    """As the page keeps it, but turned upside down, so that it can be told from a quick one."""
    plan = fabric_of(project)
    result = lay_to_json(plan.lay)
    result["placements"].reverse()
    return KeptLay.objects.create(
        project=project, fabric_id=plan.fabric_id, width=plan.width, length=plan.lay.length,
        inputs=inputs_json(plan.request), result=result,
    )  # fmt: skip


@pytest.mark.django_db
def test_a_kept_lay_shows_while_its_inputs_match_and_says_when_they_do_not(coat: Project) -> None:
    keep(coat)
    plan = fabric_of(coat)
    assert (plan.kept_lay, plan.lay_changed) == (True, False)
    assert [p.name for p in plan.lay.placements] == ["Sleeve", "Back", "Front"]
    Piece.objects.filter(name="Back").update(along=710 * MM)
    plan = fabric_of(coat)
    assert (plan.kept_lay, plan.lay_changed) == (False, True)
    assert plan.lay.length == 2_260 * MM
    Piece.objects.filter(name="Back").update(along=700 * MM)
    assert fabric_of(coat).kept_lay


@pytest.mark.django_db
def test_what_is_cut_stays_in_a_kept_lay_and_leaves_what_to_buy(coat: Project, owner: Person) -> None:
    keep(coat)
    before = fabric_of(coat)
    panels.book_cut(Piece.objects.get(name="Back").panels.get(), person=owner, now=NOW)
    after = fabric_of(coat)
    assert (after.kept_lay, after.lay_changed) == (True, False)
    assert len(after.lay.placements) == 3
    assert after.need == before.need - 750 * MM
    assert sum(line.length for line in after.lines) == after.buy
    KeptLay.objects.all().delete()
    assert [p.name for p in fabric_of(coat).lay.placements] == ["Front", "Sleeve"]


panel_sizes = st.lists(
    st.tuples(st.integers(50 * MM, 700 * MM), st.integers(50 * MM, 900 * MM)), min_size=1, max_size=12
)


@given(panel_sizes)
@settings(derandomize=True, max_examples=60, deadline=None)
def test_bands_can_be_cut_apart_and_sum_to_the_lay(sizes: list[tuple[int, int]]) -> None:
    asked = tuple(LayPanel(f"P{i}", w, length) for i, (w, length) in enumerate(sizes))
    lay = plan_lay(LayRequest(1_400 * MM, asked))
    bands = bands_of(lay)
    assert sum(length for length, _ in bands) == lay.length
    start = 0
    for length, wide in bands:
        inside = [p for p in lay.placements if start <= p.y < start + length]
        assert inside
        assert all(p.y + p.length <= start + length for p in inside)
        assert max(p.x + p.width for p in inside) == wide
        start += length


@given(panel_sizes, st.booleans())
@settings(derandomize=True, max_examples=40, deadline=None)
def test_lays_and_their_inputs_are_read_back_equal(sizes: list[tuple[int, int]], one_way: bool) -> None:
    asked = tuple(LayPanel(f"P{i}", w, length, 1, i % 2 == 0) for i, (w, length) in enumerate(sizes))
    request = LayRequest(1_400 * MM, asked, one_way=one_way)
    lay = plan_lay(request)
    assert lay_from_json(lay_to_json(lay)) == lay
    assert request_from_json(inputs_json(request)) == request
