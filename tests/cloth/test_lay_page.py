"""The page of a lay: drawn from the plan, kept, changed since, forgotten; reserving what it takes."""

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
from projects.forms.lay import KeepLayForm
from projects.models import ClothLength, Fabric, KeptLay, Person, Project, Workroom
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


def lay_of(project: Project) -> Any:
    return plan_project(project).fabrics[0].lay


def keep_post(project: Project, **values: Any) -> dict[str, Any]:
    usual = {"op": str(uuid.uuid4()), "units": "metric", "seen": lay_of(project).length}
    return {k: v for k, v in {**usual, **values}.items() if v is not None}


def test_the_page_shows_what_the_plan_says(owner_page: Client) -> None:
    project, fabric = coat()
    lay = lay_of(project)
    answer = owner_page.get(at("lay", project, fabric))
    text = answer.content.decode()
    assert answer.status_code == 200
    assert len(lay.placements) == 3 and all(p.name in text for p in lay.placements)
    assert "<svg" in text
    assert ("shortest possible" in text) == lay.shortest
    assert ("is needed" in text) != lay.shortest


def test_keeping_and_the_plan_changing_since(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    before = lay_of(project)
    answer = owner_page.post(at("lay_keep", project, fabric), keep_post(project))
    assert (answer.status_code, answer["Location"]) == (303, at("lay", project, fabric))
    kept = KeptLay.objects.get()
    assert (kept.length, kept.kept_by, kept.cloth) == (before.length, owner, None)
    assert "This lay is kept" in owner_page.get(at("lay", project, fabric)).content.decode()
    make.piece(project, name="Collar", along=1_100 * MM, across=1_200 * MM, fabric=fabric)
    line = owner_page.get(at("lay", project, fabric)).context["line"]
    assert (line.kept_lay, line.lay_changed) == (False, True)
    text = owner_page.get(at("lay", project, fabric)).content.decode()
    assert "The plan has changed since" in text
    assert (
        f"{before.length / METRE:.2f} m was kept" in text
        and f"{line.lay.length / METRE:.2f} m, as drawn" in text
    )
    owner_page.post(at("lay_forget", project, fabric), {"op": str(uuid.uuid4())})
    assert not KeptLay.objects.exists()
    assert "has changed since" not in owner_page.get(at("lay", project, fabric)).content.decode()


def test_the_fabrics_width_changing_is_a_change_of_plan(owner_page: Client) -> None:
    project, fabric = coat()
    owner_page.post(at("lay_keep", project, fabric), keep_post(project))
    fabric.width = 700 * MM
    fabric.save()
    line = owner_page.get(at("lay", project, fabric)).context["line"]
    assert (line.kept_lay, line.lay_changed) == (False, True)


def test_keeping_on_a_length_reserves_what_it_takes_once(owner_page: Client) -> None:
    project, fabric = coat(shrink_along=Decimal("0.04"))
    roll = make.length(fabric, received=5 * METRE)
    for _ in range(2):
        data = keep_post(project, cloth=roll.pk, reserve="on")
        assert owner_page.post(at("lay_keep", project, fabric), data).status_code == 303
    kept = KeptLay.objects.get()
    worked = balances.reserved_for(roll, project) * 96
    assert kept.cloth == roll
    assert 0 <= worked - kept.length * 100 < 100, "washed first: more is reserved than the lay is long"


def test_a_washed_length_is_reserved_as_it_is(owner_page: Client) -> None:
    project, fabric = coat(shrink_along=Decimal("0.04"))
    roll = make.length(fabric, washed=True)
    owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk, reserve="on"))
    assert balances.reserved_for(roll, project) == KeptLay.objects.get().length


def test_a_narrower_length_gets_a_lay_of_its_own_width(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric, width=800 * MM)
    owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk))
    kept = KeptLay.objects.get()
    assert kept.width == 800 * MM and kept.length > 2_000 * MM
    assert balances.reserved_for(roll, project) == 0
    line = owner_page.get(at("lay", project, fabric)).context["line"]
    assert (line.kept_lay, line.lay.length) == (True, kept.length)
    assert all(p.x + p.width <= 800 * MM for p in line.lay.placements)


def test_a_length_that_is_too_short_says_what_would_do(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=METRE)
    answer = owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk, reserve="on"))
    assert answer.status_code == 422
    assert "Use a length of at least" in str(answer.context["form"].errors["cloth"])
    assert not KeptLay.objects.exists() and balances.free(roll) == METRE


def test_what_others_hold_is_not_laid_on(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=5 * METRE)
    stock.reserve(row=roll, project=make.project("Capelet"), amount=4_500 * MM, person=owner)
    answer = owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk, reserve="on"))
    assert answer.status_code == 422 and not KeptLay.objects.exists()


def test_another_fabrics_length_is_refused(owner_page: Client) -> None:
    project, fabric = coat()
    other = make.length()
    for cloth in (other.pk, "x", "9" * 30):
        answer = owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=cloth))
        assert answer.status_code == 422 and "cloth" in answer.context["form"].errors


def test_a_plan_that_moved_is_shown_and_not_kept(owner_page: Client) -> None:
    project, fabric = coat()
    data = keep_post(project)
    make.piece(project, name="Collar", along=1_100 * MM, across=1_200 * MM, fabric=fabric)
    answer = owner_page.post(at("lay_keep", project, fabric), data)
    assert answer.status_code == 409
    assert "The plan changed while you looked" in answer.content.decode()
    assert not KeptLay.objects.exists()
    assert answer.context["form"]["seen"].value() == lay_of(project).length


