"""Thread and cord: how much, and what the figures cover."""

import pytest
from django.urls import reverse

from projects.calc import thread as calc
from projects.calc.axis import Tuck
from projects.calc.lengths import System
from projects.calc.recipe import Direction, Recipe
from projects.planning.export import plan_json
from projects.planning.making import plan_project
from projects.planning.thread_plan import cord_said, covers
from tests import make
from tests.recipes.ratios import content

pytestmark = pytest.mark.django_db
MM, M = 10**6, 10**9


def corded(cord: int = 2 * MM, technique: str = "corded", **values: object) -> Recipe:
    tucks = (Tuck(9 * MM, 0),)
    return Recipe(across=Direction(technique=technique, tucks=tucks, cord=cord, **values))


@pytest.fixture
def project(workroom):
    return make.project(washing="never")


def piece(project, recipe, **values):
    return make.piece(project, fabric=make.fabric(), version=make.version(of=recipe), **values)


@pytest.mark.parametrize(
    ("length", "metric", "inch"),
    [
        (43_190 * MM, "44 m", "48 yd"),
        (10_000 * MM, "10.0 m", "11 yd"),
        (10_001 * MM, "11 m", "11 yd"),
        (2_100 * MM, "2.1 m", "2.3 yd"),
        (2_100 * MM + 1, "2.2 m", "2.3 yd"),
        (1_234_567 * MM, "1\N{NO-BREAK SPACE}235 m", "1\N{NO-BREAK SPACE}351 yd"),
    ],
)
def test_a_length_of_thread_is_said_no_surer_than_it_is(length, metric, inch):
    assert calc.said(length, System.METRIC) == metric
    assert calc.said(length, System.INCH) == inch


def test_cord_is_as_long_as_its_tucks_with_a_tail_each(project):
    piece(project, corded())
    plan = plan_project(project)
    panel = plan.pieces[0].panels[0].plan
    count = panel.across.count
    assert [(c.thickness, c.tucks) for c in plan.cords] == [(2 * MM, count)]
    assert plan.cords[0].need == panel.sewn("across") + count * 20 * MM
    assert f"of cord 2.0 mm thick: {count} corded tucks, with a tail each" in " ".join(plan.have_ready)
    assert plan_json(plan)["cords"] == [
        {"thickness_nm": 2 * MM, "tucks": count, "need_nm": plan.cords[0].need}
    ]


def test_each_thickness_of_cord_is_said_and_a_spare_panel_takes_none(project):
    piece(project, corded(3 * MM), name="Back", spare=True)
    piece(project, corded(), name="Front")
    plan = plan_project(project)
    assert [c.thickness for c in plan.cords] == [2 * MM, 3 * MM]
    back = plan.pieces[0]
    first = next(line for line in back.panels if not line.spare).plan
    assert plan.cords[1].need == first.sewn("across") + first.across.count * 20 * MM


def test_twin_needle_tucks_without_a_cord_take_none(project):
    piece(project, make.content(make.tucks((15, 5))))
    assert plan_project(project).cords == ()


def test_less_cord_named_than_the_tucks_take_is_said(project):
    piece(project, corded())
    cord = make.notion("Cotton cord", kind="cord", unit="metres")
    need = project.notion_needs.create(notion=cord, amount=100)
    said = [note.text for note in plan_project(project).notes]
    assert any("0.1 m of Cotton cord named" in text and "the corded tucks take" in text for text in said)
    need.amount = 900_000
    need.save()
    assert not any("Cotton cord" in note.text for note in plan_project(project).notes)


def test_what_the_thread_covers_is_said(project):
    made = piece(project, content("lattice"), across=200 * MM, along=200 * MM)
    assert plan_project(project).thread is None
    make.edge(made, finish="hemmed", by_hand=True)
    found = plan_project(project).thread
    said = covers(found)
    assert "edges and seams" in said and "texture worked by hand is not counted" in said
    assert "301" not in said and "machine" not in said


def test_edges_at_the_machine_are_a_lockstitch(project):
    made = piece(project, make.content(make.tucks((15, 5))))
    make.edge(made, finish="hemmed")
    said = covers(plan_project(project).thread)
    assert said.startswith("For texture sewn at the machine and edges and seams named with the pieces. ")
    assert "301" in said and "by hand" not in said


def test_the_buy_page_says_thread_and_cord(owner_page, workroom):
    project = make.project(washing="never")
    piece(project, corded())
    shown = owner_page.get(reverse("project_buy", args=[project.pk])).content.decode()
    plan = plan_project(project)
    assert cord_said(plan.cords[0], System.METRIC) in shown
    assert covers(plan.thread) in shown
    assert f"About {calc.said(plan.thread.thread, System.METRIC)} for" in shown
