"""Edges, strips and thread in the Plan, by figures worked by hand."""

from decimal import Decimal
from math import ceil

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.activities import lays
from projects.calc.lay import plan_lay
from projects.calc.lay.request import Pin
from projects.calc.lengths import System
from projects.drawings.bias import blanks_of
from projects.models import Edge, LayDraft, Step
from projects.planning.export import plan_json
from projects.planning.lay_changes import what_changed
from projects.planning.lay_json import lay_to_json, pin_json
from projects.planning.lay_request import asked
from projects.planning.making import plan_project
from projects.planning.touched import edge_key
from projects.printing.edges import edge_part
from tests import make

pytestmark = pytest.mark.django_db
MM, M = 10**6, 10**9


@pytest.fixture
def front(workroom):
    """Plain cloth, 1 mm thick, 1.4 m wide and never washed."""
    cloth = make.fabric(thickness=MM)
    return make.piece(make.project(washing="never"), fabric=cloth, count=2)


def test_a_piece_without_edges_has_none(front):
    plan = plan_project(front.project)
    assert plan.pieces[0].edges == () and plan.bindings == () and plan.thread is None


def test_a_bound_neck_by_hand(front):
    """Strip 4 x 8 + 0.6 x 2 = 33.2, cut 34 mm; two times 600 + 2 x 15 mm; two rows at the machine each."""
    make.edge(front)
    plan = plan_project(front.project)
    edge = plan.pieces[0].edges[0]
    assert (edge.strip_width, edge.strip, edge.times) == (34 * MM, 630 * MM, 2)
    assert (edge.sewn, edge.starts, edge.worked, edge.hand) == (2_400 * MM, 4, 1_200 * MM, 0)
    binding = plan.bindings[0]
    assert binding.need == 1_260 * MM <= binding.gives
    assert binding.gives == sum(binding.strips) - ceil(2 * 2**0.5 * 6 * MM * (len(binding.strips) - 1))
    assert min(binding.strips) >= 200 * MM


def test_thread_of_a_bound_neck(front):
    """1.15 x 2.4 m x 2.5 + 4 x 0.3 m = 8.1 m."""
    make.edge(front)
    thread = plan_project(front.project).thread
    assert (thread.thread, thread.starts, thread.spools, thread.spool) == (8_100 * MM, 4, 1, 100 * M)


def test_thread_comes_from_the_projects_own_spools(front):
    make.edge(front, length=10 * M, finish="hemmed")
    spool = make.notion("Thread, ivory", kind="thread", holds=25 * M)
    front.project.notion_needs.create(notion=spool, amount=1000)
    thread = plan_project(front.project).thread
    assert thread.thread == 58_100 * MM  # 1.15 x 20 m x 2.5 + 2 x 0.3 m
    assert (thread.spool, thread.spools, thread.notion) == (25 * M, 3, "Thread, ivory")


def test_tucks_count_for_thread(workroom):
    project = make.project(washing="never")
    make.piece(project, fabric=make.fabric(), version=make.version())
    plan = plan_project(project)
    panel = plan.pieces[0].panels[0].plan
    assert plan.thread.sewn == panel.sewn_across and plan.thread.starts == panel.across.count


@pytest.mark.parametrize(
    ("finish", "values", "width", "strip"),
    [
        ("bound_double", {}, 53 * MM, 630 * MM),
        ("hong_kong", {}, 34 * MM, 630 * MM),
        ("band", {"reduction": Decimal("0.1"), "allowance": 10 * MM}, 36 * MM, 560 * MM),
        ("faced", {"width": 40 * MM}, 61 * MM, 630 * MM),
        ("bound", {"closed": True}, 34 * MM, 600 * MM + 16_970_563),
        ("hemmed", {}, None, 0),
        ("seam", {}, None, 0),
    ],
)
def test_each_finish(front, finish, values, width, strip):
    make.edge(front, finish=finish, **values)
    edge = plan_project(front.project).pieces[0].edges[0]
    assert (edge.strip_width, edge.strip) == (width, strip)


def test_both_allowances_of_a_seam_are_bound(front):
    make.edge(front, finish="hong_kong", both_sides=True)
    plan = plan_project(front.project)
    assert plan.pieces[0].edges[0].times == 4 and plan.bindings[0].need == 4 * 630 * MM


