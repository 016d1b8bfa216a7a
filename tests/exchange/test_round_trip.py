"""Out of one studio and into an empty one: the plan is the same to the last byte."""

import difflib
import json
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from typing import Any

import pytest
from django.db import transaction

from projects.activities.demo import load_demo
from projects.activities.exchange import bring_project, project_text, read_file
from projects.calc.ratio import RATIO_TECHNIQUES
from projects.models import Edge, LabourLog, LabourTotal, Person, Project, Workroom
from tests import make

from .studios import Studio, decoys, plans

pytestmark = pytest.mark.django_db
SEEDS = range(8)
DEMO = {
    "Concert coat": "tucks",
    "Lamplighter's capelet": "knife",
    "Velvet evening bag": "lattice",
    "Christening gown yoke": "corded",
}
"""The projects of the demo studio, each with a technique that it shows."""


class Undo(Exception):
    pass


def taken_out(build: Any) -> tuple[dict[int, str], dict[int, str]]:
    """The files and the plans of every project of a studio that is gone afterwards."""
    files: dict[int, str] = {}
    wanted: dict[int, str] = {}
    try:
        with transaction.atomic():
            build()
            files = {p.number: project_text(p) for p in Project.objects.live().order_by("number")}
            wanted = plans()
            raise Undo
    except Undo:
        return files, wanted


@cache
def seeded(seed: int) -> tuple[dict[int, str], dict[int, str]]:
    """Files and plans of three projects; made once, since no row of theirs stays."""
    return taken_out(lambda: Studio(seed))


def bring(text: str, **values: Any) -> Project:
    project = bring_project(read_file(text.encode()), person=None, **{"own": True, **values}).project
    assert project is not None
    return project


def test_the_studios_hold_every_technique_every_finish_and_what_was_cut_of_them() -> None:
    found = [json.loads(text) for seed in SEEDS for text in seeded(seed)[1].values()]
    pieces = [piece for plan in found for piece in plan["pieces"] if piece["panels"]]
    cut = {t for piece in pieces if any(p["cut"] for p in piece["panels"]) for t in techniques(piece)}
    assert {t for piece in pieces for t in techniques(piece)} >= {*RATIO_TECHNIQUES, "knife", "box", "corded"}
    assert len(cut & set(RATIO_TECHNIQUES)) >= 5 and cut >= {"tucks", "knife", "box", "corded"}
    finishes = {finish for finish, _ in Edge.FINISHES}
    assert {edge["finish"] for plan in found for p in plan["pieces"] for edge in p["edges"]} == finishes
    assert any(plan["bindings"] for plan in found) and any(plan["thread"] for plan in found)


def techniques(piece: dict[str, Any]) -> Iterator[str]:
    """Of a piece of a plan, as it is planned now."""
    content = piece["content"] or {}
    yield from (content[k]["technique"] for k in ("across", "along", "ratio") if content.get(k))


@pytest.mark.parametrize("seed", SEEDS)
def test_every_project_is_planned_as_before_in_an_empty_studio(seed: int) -> None:
    files, wanted = seeded(seed)
    assert len(files) == 3
    decoys()
    for number, text in files.items():
        assert differing(alone(text)[number], wanted[number]) == []


def alone(text: str) -> dict[int, str]:
    """The plan of a project that is taken out again."""
    found: dict[int, str] = {}
    with suppress(Undo), transaction.atomic():
        bring(text)
        found = plans()
        raise Undo
    return found


def differing(found: str, wanted: str) -> list[str]:
    """The first lines that differ, so that a failure can be read."""
    lines = difflib.unified_diff(wanted.splitlines(), found.splitlines(), lineterm="", n=1)
    return list(lines)[:30] if found != wanted else []


@pytest.mark.parametrize("seed", SEEDS)
def test_projects_that_share_cloth_are_planned_as_before_one_after_the_other(seed: int) -> None:
    files, wanted = seeded(seed)
    decoys()
    for text in files.values():
        bring(text)
    now = plans()
    assert [line for number in wanted for line in differing(now[number], wanted[number])] == []


@pytest.mark.parametrize("seed", range(4))
def test_what_came_in_goes_out_the_same(seed: int) -> None:
    """The file of a project that came with a file says the same of it."""
    files, _ = taken_out(lambda: Studio(seed, projects=1))
    make.workroom(currency="GBP")
    decoys()
    [text] = files.values()
    again = json.loads(project_text(bring(text)))
    first = json.loads(text)
    assert [key for key in first if first[key] != again[key]] == []


def test_the_demo_is_planned_as_before() -> None:
    files, wanted = taken_out(lambda: load_demo(owner_password="demo"))
    all_of_the_demo(wanted)
    decoys()
    for text in files.values():
        bring(text)
    now = plans()
    assert [line for number in wanted for line in differing(now[number], wanted[number])] == []


def all_of_the_demo(wanted: dict[int, str]) -> None:
    """All four projects are there, whole: nothing in them that can't be planned."""
    found = {plan["project"]["title"]: plan for plan in map(json.loads, wanted.values())}
    assert found.keys() == DEMO.keys()
    for title, technique in DEMO.items():
        pieces = found[title]["pieces"]
        assert technique in {t for piece in pieces for t in techniques(piece)}
        assert all(piece["panels"] and not piece["problem"] for piece in pieces)


def test_hours_come_under_names_and_no_account_is_made() -> None:
    files, _ = taken_out(lambda: Studio(3))
    people = Person.objects.count()
    hours = [log for text in files.values() for log in json.loads(text)["hours"]]
    for text in files.values():
        bring(text)
    assert Person.objects.count() == people and hours
    assert LabourLog.objects.filter(person=None).count() == len(hours)
    assert sum(LabourTotal.objects.values_list("minutes", flat=True)) == sum(h["minutes"] for h in hours)
    assert set(LabourTotal.objects.values_list("worker", flat=True)) <= {"Wren", "Moss"}


def test_with_the_studios_own_settings_it_is_planned_by_them() -> None:
    files, wanted = taken_out(lambda: Studio(5, projects=1))
    make.workroom(squaring=33_000_000, currency="GBP")
    project = bring(next(iter(files.values())), own=False)
    assert plans()[project.number] != wanted[project.number]
    assert project.own_settings and not project.own_settings["used"]
    Project.objects.filter(pk=project.pk).update(own_settings={**project.own_settings, "used": True})
    assert plans() == wanted
    assert Workroom.load().squaring == 33_000_000


def test_the_client_stays_behind() -> None:
    def build() -> None:
        client = make.client("Harbour Players", reference="HPX", email="h@example.org", notes="Left-handed")
        make.piece(make.project(client=client, client_note="Dear players"))

    [text] = taken_out(build)[0].values()
    for word in ("Harbour", "HPX", "example.org", "Left-handed", "Dear players"):
        assert word not in text
