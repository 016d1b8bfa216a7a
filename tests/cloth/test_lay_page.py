"""The page of a lay: drawn from the plan, accepted with its cloth, changed since, let go."""

import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import balances, stock
from projects.activities.panels import book_cut, sync_panels
from projects.forms.lay import AcceptForm
from projects.models import ClothLength, Fabric, KeptLay, LayDraft, Person, Project, Workroom
from projects.planning import plan_project
from tests import make
from tests.cloth.posts import METRE, MM


def coat(**fabric: Any) -> tuple[Project, Fabric]:
    """Two plain fronts and a back, on one fabric."""
    project, cloth = make.project(), make.fabric(**fabric)
    make.piece(project, name="Front", count=2, mirrored=True, fabric=cloth)
    make.piece(project, name="Back", fabric=cloth)
    return project, cloth


def at(name: str, project: Project, fabric: Fabric) -> str:
    return reverse(name, args=[project.pk, fabric.pk])


def line_of(project: Project) -> Any:
    return plan_project(project).fabrics[0]


def post(**values: Any) -> dict[str, Any]:
    usual = {"op": str(uuid.uuid4()), "units": "metric"}
    return {key: value for key, value in {**usual, **values}.items() if value is not None}


def accept(page: Client, project: Project, fabric: Fabric, **values: Any) -> Any:
    usual = {"seen": line_of(project).lay.length, "reserve": "on"}
    return page.post(at("lay_accept", project, fabric), post(**{**usual, **values}))


def text_of(page: Client, project: Project, fabric: Fabric) -> str:
    return page.get(at("lay", project, fabric)).content.decode()


def test_the_page_shows_what_the_plan_says(owner_page: Client) -> None:
    project, fabric = coat()
    lay = line_of(project).lay
    answer = owner_page.get(at("lay", project, fabric))
    text = answer.content.decode()
    assert answer.status_code == 200
    assert len(lay.placements) == 3 and all(p.name in text for p in lay.placements)
    assert "<svg" in text
    assert ("shortest possible" in text) == lay.shortest
    assert ("longer than the shortest" in text) != lay.shortest
    assert answer.context["all_cuts"] >= 3 and f"with {answer.context['all_cuts']} cuts" in text


def test_cost_is_for_owners_only(owner_page: Client, maker_page: Client) -> None:
    project, fabric = coat(price=Decimal("10"))
    metres = Decimal(line_of(project).lay.length) / METRE
    cost = owner_page.get(at("lay", project, fabric)).context["cost"]
    assert abs(cost - metres * 1000) <= 1
    answer = maker_page.get(at("lay", project, fabric))
    assert answer.context["cost"] is None and "cost of" not in answer.content.decode()


def test_what_is_already_on_the_shelf_is_used_and_reserved(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=5 * METRE)
    assert "Lay it on the shelf" in text_of(owner_page, project, fabric)
    owner_page.post(at("lay_shelf", project, fabric), post())
    text = text_of(owner_page, project, fabric)
    assert line_of(project).lay.length == 0 and "the shelf serves" in text and roll.label in text
    assert accept(owner_page, project, fabric).status_code == 303
    kept = KeptLay.objects.get()
    assert [row.cloth for row in kept.lengths.all()] == [roll] and kept.length == 0
    assert balances.reserved_for(roll, project) == kept.lengths.get().used > METRE