def test_edges_of_one_width_share_a_blank(front):
    make.edge(front)
    make.edge(front, name="armhole", length=450 * MM, order=1)
    make.edge(front, name="hem", width=10 * MM, order=2)
    first, second = plan_project(front.project).bindings
    assert first.edges == ("Front, neck", "Front, armhole") and second.edges == ("Front, hem",)
    assert first.need == 2 * (630 + 480) * MM


def test_the_blank_is_bought_and_gone_once_it_is_cut(front):
    plain = plan_project(front.project).fabrics[0].need
    make.edge(front, length=8 * M)
    plan = plan_project(front.project)
    fabric, binding = plan.fabrics[0], plan.bindings[0]
    assert fabric.need > plain
    blank = next(p for p in fabric.request.panels if "blank" in p.name)
    assert [(blank.width, blank.length)] == [(made.width, made.length) for made in binding.blanks]
    assert any(line.why == "Panels and blanks for strips as laid" for line in fabric.lines)
    Step.objects.create(project=front.project, key=binding.key, stage="make_up", title="Cut", state="done")
    after = plan_project(front.project)
    assert after.fabrics[0].need == plain and after.bindings[0].cut


@pytest.fixture
def ends(workroom):
    """Panels 105 and 70 cm wide, 60 cm long, on cloth 140 cm wide, and much to bind: what is left beside
    both is too little as one blank, enough as two pieces."""
    front = make.piece(
        make.project(washing="never"), fabric=make.fabric(), across=1_050 * MM, along=600 * MM
    )
    make.piece(front.project, name="Back", fabric=front.fabric, across=700 * MM, along=600 * MM, order=1)
    make.edge(front, length=13 * M)
    return front


def test_strips_from_what_the_panels_leave(ends):
    plan = plan_project(ends.project)
    fabric, binding = plan.fabrics[0], plan.bindings[0]
    assert binding.left_over and len(binding.blanks) == 2 and binding.gives >= binding.need
    assert fabric.lay.length == max(p.y + p.length for p in fabric.lay.placements if "Piece" not in p.name)
    names = [part.panel.name for part in fabric.parts if part.key == binding.key]
    assert names == [f"Piece {number}, bias blank for 32.0 mm strips" for number in (1, 2)]
    step = plan.step(binding.key)
    assert "from 2 pieces left beside the panels of Linen voile" in step.title
    assert [m.label for m in step.measures[:2]] == ["piece 1 across", "piece 1 along the grain"]
    drawn = dict(blanks_of(plan, System.METRIC))[binding]
    assert [one.title for one in drawn] == ["Piece 1", "Piece 2"]
    first = len(binding.blanks[0].strips.lengths)
    assert drawn[1].lengths[0][0].startswith(str(first + 1))
    text = edge_part(plan, System.METRIC).strips[0]
    assert text.text.startswith("2 pieces left beside the panels, ") and len(text.blanks) == 2


def test_a_lay_that_is_accepted_keeps_what_was_chosen(ends, owner):
    before = plan_project(ends.project)
    kept = lays.accept(project=ends.project, fabric=ends.fabric, seen=None, person=owner)
    plan = plan_project(ends.project)
    assert plan.fabrics[0].kept_lay and plan.bindings == before.bindings
    Edge.objects.update(length=12_900 * MM)
    assert plan_project(ends.project).bindings[0].blanks == before.bindings[0].blanks, "still enough"
    assert plan_project(ends.project).fabrics[0].kept_lay
    Edge.objects.update(length=19 * M)
    after = plan_project(ends.project)
    assert after.fabrics[0].lay_changed and after.bindings[0].blanks != before.bindings[0].blanks
    assert what_changed(kept, after)


