"""Panels booked as cut from an accepted lay: the panel, its cloth off the length once, and both back."""

import uuid
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from projects.activities import balances, stock
from projects.activities.lays import accept
from projects.activities.panels import sync_panels
from projects.models import ClothLength, Fabric, KeptLay, Panel, Person, Project, Step
from projects.planning import plan_project
from projects.planning.lay_places import places_of, stretches_of
from tests import make
from tests.cloth.posts import METRE, MM


def kept_coat(page: Client, **fabric: Any) -> tuple[Project, Fabric, ClothLength]:
    """Two fronts side by side in one stretch, a back in another, kept on a length."""
    project, cloth = make.project(), make.fabric(**fabric)
    for piece in (
        make.piece(project, name="Front", count=2, mirrored=True, fabric=cloth),
        make.piece(project, name="Back", across=1_200 * MM, fabric=cloth),
    ):
        sync_panels(piece)
    roll = make.length(cloth, received=9 * METRE)
    accept(project=project, fabric=cloth, seen=None, person=make.anybody(), cloth=roll)
    return project, cloth, roll


def by_piece(page: Client, verb: str, project: Project, fabric: Fabric, name: str) -> HttpResponse:
    panel = Panel.objects.get(piece__project=project, name=name)
    address = reverse(f"panel_{verb}", args=[panel.piece_id, panel.pk])
    return page.post(address, {"op": str(uuid.uuid4())})


def state(roll: ClothLength, project: Project) -> tuple[int, int]:
    return balances.on_shelf(roll), balances.reserved_for(roll, project)


def test_stretches_are_end_to_end_and_each_place_lies_in_one(owner_page: Client) -> None:
    project, fabric, _ = kept_coat(owner_page)
    plan = plan_project(project)
    lay = plan.fabrics[0].lay
    found = stretches_of(lay)
    assert [s.start for s in found] == [0, *(s.end for s in found[:-1])] and found[-1].end == lay.length
    by = {s.number: s for s in found}
    places = places_of(plan, fabric.pk)
    assert len({p.panel_id for p in places}) == 3 and None not in {p.panel_id for p in places}
    for p in places:
        s = by[p.stretch]
        assert s.start <= p.placed.y and p.placed.y + p.placed.length <= s.end
    fronts = {p.stretch for p in places if p.panel.startswith("Front")}
    assert len(fronts) == 1 and len(found) == 2


def test_the_first_cut_takes_what_the_lay_takes_and_no_other_takes_more(owner_page: Client) -> None:
    project, fabric, roll = kept_coat(owner_page, shrink_along=Decimal("0.037"))
    takes = balances.reserved_for(roll, project)
    assert takes > KeptLay.objects.get().length
    by_piece(owner_page, "cut", project, fabric, "Front, left")
    after = state(roll, project)
    assert after[0] < 9 * METRE and 9 * METRE - after[0] == takes - after[1]
    assert Panel.objects.get(name="Front, left").cut_at
    by_piece(owner_page, "cut", project, fabric, "Front, right")
    assert state(roll, project) == after, "what the lay uses is off the length already"
    by_piece(owner_page, "cut", project, fabric, "Back")
    assert state(roll, project) == (9 * METRE - takes, 0)
    assert Panel.objects.filter(cut_at=None).count() == 0


def test_taking_it_back_reverses_both_by_lines_that_stay(owner_page: Client) -> None:
    project, fabric, roll = kept_coat(owner_page)
    before, lines = state(roll, project), roll.entries.count()
    by_piece(owner_page, "cut", project, fabric, "Front, left")
    by_piece(owner_page, "cut", project, fabric, "Front, right")
    taken = state(roll, project)
    by_piece(owner_page, "uncut", project, fabric, "Front, left")
    assert state(roll, project) == taken, "the other front is still cut"
    assert Panel.objects.get(name="Front, left").cut_at is None
    by_piece(owner_page, "uncut", project, fabric, "Front, right")
    assert state(roll, project) == taken, "the back came free with the same cuts and is still cut"
    by_piece(owner_page, "uncut", project, fabric, "Back")
    assert state(roll, project) == before
    assert roll.entries.count() == lines + 4, "released and cut, counted and reserved"
    assert not KeptLay.objects.get().cuts.exists()
    by_piece(owner_page, "cut", project, fabric, "Front, right")
    assert state(roll, project) == taken, "it can be cut again"


def test_a_doubled_post_takes_once(owner_page: Client) -> None:
    project, fabric, roll = kept_coat(owner_page)
    panel = Panel.objects.get(name="Back")
    address = reverse("panel_cut", args=[panel.piece_id, panel.pk])
    data = {"op": str(uuid.uuid4())}
    for _ in range(2):
        assert owner_page.post(address, data).status_code == 303
    owner_page.post(address, {"op": str(uuid.uuid4())})
    assert roll.entries.filter(kind="cut").count() == 1


