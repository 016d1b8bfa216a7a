"""Edges on their pages: typed, changed, deleted and brought back; on what to buy, sheet and copies."""

import re
import uuid
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.activities import edges as activity
from projects.activities.projects import copy_project
from projects.calc.lengths import System
from projects.drawings.bias import blank
from projects.models import Deletion, Edge, Workroom
from projects.planning.making import plan_project
from projects.printing.sheet import make_sheet, sheet_html
from tests import make
from tests.browser import axe_problems, looks_wrong

pytestmark = pytest.mark.django_db
MM = make.MM
TYPED = {
    "name": "neck", "finish": "bound", "length": "60", "width": "8", "allowance": "15",
    "on_the_bias": "on", "reduction": "0",
}  # fmt: skip


@pytest.fixture
def front(workroom):
    return make.piece(make.project(), fabric=make.fabric(), count=2)


def typed(**changed):
    return {**TYPED, "op": str(uuid.uuid4()), **changed}


def test_a_new_piece_has_no_edges_and_the_page_says_what_to_do(owner_page, front):
    page = owner_page.get(reverse("edges", args=[front.pk])).content.decode()
    assert "None yet" in page and reverse("edge_new", args=[front.pk]) in page
    assert reverse("edge_new", args=[front.pk]) in owner_page.get(
        reverse("piece", args=[front.pk])
    ).content.decode()


def test_an_edge_is_typed_once_and_shows_on_the_piece(maker_page, front):
    where, values = reverse("edge_new", args=[front.pk]), typed()
    assert maker_page.post(where, values)["Location"] == reverse("edges", args=[front.pk])
    maker_page.post(where, values)
    edge = Edge.objects.get()
    assert (edge.name, edge.length, edge.width, edge.piece) == ("neck", 600 * MM, 8 * MM, front)
    for name in ("edges", "piece"):
        page = maker_page.get(reverse(name, args=[front.pk])).content.decode()
        assert "neck" in page and "Bound, single binding" in page and "63.0 cm" in page


def test_lengths_in_inches_come_back_as_typed(owner_page, front):
    owner_page.post(reverse("edge_new", args=[front.pk]), typed(length="23 5/8 in", width="5/16 in"))
    edge = Edge.objects.get()
    assert (edge.length, edge.width) == (600_075_000, 7_937_500)
    page = owner_page.get(reverse("edge_edit", args=[front.pk, edge.pk])).content.decode()
    assert 'value="23 5/8 in"' in page and 'value="5/16 in"' in page


def test_names_are_suggested_and_what_is_left_empty_is_usual(owner_page, front):
    where = reverse("edge_new", args=[front.pk])
    page = owner_page.get(where).content.decode()
    assert all(f'<option value="{name}">' in page for name in ("neck", "armhole", "hem", "front edge"))
    owner_page.post(where, typed(width="", allowance="", reduction=""))
    edge = Edge.objects.get()
    assert (edge.width, edge.allowance, edge.reduction) == (8 * MM, 15 * MM, 0)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"length": ""}, "length"), ({"length": "0"}, "length"), ({"length": "long"}, "length"),
        ({"length": "9" * 10_000}, "length"), ({"name": ""}, "name"), ({"name": "n" * 10_000}, "name"),
        ({"finish": "glued"}, "finish"), ({"width": "0"}, "width"), ({"width": "2 m"}, "width"),
        ({"allowance": "-1"}, "allowance"), ({"reduction": "51"}, "reduction"),
        ({"reduction": "NaN"}, "reduction"), ({"fabric": "987654"}, "fabric"), ({"fabric": "x"}, "fabric"),
        ({"finish": "hong_kong", "width": "40"}, "width"),
        ({"finish": "hong_kong", "width": "wide"}, "width"),
    ],
)  # fmt: skip
def test_what_is_wrong_stands_beside_its_field_and_is_kept(owner_page, front, wrong, field):
    answer = owner_page.post(reverse("edge_new", args=[front.pk]), typed(**wrong))
    assert answer.status_code == 422 and field in answer.context["form"].errors
    assert Edge.objects.count() == 0 and "60" in answer.content.decode()


def test_two_people_changing_an_edge_see_both(owner_page, front):
    edge = make.edge(front)
    activity.change_edge(edge, values={"name": "neckline"}, revision=1)
    where = reverse("edge_edit", args=[front.pk, edge.pk])
    answer = owner_page.post(where, typed(name="collar", revision=1))
    assert answer.status_code == 409
    assert "neckline" in answer.content.decode() and "collar" in answer.content.decode()
    owner_page.post(where, typed(name="collar", revision=2))
    assert Edge.objects.get().name == "collar"


def test_delete_and_undo(maker_page, front):
    edge = make.edge(front)
    page = maker_page.post(reverse("edge_delete", args=[front.pk, edge.pk]), follow=True)
    assert "neck was deleted" in page.content.decode()
    assert plan_project(front.project).pieces[0].edges == ()
    maker_page.post(reverse("restore", args=[Deletion.objects.get().pk]))
    assert plan_project(front.project).pieces[0].edges[0].edge_id == edge.pk


def test_a_deleted_piece_takes_its_edges_and_brings_them_back(owner_page, front):
    edge = make.edge(front)
    owner_page.post(reverse("piece_delete", args=[front.pk]))
    assert owner_page.get(reverse("edge_edit", args=[front.pk, edge.pk])).status_code == 404
    assert plan_project(front.project).bindings == ()
    owner_page.post(reverse("restore", args=[Deletion.objects.get().pk]))
    assert len(plan_project(front.project).bindings) == 1


