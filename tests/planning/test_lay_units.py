"""Units are for reading: an accepted lay stays as it is when the studio changes them."""

from importlib import import_module

import pytest
from django.apps import apps

from projects.activities import lays
from projects.activities.panels import sync_panels
from projects.calc.lengths import System
from projects.models import KeptLay, Person, Workroom
from projects.planning import plan_project
from projects.planning.lay_changes import what_changed
from projects.planning.lay_units import ruled_in, said_in_inches
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db


def in_units(units: str) -> None:
    Workroom.objects.update(units=units)


@pytest.mark.parametrize("bias", [True, False])
@pytest.mark.parametrize(("first", "then"), [("metric", "inch"), ("inch", "metric")])
def test_an_accepted_lay_with_strips_outlives_a_change_of_units(
    workroom: object, owner: Person, bias: bool, first: str, then: str
) -> None:
    in_units(first)
    project, cloth = make.project(), make.fabric()
    front = make.piece(project, fabric=cloth, across=333 * MM)
    sync_panels(front)
    make.edge(front, on_the_bias=bias, width=9_300_000)
    lays.accept(project=project, fabric=cloth, seen=None, person=owner)
    assert KeptLay.objects.get().in_inches is (first == "inch")
    before = plan_project(project)
    in_units(then)
    after = plan_project(project)
    line = after.fabrics[0]
    assert (line.lay_state, line.lay_changed) == ("accepted", False)
    assert line.parts == before.fabrics[0].parts and line.lay == before.fabrics[0].lay
    assert [b.key for b in line.bindings] == [b.key for b in before.fabrics[0].bindings]
    assert what_changed(KeptLay.objects.get(), after) == []
    lays.let_go(project=project, fabric=cloth, person=owner)
    (blank,) = (part for part in plan_project(project).fabrics[0].parts if part.key)
    assert f" {'in' if then == 'inch' else 'mm'} strips" in blank.name, "without a lay it is the studio's"


def test_without_strips_or_a_lay_the_studio_rules() -> None:
    plain = KeptLay(inputs={"panels": [{"name": "Collar"}]})
    assert ruled_in(plain, System.METRIC) is System.METRIC and ruled_in(plain, System.INCH) is System.INCH
    assert ruled_in(None, System.INCH) is System.INCH


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Collar for 2 in strips", None),
        ("2: Bias blank for 1 ¹⁄₃₂ in strips, piece 1", True),
        ("Blank for 32 mm strips", False),
    ],
)
def test_a_lay_from_before_or_from_a_file_says_it_by_its_blank(name: str, said: bool | None) -> None:
    inputs = {"panels": [{"name": "Front"}, {"name": name}]}
    assert said_in_inches(inputs) is said
    lay = KeptLay.objects.create(project=make.project(), fabric=make.fabric(), inputs=inputs, result={})
    fill = import_module("projects.migrations.0017_lays_ruled_in").fill
    fill(apps, None)
    lay.refresh_from_db()
    assert lay.in_inches is said
