"""Stages and steps of a studio's own in files: planned as before, put with those that are here."""

import html
import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from random import Random
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.activities import logs, own_steps, panels, steps
from projects.activities.exchange import Unreadable, bring_project, project_text, read_file
from projects.activities.exchange.own_work import Stages, bring_stages, read_stage
from projects.activities.exchange.staying import differences, said_of
from projects.activities.exchange.values import Ids
from projects.models import (
    Deletion,
    LabourLog,
    LabourTotal,
    OwnStage,
    Person,
    Project,
    Step,
    StepTemplate,
    Workroom,
)
from projects.planning import plan_project
from projects.planning.export import plan_text
from projects.planning.first_budget import budget_of, read_budget
from projects.planning.stages import FIRST, all_stages
from tests import make

from .test_round_trip import Undo, bring, differing, taken_out

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
DAY = {"on": "2026-03-01", "minutes": "90.00", "stages": {}}


def work(*, ticked: bool = True) -> Project:
    """A pair of fronts with steps of the studio's own, some of them done, and hours in a stage of its own."""
    wren = make.person("wren", shown_name="Wren", role=Person.OWNER)
    beads = make.own_stage("Sew on beads", after="press")
    fitting = make.own_stage("Fit", after=make.own_stage("Not used", after="make_up").key)
    make.template("Thread the beads", stage=beads.key, per_panel=True, minutes=Decimal("7.50"))
    make.template("Oil the machine", stage="texture", at_start=True, detail="One drop.")
    make.template("Set in the lining", kind="accessory")
    project = make.project("Lantern gown")
    front = make.piece(project, fabric=make.fabric(), version=make.version(), count=2, mirrored=True)
    panels.sync_panels(front)
    if ticked:
        tick(project, "Thread the beads", wren)
        steps.add_own(project=project, title="Second fitting", stage=fitting.key, minutes=Decimal(30))
        log(project, fitting.key, wren)
    return Project.objects.get(pk=project.pk)


def tick(project: Project, title: str, person: Person) -> str:
    found = next(s for s in plan_project(project).steps if s.title.startswith(title) and s.state == "open")
    steps.tick(project=project, key=found.key, person=person, now=NOW)
    return found.key


def log(project: Project, stage: str, person: Person) -> None:
    logs.log_by_hand(
        person=person, entered_by=person, project=project, stage=stage, on=date(2026, 3, 3), minutes=45,
        step=None, note="",
    )  # fmt: skip


@pytest.fixture
def gone(workroom: object) -> tuple[str, str]:
    """The file and the plan of a project whose studio is no more."""
    files, plans = taken_out(work)
    return next(iter(files.values())), next(iter(plans.values()))


def of(project: Project, title: str) -> list[Any]:
    found = plan_project(Project.objects.get(pk=project.pk)).steps
    return [step for step in found if step.title.startswith(title)]


def test_a_project_has_its_own_stages_and_steps_in_an_empty_studio(gone: tuple[str, str]) -> None:
    text, plan = gone
    file = json.loads(text)
    assert [stage["title"] for stage in file["stages"]] == ["Sew on beads", "Fit"], "what it names, no more"
    assert [(stage["after"], stage["removed"]) for stage in file["stages"]] == [
        ("press", False), ("make_up", False),
    ]  # fmt: skip
    assert [row["title"] for row in file["templates"]] == ["Thread the beads", "Oil the machine"]
    make.template("Of this studio"), make.template("Another", stage="cut")
    project = bring(text)
    assert differing(plan_text(plan_project(project)), plan) == []
    assert [s.state for s in of(project, "Thread the beads")] == ["done", "open"]
    assert {stage.title for stage in all_stages() if stage.own} == {"Sew on beads", "Fit"}
    fit = OwnStage.objects.get(title="Fit")
    assert LabourLog.objects.get(project=project).stage == LabourTotal.objects.get().stage == fit.key
    assert StepTemplate.objects.count() == 2, "no other project gets them"


