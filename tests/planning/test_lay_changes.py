"""What a plan says of its lays: older formats, what has changed since, other widths."""

import json
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.activities import lay_work, lays, panels
from projects.calc.lay import LayPanel, LayRequest, plan_lay
from projects.models import ClothLength, Fabric, KeptLay, LayCut, Person, Piece, Project
from projects.planning import plan_project
from projects.planning.lay_changes import what_changed
from projects.planning.lay_json import lay_to_json, own_names, read_kept
from projects.planning.lay_widths import compare_width
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db


@pytest.fixture
def cloth(workroom: object) -> Fabric:
    return make.fabric(shrink_along=Decimal(0), shrink_across=Decimal(0))


def project_of(cloth: Fabric, *names: str, title: str = "Coat") -> Project:
    project = make.project(title)
    for order, name in enumerate(names):
        panels.sync_panels(make.piece(project, name=name, fabric=cloth, order=order))
    return project


@pytest.fixture
def coat(cloth: Fabric) -> Project:
    return project_of(cloth, "Front", "Back", "Sleeve")


def again(row: Any) -> Any:
    return type(row).objects.get(pk=row.pk)


def changes(project: Project) -> list[str]:
    return what_changed(KeptLay.objects.get(), plan_project(again(project)))


def accept(project: Project, cloth: Fabric, person: Person, **values: Any) -> KeptLay:
    return lays.accept(project=project, fabric=cloth, seen=None, person=person, **values)


def test_what_has_changed_is_said_in_plain_facts(coat: Project, cloth: Fabric, owner: Person) -> None:
    accept(coat, cloth, owner)
    assert changes(coat) == [] and not plan_project(coat).fabrics[0].lay_changed
    Piece.objects.filter(name="Front").update(along=702 * MM)
    Piece.objects.filter(name="Back").update(across=450 * MM, may_turn=True)
    Piece.objects.filter(name="Sleeve").update(name="Cuff")
    Fabric.objects.update(width=1_350 * MM, one_way=True)
    panels.sync_panels(Piece.objects.get(name="Cuff"))
    assert plan_project(again(coat)).fabrics[0].lay_changed
    assert changes(coat) == [
        "Front is 2.0 mm longer.",
        "Back is 50.0 mm narrower.",
        "Back may lie across the grain now.",
        "Cuff is new.",
        "Sleeve is gone.",
        "Linen voile has one way up now.",
        "Linen voile is 135.0 cm wide; the lay was made for 140.0 cm.",
    ]


def test_a_length_that_is_narrower_now_is_a_change(coat: Project, cloth: Fabric, owner: Person) -> None:
    row = make.length(cloth, label="L7")
    lay_work.opened(coat, cloth)
    accept(coat, cloth, owner)
    ClothLength.objects.filter(pk=row.pk).update(width=1_500 * MM)
    assert not plan_project(again(coat)).fabrics[0].lay_changed
    ClothLength.objects.filter(pk=row.pk).update(width=1_300 * MM)
    assert plan_project(again(coat)).fabrics[0].lay_changed
    assert changes(coat) == ["L7 is 130.0 cm wide; the lay was made for 140.0 cm."]


def test_panels_cut_before_it_was_accepted_are_no_change(coat: Project, cloth: Fabric, owner: Person) -> None:
    panels.book_cut(Piece.objects.get(name="Back").panels.get(), person=owner, now=make.timezone.now())
    lay_work.opened(coat, cloth)
    kept = accept(coat, cloth, owner)
    assert {p["name"] for p in kept.result["placements"]} == {"Front", "Sleeve"}
    line = plan_project(again(coat)).fabrics[0]
    assert (line.lay_state, line.need) == ("accepted", kept.length) and changes(coat) == []
    panels.book_cut(Piece.objects.get(name="Front").panels.get(), person=owner, now=make.timezone.now())
    assert plan_project(again(coat)).fabrics[0].lay_state == "accepted"


def test_what_is_off_the_length_is_needed_no_more(coat: Project, cloth: Fabric, owner: Person) -> None:
    """The cut that takes the stretch off its length came before the panels on it are booked."""
    from projects.activities import stock

    row = make.length(cloth)
    lay_work.opened(coat, cloth)
    kept = accept(coat, cloth, owner)
    used = kept.lengths.get().used
    entry = stock.cut(row=row, project=coat, amount=used, person=owner)
    LayCut.objects.create(lay=kept, number=1, cut_at=entry.at, entry=entry)
    line = plan_project(again(coat)).fabrics[0]
    assert (line.lay_state, line.need, line.buy) == ("accepted", 0, 0)


