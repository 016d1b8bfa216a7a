"""Out of one studio and into an empty one: the plan is the same to the last byte."""

import difflib
import json
from contextlib import suppress
from typing import Any

import pytest
from django.db import transaction

from projects.activities.demo import load_demo
from projects.activities.exchange import bring_project, project_text, read_file
from projects.models import LabourLog, LabourTotal, Person, Project, Workroom
from tests import make

from .studios import Studio, decoys, plans

pytestmark = pytest.mark.django_db


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


def bring(text: str, **values: Any) -> Project:
    project = bring_project(read_file(text.encode()), person=None, **{"own": True, **values}).project
    assert project is not None
    return project


@pytest.mark.parametrize("seed", range(12))
def test_every_project_is_planned_as_before_in_an_empty_studio(seed: int) -> None:
    files, wanted = taken_out(lambda: Studio(seed))
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


@pytest.mark.parametrize("seed", range(12))
def test_projects_that_share_cloth_are_planned_as_before_one_after_the_other(seed: int) -> None:
    files, wanted = taken_out(lambda: Studio(seed))
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
    assert len(files) >= 2
    decoys()
    for text in files.values():
        bring(text)
    assert plans() == wanted


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