def test_the_file_says_the_same_again(gone: tuple[str, str]) -> None:
    first, again = json.loads(gone[0]), json.loads(project_text(bring(gone[0])))
    assert [key for key in first if first[key] != again[key]] == []


def test_untouched_steps_can_be_worked_on_where_they_came_to(gone: tuple[str, str], owner: Person) -> None:
    project = bring(gone[0])
    make.template("Thread the beads", per_panel=True, minutes=Decimal(99))
    tick(project, "Oil the machine", owner)
    assert [s.state for s in of(project, "Oil the machine")] == ["done"]
    front = project.pieces.get()
    front.count = 4
    front.save()
    panels.sync_panels(front)
    found = of(project, "Thread the beads")
    assert [s.state for s in found] == ["done", "open", "open", "open"], "new panels get them too"
    assert {s.minutes for s in found} == {Decimal("7.50")}


def test_a_stage_of_the_same_title_is_used_and_it_says_so(gone: tuple[str, str]) -> None:
    here = make.own_stage("fit", after="cut")
    brought = bring_project(read_file(gone[0].encode()), person=None, own=True)
    assert brought.project and LabourLog.objects.get(project=brought.project).stage == here.key
    assert OwnStage.objects.filter(title__iexact="fit").count() == 1
    said = " ".join(said_of(brought))
    assert "Sew on beads" in said and "made" in said
    assert "Fit comes after “Cut the panels” here, in the file after “Make up”" in said


def test_the_page_says_which_stages_are_here_and_asks_which_steps_to_plan_with(
    gone: tuple[str, str], owner_page: Client
) -> None:
    make.own_stage("fit")
    sent = SimpleUploadedFile("p.json", gone[0].encode(), "application/json")
    answer = owner_page.post(reverse("project_import"), {"file": sent})
    page = html.unescape(owner_page.get(answer["Location"]).content.decode())
    assert "Sew on beads: made here" in page and "Fit: this studio's stage" in page
    assert "Thread the beads, Oil the machine" in page and 'value="file"' in page
    done = owner_page.post(answer["Location"], {"use": "file", "op": ""}, follow=True)
    said = html.unescape(done.content.decode())
    assert "Stages that this studio lacked were made: Sew on beads." in said


def test_nothing_is_asked_where_projects_here_get_the_same_steps(workroom: object) -> None:
    file = read_file(project_text(work(ticked=False)).encode())
    assert differences(file, Workroom.load(), timezone.localdate()) == []
    StepTemplate.objects.filter(title="Oil the machine").update(detail="Two drops.")
    [found] = differences(file, Workroom.load(), timezone.localdate())
    assert found.title == "Steps that projects get"


def test_a_stage_removed_where_it_comes_from_is_only_a_title(workroom: object) -> None:
    def build() -> None:
        project = work()
        own_steps.remove_stage(OwnStage.objects.get(title="Fit"), person=make.person("ash"))
        assert of(project, "Second fitting")

    [text], [plan] = (list(found.values()) for found in taken_out(build))
    assert [(s["title"], s["removed"]) for s in json.loads(text)["stages"]][-1] == ("Fit", True)
    project = bring(text)
    assert differing(plan_text(plan_project(project)), plan) == []
    assert not OwnStage.objects.live().filter(title="Fit").exists()
    assert Deletion.objects.filter(what__startswith="the stage Fit").exists()
    fit = make.own_stage("Fit")
    again = bring(text)
    assert not LabourLog.objects.filter(project=again, stage=fit.key).exists(), "the removed one is nearer"


def test_back_in_its_own_studio_a_tick_is_a_tick_of_its_own_step(workroom: object) -> None:
    """By the file and by the studio; where a template is gone meanwhile, what was done stays."""
    text = project_text(work())
    for own in (True, False):
        brought = bring(text, own=own)
        assert [s.state for s in of(brought, "Thread the beads")] == ["done", "open"]
        assert len(of(brought, "Oil the machine")) == 1
        assert all(s.in_plan for s in of(brought, ""))
    StepTemplate.objects.all().delete()
    brought = bring(text, own=False)
    [step] = of(brought, "Thread the beads")
    assert (step.state, step.in_plan) == ("done", False)
    assert not of(brought, "Oil the machine")