def test_strangers_panels_are_not_found(owner_page: Client) -> None:
    project, _, _ = kept_coat(owner_page)
    other = make.piece(make.project("Other"), name="Else")
    sync_panels(other)
    front = Panel.objects.get(piece__project=project, name="Front, left")
    for verb in ("cut", "uncut"):
        address = reverse(f"panel_{verb}", args=[front.piece_id, other.panels.get().pk])
        assert owner_page.post(address).status_code == 404
        assert owner_page.get(address).status_code == 405


def by_step(page: Client, verb: str, project: Project, fabric: Fabric, name: str) -> HttpResponse:
    steps = plan_project(project).steps
    key = next(step.key for step in steps if step.kind == "cut" and step.panel == name)
    data = {"key": key} | ({"state": "open"} if verb == "uncut" else {})
    return page.post(reverse("step_tick", args=[project.pk]), data)


PLACES = [by_piece, by_step]


@pytest.mark.parametrize("undo", PLACES)
@pytest.mark.parametrize("mark", PLACES)
def test_wherever_it_is_marked_the_same_cloth_goes_and_comes_back(
    owner_page: Client, mark: Callable[..., HttpResponse], undo: Callable[..., HttpResponse]
) -> None:
    project, fabric, roll = kept_coat(owner_page, shrink_along=Decimal("0.037"))
    before = state(roll, project)
    takes = before[1]
    assert mark(owner_page, "cut", project, fabric, "Front, left").status_code == 303
    taken = state(roll, project)
    assert taken[0] < before[0] and before[0] - taken[0] == before[1] - taken[1]
    mark(owner_page, "cut", project, fabric, "Front, left")
    mark(owner_page, "cut", project, fabric, "Front, right")
    assert state(roll, project) == taken, "what the lay uses is off the length already"
    mark(owner_page, "cut", project, fabric, "Back")
    assert state(roll, project) == (9 * METRE - takes, 0)
    undo(owner_page, "uncut", project, fabric, "Front, left")
    assert state(roll, project) == (9 * METRE - takes, 0), "the other front is still cut"
    undo(owner_page, "uncut", project, fabric, "Front, right")
    undo(owner_page, "uncut", project, fabric, "Back")
    assert state(roll, project) == before
    assert balances.recount(mend=False) == []
    mark(owner_page, "cut", project, fabric, "Front, right")
    assert state(roll, project) == taken, "it can be cut again"


def texts(answer: HttpResponse) -> str:
    return " ".join(str(m) for m in get_messages(answer.wsgi_request))


@pytest.mark.parametrize("mark", PLACES)
def test_what_was_taken_is_said(owner_page: Client, mark: Callable[..., HttpResponse]) -> None:
    project, fabric, roll = kept_coat(owner_page)
    said = texts(mark(owner_page, "cut", project, fabric, "Back"))
    taken = 9 * METRE - balances.on_shelf(roll)
    assert f"{taken / METRE:.2f} m taken off {roll}" in said
    assert f"went back to {roll}" in texts(mark(owner_page, "uncut", project, fabric, "Back"))


def test_with_htmx_the_list_of_steps_says_it(owner_page: Client) -> None:
    project, _, roll = kept_coat(owner_page)
    key = next(s.key for s in plan_project(project).steps if s.kind == "cut" and s.panel == "Back")
    address = reverse("step_tick", args=[project.pk])
    text = owner_page.post(address, {"key": key}, headers={"HX-Request": "true"}).content.decode()
    assert f"taken off {roll}" in text


@pytest.mark.parametrize("mark", [by_piece, by_step])
def test_too_little_on_the_length_refuses_it_everywhere(
    owner_page: Client, owner: Person, mark: Callable[..., HttpResponse]
) -> None:
    project, fabric, roll = kept_coat(owner_page)
    stock.release(row=roll, project=project, amount=balances.reserved_for(roll, project), person=owner)
    stock.count(row=roll, total=10 * MM, person=owner)
    answer = mark(owner_page, "cut", project, fabric, "Back")
    assert "is there" in texts(answer) + answer.content.decode()
    assert Panel.objects.get(name="Back").cut_at is None and balances.on_shelf(roll) == 10 * MM
    assert not Step.objects.filter(state="done").exists()


@pytest.mark.parametrize("mark", [by_piece, by_step])
@pytest.mark.parametrize("gone", ["forgotten", "to buy", "deleted"])
def test_without_a_lay_on_a_length_the_panel_alone_is_booked_and_that_is_said(
    owner_page: Client, mark: Callable[..., HttpResponse], gone: str
) -> None:
    project, fabric, roll = kept_coat(owner_page)
    if gone == "forgotten":
        KeptLay.objects.all().delete()
    elif gone == "to buy":
        KeptLay.objects.update(cloth=None)
    else:
        make.deletion(roll)
    before = state(roll, project)
    assert "nothing was taken off" in texts(mark(owner_page, "cut", project, fabric, "Back"))
    assert Panel.objects.get(name="Back").cut_at is not None and state(roll, project) == before
    assert "nothing went back" in texts(mark(owner_page, "uncut", project, fabric, "Back"))
    assert Panel.objects.get(name="Back").cut_at is None
