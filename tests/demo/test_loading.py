"""Loading the demo: only into an empty studio, the same each time, gone when somebody starts their own."""

from datetime import UTC, datetime

import pytest
from django.apps import apps

from projects.activities import starting_own
from projects.activities.demo import load_demo
from projects.activities.demo.load import NotEmpty
from projects.models import LabourLog, Person, Project, StockEntry, Workroom
from projects.planning import plan_project
from tests import make

NOW = datetime(2026, 3, 18, 11, 0, tzinfo=UTC)
OWN = {"name": "Mill Studio", "username": "me", "shown_name": "Me", "password": "linen voile at noon"}


def test_the_same_moment_gives_the_same_studio(db: None) -> None:
    load_demo(owner_password="demo", now=NOW)
    first = figures()
    starting_own.start_own(**OWN)
    Person.objects.all().delete()
    Workroom.objects.all().delete()
    load_demo(owner_password="demo", now=NOW)
    assert figures() == first


def figures() -> list[object]:
    plans = [plan_project(project) for project in Project.objects.order_by("number")]
    lines = [line for plan in plans for piece in plan.pieces for line in piece.panels]
    return [
        [(line.name, line.plan.cut_width, line.plan.cut_length) for line in lines],
        [(step.title, step.state, step.minutes) for plan in plans for step in plan.steps],
        [(fabric.name, fabric.need, fabric.buy) for plan in plans for fabric in plan.fabrics],
        list(LabourLog.objects.order_by("pk").values_list("date", "minutes", "stage", "note")),
        list(StockEntry.objects.order_by("pk").values_list("at", "kind", "amount")),
    ]


def test_a_studio_with_people_is_left_alone(db: None) -> None:
    make.person("somebody")
    with pytest.raises(NotEmpty):
        load_demo(owner_password="demo", now=NOW)
    assert not Project.objects.exists() and not Workroom.load().is_demo


def test_a_studio_that_was_claimed_is_left_alone(workroom: Workroom) -> None:
    with pytest.raises(NotEmpty):
        load_demo(owner_password="demo", now=NOW)
    assert not Person.objects.exists()


def test_starting_ones_own_clears_it(db: None) -> None:
    load_demo(owner_password="demo", now=NOW)
    starting_own.start_own(**OWN)
    models = apps.get_app_config("projects").get_models()
    left = {model.__name__: model._base_manager.count() for model in models}
    assert {name: count for name, count in left.items() if count} == {"Person": 1, "Workroom": 1}
    assert not Workroom.load().is_demo