def test_a_key_of_another_studio_meets_no_template_of_this_one(workroom: object) -> None:
    """Nor where the file is of a format from before templates travelled."""
    [text] = taken_out(work)[0].values()
    given: Any = older(json.loads(text))
    others = [make.template(f"Step {n}", per_panel=True, stage="press") for n in range(12)]
    for row in given["steps"]:
        row["key"] = row["key"] and row["key"].replace(":t1:", f":t{others[5].pk}:")
    for file in (json.loads(text), given):
        project = bring(json.dumps(file), own=False)
        done = [s for s in of(project, "") if s.state == "done"]
        assert [(s.title, s.in_plan) for s in done] == [("Thread the beads: Front, left", False)]


def older(file: dict[str, Any]) -> dict[str, Any]:
    """The file as format 3 had it: what was done in own stages under the one before."""
    roots = {stage["id"]: stage["after"] for stage in file["stages"]}
    for rows in ("steps", "hours"):
        file[rows] = [{**row, "stage": roots.get(row["stage"], row["stage"])} for row in file[rows]]
    for name in ("stages", "templates", "hands"):
        del file[name]
    del file["project"]["first_budget"]
    return file | {"format": 3}


def test_a_file_of_format_3_is_read(gone: tuple[str, str]) -> None:
    project = bring(json.dumps(older(json.loads(gone[0]))))
    assert not OwnStage.objects.exists() and not of(project, "Oil the machine")
    assert LabourLog.objects.get(project=project).stage == "make_up"
    assert project.first_budget == {}, "it was begun, and nobody kept it"
    assert Step.objects.get(project=project, title="Second fitting").stage == "make_up"


@pytest.mark.usefixtures("midday")
def test_the_budget_a_project_began_with_comes_along(workroom: object) -> None:
    """Also what own stages had of it; from a file of format 3, begun or not, nobody knows it."""
    made = work(ticked=False)
    plan = plan_project(made)
    Project.objects.filter(pk=made.pk).update(first_budget=budget_of(plan, NOW.date()))
    text = project_text(Project.objects.get(pk=made.pk))
    assert "o1" in json.loads(text)["project"]["first_budget"]["stages"]
    OwnStage.objects.all().delete()
    brought = bring(text)
    known = read_budget(brought.first_budget)
    beads = OwnStage.objects.get(title="Sew on beads")
    assert known and (known.on, known.minutes) == (NOW.date(), plan.minutes)
    assert known.stages[beads.key] == Decimal(15) and "own-" not in text
    assert brought.in_hand_from == timezone.localdate(), "nobody here could work on it before"
    file = json.loads(text)
    assert json.loads(project_text(brought))["project"] == {**file["project"], "number": brought.number}
    for first in (None, {}):
        given = {**file, "project": {**file["project"], "first_budget": first}}
        assert bring(json.dumps(given)).first_budget == first
    assert bring(json.dumps(older(json.loads(text)))).first_budget is None


def test_two_stages_of_a_file_that_are_one_here_keep_the_minutes_of_both(gone: tuple[str, str]) -> None:
    file = json.loads(gone[0])
    own = next(stage["id"] for stage in file["stages"])
    file["stages"][0]["title"] = "Cut the panels"
    first = {"on": "2026-03-01", "minutes": "15.00", "stages": {"cut": "5.00", own: "10.00"}}
    file["project"]["first_budget"] = first
    known = read_budget(bring(json.dumps(file)).first_budget)
    assert known and known.stages == {"cut": Decimal(15)}


def test_a_stage_removed_here_takes_the_steps_of_a_file_with_it(gone: tuple[str, str], owner: Person) -> None:
    project = bring(gone[0])
    own_steps.remove_stage(OwnStage.objects.get(title="Sew on beads"), person=owner)
    assert [s.state for s in of(project, "Thread the beads")] == ["done"]