def test_a_draft_chooses_for_what_it_is_asked_and_keeps_its_best(ends):
    """On a length as wide as the fabric nothing differs; pins leave what was chosen alone."""
    length = make.length(ends.fabric, received=5 * M)
    draft = LayDraft.objects.create(project=ends.project, fabric=ends.fabric)
    before = plan_project(ends.project)
    piece = next(part.panel for part in before.fabrics[0].parts if part.key)
    placed = next(p for p in before.fabrics[0].lay.placements if p.name == piece.name)
    pin = Pin(piece.name, 1, placed.x, placed.y, placed.turned, placed.on)
    draft.pins = [{**pin_json(pin), "on": str(length.pk) if pin.on else ""}]
    draft.save()
    found = asked(draft, before, ends.fabric, ends.project)
    draft.inputs, draft.result = found.inputs, lay_to_json(plan_lay(found.request))
    draft.save()
    plan = plan_project(ends.project)
    assert plan.fabrics[0].lay_state == "improved" and plan.bindings == before.bindings
    assert found.request.pins == (pin,) and [on.cloth_id is None for on in plan.fabrics[0].lay_on] == [False]
    draft.width = 1_900 * MM
    draft.use_stash = False
    draft.save()
    wide = plan_project(ends.project)
    assert not wide.bindings[0].left_over and wide.fabrics[0].lay_state == "quick"
    assert wide.bindings[0].gives >= wide.bindings[0].need


def test_another_fabric_for_strips_joins_the_project(front):
    lawn = make.fabric("Cotton lawn", width=1_100 * MM)
    make.edge(front, fabric=lawn)
    plan = plan_project(front.project)
    assert [f.name for f in plan.fabrics] == ["Linen voile", "Cotton lawn"]
    assert plan.fabrics[1].lines[0].why == "Blanks for strips as laid" and plan.fabrics[1].need > 0


def test_cloth_too_narrow_for_strips_says_so(front):
    tape = make.fabric("Ribbon", width=60 * MM)
    make.edge(front, fabric=tape)
    plan = plan_project(front.project)
    assert plan.bindings[0].problem and not plan.fabrics[1].request.panels
    assert any("can't be cut" in note.text for note in plan.notes)


def test_an_edge_without_fabric_says_so(workroom):
    piece = make.piece(make.project())
    make.edge(piece)
    plan = plan_project(piece.project)
    assert plan.bindings == () and any("No fabric to cut strips from: neck" in n.text for n in plan.notes)


def test_steps_and_minutes(front):
    """1.2 m of edge at 6 minutes a metre; by hand the last row besides, at 25."""
    edge = make.edge(front)
    make.edge(front, name="hem", finish="hemmed", by_hand=True, order=1)
    make.edge(front, name="side", finish="seam", order=2)
    plan = plan_project(front.project)
    bind, hem = (plan.step(edge_key(pk)) for pk in (edge.pk, edge.pk + 1))
    assert bind.title == "Bind neck of Front" and hem.title == "Hem hem of Front"
    assert plan.step(edge_key(edge.pk + 2)) is None
    assert hem.minutes - bind.minutes == Decimal("1.2") * (25 - 6)
    assert any("Needles" in text for text in bind.cautions)
    strips = plan.step(plan.bindings[0].key)
    assert strips.title == "Cut and join bias strips 34.0 mm wide from Linen voile"
    assert any("Blades" in text for text in strips.cautions)
    order = [step.key for step in plan.steps]
    assert order.index(strips.key) < order.index("p:make-up::1") < order.index(bind.key)


def test_the_json_has_edges_strips_and_thread_and_no_row_keys(front):
    make.edge(front)
    found = plan_json(plan_project(front.project))
    assert found["pieces"][0]["edges"][0]["strip_width_nm"] == 34 * MM
    assert found["bindings"][0]["need_nm"] == 1_260 * MM and found["thread"]["spools"] == 1
    assert not any("id" in key.split("_") for key in found["bindings"][0])


def test_inch_studios_cut_blanks_in_half_inches(front, workroom):
    workroom.units = "inch"
    workroom.save()
    make.edge(front)
    binding = plan_project(front.project).bindings[0]
    assert all(side % 12_700_000 == 0 for blank in binding.blanks for side in (blank.width, blank.length))


def test_as_many_queries_for_many_edges_as_for_one(front):
    make.edge(front)
    with CaptureQueriesContext(connection) as one:
        plan_project(front.project)
    for number in range(10):
        make.edge(front, name=f"edge {number}", fabric=make.fabric(f"Lawn {number}"))
    with CaptureQueriesContext(connection) as many:
        plan_project(front.project)
    assert len(one) == len(many)