def test_accepting_and_the_plan_changing_since(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    before = line_of(project).lay
    answer = accept(owner_page, project, fabric)
    assert (answer.status_code, answer["Location"]) == (303, at("lay", project, fabric))
    kept = KeptLay.objects.get()
    assert (kept.length, kept.kept_by, kept.cloth) == (before.length, owner, None)
    assert "This lay is accepted" in text_of(owner_page, project, fabric)
    make.piece(project, name="Collar", along=1_100 * MM, across=1_200 * MM, fabric=fabric)
    answer = owner_page.get(at("lay", project, fabric))
    line, text = answer.context["line"], answer.content.decode()
    assert (line.kept_lay, line.lay_changed) == (False, True)
    assert "The plan has changed since" in text
    assert any("Collar" in fact for fact in answer.context["changes"])
    assert f"{line.lay.length / METRE:.2f} m, as drawn" in text
    owner_page.post(at("lay_let_go", project, fabric), post())
    assert not KeptLay.objects.exists()
    assert "has changed since" not in text_of(owner_page, project, fabric)


def test_the_fabrics_width_changing_is_a_change_of_plan(owner_page: Client) -> None:
    project, fabric = coat()
    accept(owner_page, project, fabric)
    fabric.width = 700 * MM
    fabric.save()
    answer = owner_page.get(at("lay", project, fabric))
    assert (answer.context["line"].kept_lay, answer.context["line"].lay_changed) == (False, True)
    assert answer.context["changes"]


def test_an_accepted_lay_offers_nothing_that_would_change_it(owner_page: Client) -> None:
    project, fabric = coat()
    accept(owner_page, project, fabric)
    context = owner_page.get(at("lay", project, fabric)).context
    assert context["accepted"] and not context["can_work"]
    assert not {"options", "improve", "place", "accept", "other_width"} & set(context.keys())


def test_bought_cloth_takes_the_part_of_the_roll_and_is_reserved(owner_page: Client) -> None:
    project, fabric = coat(shrink_along=Decimal("0.04"))
    accept(owner_page, project, fabric)
    assert "still to buy" in text_of(owner_page, project, fabric)
    roll = make.length(fabric, received=5 * METRE)
    data = post(cloth=roll.pk, reserve="on")
    for _ in range(2):
        assert owner_page.post(at("lay_give", project, fabric), data).status_code == 303
    kept = KeptLay.objects.get()
    worked = balances.reserved_for(roll, project) * 96
    assert kept.cloth == roll
    assert 0 <= worked - kept.length * 100 < 100, "washed first: more is reserved than the lay is long"
    assert "still to buy" not in text_of(owner_page, project, fabric)


def test_bought_cloth_that_is_too_short_or_narrow_says_what_would_do(owner_page: Client) -> None:
    project, fabric = coat()
    accept(owner_page, project, fabric)
    for roll in (make.length(fabric, received=METRE), make.length(fabric, width=500 * MM)):
        answer = owner_page.post(at("lay_give", project, fabric), post(cloth=roll.pk, reserve="on"))
        assert answer.status_code == 422 and answer.context["form"].errors["cloth"]
        assert answer.context["give"]["cloth"].value() == str(roll.pk), "what was chosen stays chosen"
    assert KeptLay.objects.get().cloth is None


def test_another_fabrics_length_is_refused(owner_page: Client) -> None:
    project, fabric = coat()
    other = make.length()
    for cloth in (other.pk, "x", "9" * 30):
        answer = accept(owner_page, project, fabric, cloth=cloth)
        assert answer.status_code == 422 and "cloth" in answer.context["form"].errors


def test_what_others_hold_is_not_laid_on(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=5 * METRE)
    stock.reserve(row=roll, project=make.project("Capelet"), amount=4_900 * MM, person=owner)
    assert line_of(project).lay.length > 0
    answer = accept(owner_page, project, fabric, cloth=roll.pk)
    assert answer.status_code == 422 and not KeptLay.objects.exists()


def test_a_plan_that_moved_is_shown_and_not_accepted(owner_page: Client) -> None:
    project, fabric = coat()
    seen = line_of(project).lay.length
    make.piece(project, name="Collar", along=1_100 * MM, across=1_200 * MM, fabric=fabric)
    answer = accept(owner_page, project, fabric, seen=seen)
    assert answer.status_code == 409
    assert "The plan changed while you looked" in answer.content.decode()
    assert not KeptLay.objects.exists()
    assert answer.context["accept"]["seen"].value() == line_of(project).lay.length


def test_a_doubled_accept_accepts_one(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric)
    owner_page.post(at("lay_shelf", project, fabric), post())
    data = post(seen=line_of(project).lay.length, reserve="on")
    for _ in range(2):
        assert owner_page.post(at("lay_accept", project, fabric), data).status_code == 303
    assert KeptLay.objects.count() == 1 and roll.entries.filter(kind="reserved").count() == 1


def test_what_does_not_fit_is_named_with_what_would(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric(width=400 * MM)
    make.piece(project, name="Cape", across=500 * MM, fabric=fabric)
    answer = owner_page.get(at("lay", project, fabric))
    text = answer.content.decode()
    assert answer.status_code == 200 and "Cape" in text and "40.0 cm" in text
    assert "<svg xmlns" not in text.split("<main")[1]
    answer = owner_page.post(at("lay_accept", project, fabric), post())
    assert answer.status_code == 422 and not KeptLay.objects.exists()


def test_a_fabric_the_project_does_not_use_has_nothing_to_lay(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric()
    answer = owner_page.get(at("lay", project, fabric))
    assert answer.status_code == 200 and "No piece of this project" in answer.content.decode()


PAGES = ["lay", "lay_progress", "lay_width"]
DEEDS = ["lay_accept", "lay_let_go", "lay_give", "lay_options", "lay_improve", "lay_stop", "lay_move",
         "lay_shelf", "lay_pin", "lay_unpin", "lay_unpin_all"]  # fmt: skip


@pytest.mark.parametrize("name", [*PAGES, *DEEDS])
def test_missing_malformed_and_wrong_methods(owner_page: Client, name: str) -> None:
    project, fabric = coat()
    send, other = owner_page.get, owner_page.post
    if name in DEEDS:
        send, other = other, send
    assert send(reverse(name, args=[project.pk + 99, fabric.pk])).status_code == 404
    assert send(reverse(name, args=[project.pk, fabric.pk + 99])).status_code == 404
    assert send(reverse(name, args=[project.pk, 10**25])).status_code == 404
    assert other(at(name, project, fabric)).status_code == 405
    make.deletion(project)
    assert send(at(name, project, fabric)).status_code == 404


def asked(page: Client, project: Project, fabric: Fabric) -> int:
    page.get(at("lay", project, fabric))
    with CaptureQueriesContext(connection) as caught:
        assert page.get(at("lay", project, fabric)).status_code == 200
    return len(caught)


def test_as_many_queries_for_forty_lengths_and_pieces_as_for_ten(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric()

    def more(count: int) -> int:
        for _ in range(count):
            make.piece(project, fabric=fabric)
            make.piece(make.project(), fabric=fabric)
            make.length(fabric, received=METRE)
        return asked(owner_page, project, fabric)

    assert more(10) == more(30)
    assert ClothLength.objects.count() == 40


def test_as_many_queries_for_a_draft_or_an_accepted_lay_of_many_lengths(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric()
    found = []
    for count in (2, 8):
        for _ in range(count):
            make.piece(project, fabric=fabric)
            make.length(fabric, received=METRE)
        draft, _ = LayDraft.objects.get_or_create(project=project, fabric=fabric)
        draft.lengths.set(ClothLength.objects.all())
        in_work = asked(owner_page, project, fabric)
        assert accept(owner_page, project, fabric).status_code == 303
        found.append((in_work, asked(owner_page, project, fabric)))
        owner_page.post(at("lay_let_go", project, fabric), post(release="on"))
    assert found[0] == found[1]


def cut_panel(project: Project, name: str, person: Person) -> None:
    """Book the panels of one piece as cut, keeping their part of the plan."""
    piece = project.pieces.get(name=name)
    sync_panels(piece)
    for panel in piece.panels.all():
        book_cut(panel, person=person, now=timezone.now())


def test_what_is_cut_is_marked_and_not_laid_again(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    accept(owner_page, project, fabric)
    cut_panel(project, "Back", owner)
    page = owner_page.get(at("lay", project, fabric))
    assert {row.place.panel for row in page.context["places"] if row.place.cut} == {"Back"}
    assert [p.name for p in page.context["line"].lay.placements].count("Back") == 1
    owner_page.post(at("lay_let_go", project, fabric), post())
    accept(owner_page, project, fabric)
    assert "Back" not in [p["name"] for p in KeptLay.objects.get().result["placements"]]


def test_letting_go_releases_what_the_lay_reserved_if_asked(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=9 * METRE)
    stock.reserve(row=roll, project=project, amount=METRE, person=owner, note="by hand")
    owner_page.post(at("lay_shelf", project, fabric), post())
    for release, left in ((None, True), ("on", False)):
        accept(owner_page, project, fabric)
        takes = KeptLay.objects.get().lengths.get().used
        assert balances.reserved_for(roll, project) == takes
        assert owner_page.get(at("lay", project, fabric)).context["reserved"] == takes - METRE
        owner_page.post(at("lay_let_go", project, fabric), post(release=release))
        assert not KeptLay.objects.exists()
        assert balances.reserved_for(roll, project) == (takes if left else METRE)


def test_a_lay_refused_in_a_race_names_what_can_be_typed(owner_page: Client) -> None:
    form = AcceptForm(workroom=Workroom.load(), stock=())
    error = stock.StockError("{asked} of {there}", asked=2_000_300_001, there=1_999_800_001)
    assert error.text(form.at_least, form.at_most) == "2.001 m of 1.999 m"


def test_the_project_and_what_to_buy_say_how_the_lay_stands(owner_page: Client) -> None:
    project, fabric = coat()
    for name in ("project", "project_buy"):
        assert at("lay", project, fabric) in owner_page.get(reverse(name, args=[project.pk])).content.decode()
    accept(owner_page, project, fabric)
    for name in ("project", "project_buy"):
        text = owner_page.get(reverse(name, args=[project.pk])).content.decode()
        assert at("lay", project, fabric) in text and "accepted" in text