@pytest.mark.parametrize(
    ("path", "value", "wanted"),
    [
        ("stages.0.after", "o2", "stages[0].after: The text “o2” was given, the id of a stage that"),
        ("stages.0.after", "o1", "stages[0].after"),
        ("stages.0.title", "", "stages[0].title: An empty text was given"),
        ("stages.0.id", "t1", "stages[0].id"),
        ("stages.1.title", "sew on BEADS ", "stages: The same title twice"),
        ("stages.0.removed", 0, "stages[0].removed"),
        ("templates.0.stage", "own-1", "templates[0].stage"),
        ("templates.0.stage", "", "templates[0].stage"),
        ("templates.0.minutes", "-1.00", "templates[0].minutes"),
        ("templates.0.kind", "hat", "templates[0].kind"),
        ("steps.0.stage", "o9", "steps[0].stage"),
        ("steps.0.key", "p1.1:t9::1", "steps[0].key"),
        ("steps.0.key", "p1.1:came1::1", "steps[0].key"),
        ("project.0.first_budget", {"on": "soon", "minutes": "1", "stages": {}}, "project.first_budget.on"),
        ("project.0.first_budget", {"on": "2026-03-01"}, "project.first_budget.minutes: Nothing"),
        ("project.0.first_budget", DAY | {"stages": {"o9": "1"}}, "project.first_budget.stages"),
        ("project.0.first_budget", DAY | {"stages": {"cut": 1}}, "project.first_budget.stages.cut"),
        ("project.0.first_budget", DAY | {"stages": []}, "project.first_budget.stages"),
        ("project.0.first_budget", DAY | {"minutes": "-5"}, "project.first_budget.minutes: The text “-5”"),
        ("project.0.first_budget", DAY | {"stages": {"cut": "-1"}}, "project.first_budget.stages.cut"),
        ("project.0.first_budget", 5, "project.first_budget: 5 was given"),
        ("hours.0.stage", ["o1"], "hours[0].stage: A list of 1 entries was given"),
    ],
)
def test_what_can_not_be_is_refused_and_nothing_saved(
    gone: tuple[str, str], path: str, value: Any, wanted: str
) -> None:
    given: Any = json.loads(gone[0])
    rows, number, name = path.split(".")
    (given[rows] if rows == "project" else given[rows][int(number)])[name] = value
    with pytest.raises(Unreadable) as caught:
        bring(json.dumps(given))
    assert str(caught.value).startswith(wanted)
    assert not Project.objects.exists() and not OwnStage.objects.exists()


def trees(seed: int) -> Iterator[OwnStage]:
    """Stages behind stages, some of them removed, moved so that a later one may come before an earlier."""
    random, keys = Random(seed), [FIRST, "cut", "press", "finish"]
    made = []
    for number in range(7):
        made.append(make.own_stage(f"Stage {number}", after=random.choice(keys)))
        keys.append(made[-1].key)
    for row in made:
        after = random.choice(keys)
        if random.random() < 0.4 and after not in own_steps.behind(row.key):
            OwnStage.objects.filter(pk=row.pk).update(after=after)
    make.deletion(*random.sample(made, 2))
    yield from random.sample(made, random.randint(1, 7))


@given(st.integers(0, 10_000))
@settings(derandomize=True, max_examples=12, deadline=None)
def test_stages_stand_in_the_same_order_wherever_they_come_to(seed: int) -> None:
    """Whichever of them a project names."""
    try:
        with transaction.atomic():
            used = {row.key for row in trees(seed)}
            wanted = [(s.title, s.root, s.gone) for s in all_stages() if s.key in used]
            written = Stages(used).written
            OwnStage.objects.all().delete()
            ids = Ids("stages", "o")
            bring_stages([read_stage(f"stages[{n}]", row, ids) for n, row in enumerate(written)], None)
            assert [(s.title, s.root, s.gone) for s in all_stages() if s.own] == wanted
            raise Undo
    except Undo:
        pass