def test_a_lay_kept_in_format_1_is_read_and_its_names_are_told_apart() -> None:
    """Written before panels had names of their own, and before anything could lie on a length."""
    panel = {"name": "Front", "width_nm": 500, "length_nm": 700, "count": 1, "may_turn": False}
    inputs = {
        "format": 1, "width_nm": 1_400, "gap_nm": 0, "one_way": True,
        "panels": [panel, {**panel, "length_nm": 900}],
    }  # fmt: skip
    place = {"name": "Front", "x_nm": 0, "y_nm": 0, "width_nm": 500, "turned": False, "copy": 1}
    result = {
        "format": 1, "length_nm": 900, "shortest_possible_nm": 900, "waste": "0.3651", "shortest": True,
        "placements": [{**place, "length_nm": 900}, {**place, "x_nm": 500, "length_nm": 700}],
    }  # fmt: skip
    kept = read_kept(json.loads(json.dumps(inputs)), json.loads(json.dumps(result)))
    assert kept.request.one_way and not kept.request.lengths and kept.own_width
    assert [(p.name, p.length) for p in kept.request.panels] == [("Front", 700), ("Front (2)", 900)]
    laid = [(p.name, p.length, p.on) for p in kept.lay.placements]
    assert laid == [("Front (2)", 900, ""), ("Front", 700, "")]
    assert kept.lay.shortest and kept.lay.waste_share == Decimal("0.3651")


def test_names_of_their_own() -> None:
    assert own_names(["Front", "Back", "Front", "Front (2)", "Front"]) == [
        "Front", "Back", "Front (3)", "Front (2)", "Front (4)",
    ]  # fmt: skip


def test_a_format_1_lay_still_shows_in_its_plan(coat: Project, cloth: Fabric, owner: Person) -> None:
    Piece.objects.filter(name="Sleeve").update(name="Back")
    kept = accept(coat, cloth, owner)
    request = LayRequest(
        kept.width, tuple(LayPanel(n, p["width_nm"], p["length_nm"]) for n, p in named(kept))
    )
    result = lay_to_json(plan_lay(request))
    for place in result["placements"]:
        place["name"] = place["name"].split(" (")[0]
        del place["on"]
    del result["used"]
    inputs = {
        "format": 1, "width_nm": kept.width, "gap_nm": 0, "one_way": False,
        "panels": [{**p, "name": n.split(" (")[0]} for n, p in named(kept)],
    }  # fmt: skip
    KeptLay.objects.update(inputs=inputs, result={**result, "format": 1})
    line = plan_project(again(coat)).fabrics[0]
    assert line.lay_state == "accepted"
    assert {p.name for p in line.lay.placements} == {"Front", "Back", "Back (2)"}


def named(kept: KeptLay) -> list[tuple[str, dict[str, Any]]]:
    return [(panel["name"], panel) for panel in kept.inputs["panels"]]


def test_another_width_is_compared(coat: Project, cloth: Fabric) -> None:
    plan = plan_project(coat)
    found = compare_width(None, 1_700 * MM, plan, cloth, coat)
    assert (found.now_width, found.now_length) == (1_400 * MM, plan.fabrics[0].lay.length)
    assert found.length < found.now_length and found.problem == ""
    narrow = compare_width(None, 300 * MM, plan, cloth, coat)
    assert narrow.length is None and "wide" in narrow.problem


def test_a_plan_asks_as_often_for_many_lengths_and_projects(
    coat: Project, cloth: Fabric, owner: Person
) -> None:
    def asks() -> int:
        with CaptureQueriesContext(connection) as caught:
            plan_project(again(coat))
        return len(caught)

    counts = set()
    for number in (1, 4):
        for n in range(number):
            make.length(cloth, received=800 * MM, label=f"{number}{n}")
        others = [project_of(cloth, "Cape", title=f"Cape {number}{n}") for n in range(number)]
        lay_work.set_options(project=coat, fabric=cloth, values={"others": others})
        draft = asks()
        accept(coat, cloth, owner)
        counts.add((draft, asks()))
        lays.let_go(project=coat, fabric=cloth, person=owner)
    assert len(counts) == 1