def test_a_doubled_keep_keeps_one(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric)
    data = keep_post(project, cloth=roll.pk, reserve="on")
    for _ in range(2):
        assert owner_page.post(at("lay_keep", project, fabric), data).status_code == 303
    assert KeptLay.objects.count() == 1 and roll.entries.filter(kind="reserved").count() == 1


def test_what_does_not_fit_is_named_with_what_would(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric(width=400 * MM)
    make.piece(project, name="Cape", across=500 * MM, fabric=fabric)
    answer = owner_page.get(at("lay", project, fabric))
    text = answer.content.decode()
    assert answer.status_code == 200 and "Cape" in text and "40.0 cm" in text
    assert "<svg xmlns" not in text.split("<main")[1]
    answer = owner_page.post(at("lay_keep", project, fabric), {"op": str(uuid.uuid4()), "units": "metric"})
    assert answer.status_code == 422 and not KeptLay.objects.exists()


def test_a_fabric_the_project_does_not_use_has_nothing_to_lay(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric()
    answer = owner_page.get(at("lay", project, fabric))
    assert answer.status_code == 200 and "No piece of this project" in answer.content.decode()


@pytest.mark.parametrize("name", ["lay", "lay_keep", "lay_forget"])
def test_missing_malformed_and_wrong_methods(owner_page: Client, name: str) -> None:
    project, fabric = coat()
    send, other = (owner_page.get, owner_page.post) if name == "lay" else (owner_page.post, owner_page.get)
    assert send(reverse(name, args=[project.pk + 99, fabric.pk])).status_code == 404
    assert send(reverse(name, args=[project.pk, fabric.pk + 99])).status_code == 404
    assert send(reverse(name, args=[project.pk, 10**25])).status_code == 404
    assert other(at(name, project, fabric)).status_code == 405
    make.deletion(project)
    assert send(at(name, project, fabric)).status_code == 404


def test_as_many_queries_for_forty_lengths_and_pieces_as_for_ten(owner_page: Client) -> None:
    project, fabric = make.project(), make.fabric()

    def more(count: int) -> int:
        for _ in range(count):
            make.piece(project, fabric=fabric)
            make.length(fabric)
        owner_page.get(at("lay", project, fabric))
        with CaptureQueriesContext(connection) as caught:
            assert owner_page.get(at("lay", project, fabric)).status_code == 200
        return len(caught)

    assert more(10) == more(30)
    assert ClothLength.objects.count() == 40


def test_what_is_cut_is_marked_and_not_laid_again(owner_page: Client, owner: Person) -> None:
    """Kept elsewhere after a panel was cut, only the others are laid and reserved."""
    project, fabric = coat()
    owner_page.post(at("lay_keep", project, fabric), keep_post(project))
    first = KeptLay.objects.get()
    cut_panel(project, "Back", owner)
    page = owner_page.get(at("lay", project, fabric))
    assert {p.panel for p in page.context["places"] if p.cut} == {"Back"}
    assert [p.name for p in page.context["line"].lay.placements].count("Back") == 1
    roll = make.length(fabric)
    owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk, reserve="on"))
    kept = KeptLay.objects.get()
    assert kept.length < first.length
    assert "Back" not in [p["name"] for p in kept.result["placements"]]
    assert balances.reserved_for(roll, project) == kept.length


def cut_panel(project: Project, name: str, person: Person) -> None:
    """Book the panels of one piece as cut, keeping their part of the plan."""
    piece = project.pieces.get(name=name)
    sync_panels(piece)
    for panel in piece.panels.all():
        book_cut(panel, person=person, now=timezone.now())


def test_a_kept_length_that_gets_another_width_is_a_change_of_plan(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric, width=1_200 * MM)
    owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk))
    assert plan_project(project).fabrics[0].kept_lay
    roll.width = 1_150 * MM
    roll.save()
    line = plan_project(project).fabrics[0]
    assert (line.kept_lay, line.lay_changed) == (False, True)


def test_where_it_is_kept_is_not_offered_again(owner_page: Client) -> None:
    project, fabric = coat()
    roll, other = make.length(fabric), make.length(fabric)
    owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk))
    field = owner_page.get(at("lay", project, fabric)).context["form"].fields["cloth"]
    assert list(field.queryset) == [other] and field.empty_label == "Cloth still to buy"
    owner_page.post(at("lay_keep", project, fabric), keep_post(project))
    field = owner_page.get(at("lay", project, fabric)).context["form"].fields["cloth"]
    assert list(field.queryset) == [roll, other] and field.empty_label is None


def test_forgetting_releases_what_the_lay_reserved_if_asked(owner_page: Client, owner: Person) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=9 * METRE)
    stock.reserve(row=roll, project=project, amount=METRE, person=owner, note="by hand")
    for release, left in ((None, True), ("on", False)):
        owner_page.post(at("lay_keep", project, fabric), keep_post(project, cloth=roll.pk, reserve="on"))
        takes = KeptLay.objects.get().length
        assert balances.reserved_for(roll, project) == takes
        assert owner_page.get(at("lay", project, fabric)).context["reserved"] == takes - METRE
        post = {"op": str(uuid.uuid4())} | ({"release": release} if release else {})
        owner_page.post(at("lay_forget", project, fabric), post)
        assert not KeptLay.objects.exists()
        assert balances.reserved_for(roll, project) == (takes if left else METRE)


def test_a_lay_refused_in_a_race_names_what_can_be_typed(owner_page: Client) -> None:
    form = KeepLayForm(workroom=Workroom.load(), stock=())
    error = stock.StockError("{asked} of {there}", asked=2_000_300_001, there=1_999_800_001)
    assert error.text(form.at_least, form.at_most) == "2.001 m of 1.999 m"