def test_an_edge_of_another_piece_is_not_found(owner_page, front):
    edge = make.edge()
    assert owner_page.get(reverse("edge_edit", args=[front.pk, edge.pk])).status_code == 404
    assert owner_page.post(reverse("edge_delete", args=[front.pk, edge.pk])).status_code == 404


def test_sixty_edges_are_enough(owner_page, front):
    Edge.objects.bulk_create(Edge(piece=front, name=f"edge {n}", length=MM) for n in range(60))
    answer = owner_page.post(reverse("edge_new", args=[front.pk]), typed())
    assert answer.status_code == 422 and "60 edges" in answer.content.decode()


def test_a_copy_has_the_edges(owner, front):
    make.edge(front, fabric=make.fabric("Cotton lawn"))
    activity.delete_edge(make.edge(front, name="hem"), person=owner)
    copied = copy_project(front.project, person=owner)
    found = plan_project(copied).pieces[0].edges
    assert [(edge.name, edge.fabric) for edge in found] == [("neck", "Cotton lawn")]
    assert found[0].edge_id != front.edges.first().pk


def test_what_to_buy_draws_the_blank_and_counts_thread(owner_page, front):
    make.edge(front)
    plan = plan_project(front.project)
    page = owner_page.get(reverse("project_buy", args=[front.project_id])).content.decode()
    assert "Bias strips, 32.0 mm wide" in page and 'class="drawing bias"' in page
    assert f"{len(plan.bindings[0].strips)} strips" in page and "1 spool" in page
    assert "Panels and blanks for strips as laid" in page


def test_the_drawing_has_a_cut_for_every_strip(front):
    make.edge(front, length=1_500 * MM)
    strips = plan_project(front.project).bindings[0]
    drawn = blank(strips.blanks[0], bias=True, system=System.METRIC, title="Blank")
    cuts = re.search(r'<path[^>]*d="([^"]*)"[^>]*stroke-width="1.2"', drawn)
    assert cuts is not None and cuts[1].count("M") == len(strips.strips) + 1
    assert all(f">{number}</text>" in drawn for number in range(1, len(strips.strips) + 1))


def test_the_sheet_prints_edges_strips_and_thread(front):
    make.edge(front)
    sheet = make_sheet(plan_project(front.project), Workroom.load(), today=date(2026, 3, 2))
    text = sheet_html(sheet, pdf=True)
    assert "Front, neck" in text and "Bound, single binding" in text and "63.0 cm × 32.0 mm" in text
    assert "Bias strips, 32.0 mm wide: Linen voile" in text and "Thread, about" in text


def test_a_sheet_without_edges_says_nothing_of_them(front):
    sheet = make_sheet(plan_project(front.project), Workroom.load(), today=date(2026, 3, 2))
    assert "<h2>Edges</h2>" not in sheet_html(sheet, pdf=True) and sheet.edging.thread == ""


def test_settings_of_strips_and_thread(owner_page, front):
    make.edge(front, length=3_000 * MM)
    before = plan_project(front.project)
    form = owner_page.get(reverse("settings")).context["form"]
    values = {bound.html_name: bound.value() for bound in form}
    values = {name: value for name, value in values.items() if value is not None and value is not False}
    changed = {**values, "bias_join": "10 mm", "bias_least": "30", "spool": "12 m"}
    assert owner_page.post(reverse("settings"), changed).status_code == 303
    after = plan_project(front.project)
    assert (Workroom.load().bias_join, Workroom.load().bias_least) == (10 * MM, 300 * MM)
    assert after.thread.spools == 3 and before.thread.spools == 1  # 12 m x 2.875 + 4 x 0.3 m = 35.7 m
    assert min(after.bindings[0].strips) >= 300 * MM


@pytest.mark.parametrize("name", ["edges", "piece"])
def test_as_many_queries_for_many_edges_as_for_one(owner_page, front, name):
    def queries():
        with CaptureQueriesContext(connection) as found:
            assert owner_page.get(reverse(name, args=[front.pk])).status_code == 200
        return len(found)

    make.edge(front)
    one = queries()
    for number in range(20):
        make.edge(front, name=f"edge {number}", fabric=make.fabric(f"Lawn {number}"))
    assert queries() == one


@pytest.mark.parametrize("width", [1280, 360])
def test_the_pages_look_right(browser_page, owner, front, width):
    edge = make.edge(front, fabric=make.fabric("Cotton lawn", width=1_100 * MM))
    make.edge(front, name="front edge", finish="faced", width=40 * MM, by_hand=True, length=700 * MM, order=1)
    make.edge(front, name="hem", finish="hemmed", width=20 * MM, length=500 * MM, order=2)
    page = browser_page(width, person=owner)
    for where in (
        reverse("edges", args=[front.pk]), reverse("edge_new", args=[front.pk]),
        reverse("edge_edit", args=[front.pk, edge.pk]), reverse("project_buy", args=[front.project_id]),
        reverse("piece", args=[front.pk]), reverse("settings"),
    ):  # fmt: skip
        page.goto(where)
        assert looks_wrong(page, phone=width == 360) == [] and axe_problems(page) == [], where


def test_an_edge_is_added_by_keyboard_without_javascript(browser_page, owner, front):
    page = browser_page(360, person=owner, javascript=False)
    page.goto(reverse("edge_new", args=[front.pk]))
    page.get_by_label("Which edge").fill("armhole")
    page.get_by_label("Length of the edge").fill("45 cm")
    page.get_by_label("Length of the edge").press("Enter")
    page.get_by_role("link", name="armhole").wait_for()


def test_a_new_edge_begins_without_a_length(owner_page, front):
    form = owner_page.get(reverse("edge_new", args=[front.pk])).context["form"]
    assert form["length"].value() is None and form["width"].value() == "8"
