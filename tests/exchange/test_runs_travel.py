"""Runs at the bench in files: what was tapped, measured and asked comes to the same; files of format 2."""

import json
import uuid
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from projects.activities import bench
from projects.activities.exchange import Unreadable, project_text, read_file
from projects.activities.exchange.staying import differences
from projects.activities.panels import sync_panels
from projects.models import (
    BenchFact,
    HandChange,
    LabourLog,
    LearnedRate,
    Person,
    Piece,
    Project,
    Run,
    Workroom,
)
from projects.planning import plan_project
from projects.planning.hands import spreads, spreads_for
from projects.planning.runs import runs_of
from tests import make
from tests.exchange.test_lays_travel import bring

pytestmark = pytest.mark.django_db
NOW = timezone.now().replace(microsecond=250_000) - timedelta(days=1)
CURVE = {"driver": "curve", "technique": "texture", "mean": 0.8, "variance": 0.0, "steps": 1}


def worked_on() -> Project:
    """A piece with a run of which some is sewn, one tuck taken back, one measured, a guide moved."""
    project = make.project("Coat", kind="accessory")
    piece = make.piece(project, fabric=make.fabric(), version=make.version(), work_order="centre")
    sync_panels(piece)
    wren = make.person("wren", shown_name="Wren", role=Person.OWNER)
    run = next(run for run in runs_of(plan_project(project)) if run.count > 4)
    first, second, third = (unit.number for unit in run.units[:3])
    facts = [
        {"kind": "sewn", "unit": first, "also": [second]},
        {"kind": "sewn", "unit": third},
        {"kind": "undo", "undoes": 1},
        {"kind": "sewn", "unit": third},
        {"kind": "check", "unit": third, "near": "41", "far": "200"},
        {"kind": "guide", "asked": {"guide": -500_000}},
        {"kind": "correct", "asked": {"steps": {str(run.units[3].number): 500_000}, "spaces": {}}},
        {"kind": "note", "unit": third, "text": "thread changed"},
    ]
    ops = [str(uuid.UUID(int=1_000 + number)) for number in range(len(facts))]
    for number, fact in enumerate(facts):
        fact |= {"op": ops[number], "at": (NOW + timedelta(seconds=number)).isoformat()}
        fact["undoes"] = ops[fact["undoes"]] if "undoes" in fact else None
    done = bench.record(project=project, key=run.key, facts=facts, person=wren, now=NOW + timedelta(hours=1))
    assert not done.refused and len(done.new) == len(facts)
    return project


def says(project: Project) -> list[Any]:
    """What the facts of its runs come to, without the ids that may differ."""
    found = []
    for row in Run.objects.filter(project=project).order_by("pk"):
        look = bench.look(project=project, key=row.key)
        state = look.state
        found.append([
            look.run is not None, row.placing, sorted(state.sewn), state.depths, state.guide, state.steps,
            [(c.unit, c.near, c.far, c.asked, c.at) for c in state.checks], [n.text for n in state.notes],
        ])  # fmt: skip
    return found


def test_a_run_comes_to_the_same_in_another_studio(workroom: object) -> None:
    project = worked_on()
    wanted, text = says(project), project_text(project)
    assert len(wanted) == 1 and len(wanted[0][2]) == 3 and wanted[0][6]
    people = Person.objects.count()
    brought = bring(text)
    assert says(brought) == wanted
    assert (brought.kind, brought.pieces.get().work_order) == ("accessory", "centre")
    assert Person.objects.count() == people, "no account is made from a name"
    here = BenchFact.objects.filter(run__project=brought)
    assert {(fact.person, fact.worker) for fact in here} == {(None, "Wren")}
    assert Run.objects.get(project=brought).panel.piece.project == brought


def test_a_file_comes_in_twice_beside_its_own_project(workroom: object) -> None:
    """A fact's id is its own in the whole studio."""
    project = worked_on()
    text = project_text(project)
    first, second = bring(text), bring(text)
    assert says(first) == says(second) == says(project)
    assert BenchFact.objects.count() == 3 * len(json.loads(text)["runs"][0]["facts"])
    make.deletion(project, first, second)
    BenchFact.objects.all().delete()
    third = bring(text)
    ops = {fact["op"] for fact in json.loads(text)["runs"][0]["facts"]}
    assert {str(fact.op) for fact in BenchFact.objects.filter(run__project=third)} == ops, "they were free"


def test_what_came_in_goes_out_the_same(workroom: object) -> None:
    project = worked_on()
    make.log(Person.objects.get(username="wren"), project, rework=True)
    LearnedRate.objects.create(driver="tucks", mean=0.125, variance=0.01, steps=3)
    text = project_text(project)
    BenchFact.objects.all().delete()
    LearnedRate.objects.all().delete()
    again, first = json.loads(project_text(bring(text))), json.loads(text)
    assert [key for key in first if first[key] != again[key]] == ["project"], "its number was taken"
    assert first["hours"][0]["rework"] and first["settings"]["learned"]


def test_hours_are_planned_as_logs_of_its_own_studio_taught(workroom: object) -> None:
    project = worked_on()
    driver = next(d for step in plan_project(project).steps if step.at_bench for d, _ in step.work)
    plain = sum(step.minutes for step in plan_project(project).steps)
    rate = LearnedRate.objects.create(driver=driver, mean=0.5, variance=0.01, steps=9)
    wanted, text = [step.minutes for step in plan_project(project).steps], project_text(project)
    assert sum(wanted) > plain
    rate.delete()
    assert [step.minutes for step in plan_project(bring(text)).steps] == wanted


def test_rates_that_differ_are_told_by_those_furthest_apart(workroom: Workroom) -> None:
    project = worked_on()
    LearnedRate.objects.create(driver="tucks", mean=0.125, variance=0.01, steps=3)
    quilted = {"driver": "quilting_metres", "technique": "quilting"}
    LearnedRate.objects.create(**quilted, mean=0.2, variance=0.01, steps=3)
    file = read_file(project_text(project).encode())
    LearnedRate.objects.filter(driver="tucks").update(mean=0.5)
    [found] = [d for d in differences(file, workroom, date(2026, 3, 4)) if d.title.startswith("Rates that")]
    tucks = "tucks folded and fastened off"
    assert found.file.endswith(f", of its studio; furthest apart: {tucks} 1.13 times the minutes")
    assert found.studio.endswith(f", of this studio; {tucks} 1.65 times the minutes")
    LearnedRate.objects.filter(technique="quilting").update(mean=0.9)
    [found] = [d for d in differences(file, workroom, date(2026, 3, 4)) if d.title.startswith("Rates that")]
    assert "furthest apart: metres of quilting sewn (quilting) 1.22 times the minutes; tucks" in found.file


def test_repeats_are_planned_by_the_curve_of_its_own_studio(workroom: object) -> None:
    """Also where its logs taught nothing else, and a file from before curves travelled is read."""
    project = worked_on()
    stage = next(step.stage for step in plan_project(project).steps if step.at_bench)
    plain = [step.minutes for step in plan_project(project).steps]
    LearnedRate.objects.create(driver="curve", technique=stage, mean=0.8, variance=0, steps=20)
    Piece.objects.filter(project=project).update(count=3)
    wanted, text = [step.minutes for step in plan_project(project).steps], project_text(project)
    LearnedRate.objects.all().delete()
    brought = bring(text)
    assert [step.minutes for step in plan_project(brought).steps] == wanted
    assert len(wanted) > len(plain) and sum(wanted) != sum(s.minutes for s in plan_project(project).steps)
    assert json.loads(project_text(brought))["settings"]["learned"] == json.loads(text)["settings"]["learned"]
    older: Any = json.loads(text)
    older["settings"]["learned"] = []
    assert [s.minutes for s in plan_project(bring(json.dumps(older))).steps] != wanted


def test_checks_made_after_a_run_was_begun_move_no_marks_where_it_comes_in(workroom: object) -> None:
    project = worked_on()
    Run.objects.filter(project=project).update(begun_at=timezone.now() - timedelta(days=30))
    text = project_text(project)
    run = Run.objects.get(project=project)
    fact = BenchFact.objects.filter(run=run).first()
    for tucks, change in ((10, 9_000_000), (12, -8_000_000), (10, 7_000_000)):
        check = BenchFact.objects.create(
            run=run, op=uuid.uuid4(), kind="check", unit=1, near=1, device_at=timezone.now()
        )
        HandChange.objects.create(
            person=Person.objects.get(username="wren"), technique="tucks", fact=check, tucks=tucks,
            change=change,
        )  # fmt: skip
    brought = bring(text)
    assert Run.objects.get(project=brought).begun_at == run.begun_at
    assert spreads_for(brought) == spreads_for(project) != spreads()
    given: Any = json.loads(text)
    del given["runs"][0]["begun_at"]
    assert Run.objects.get(project=bring(json.dumps(given))).begun_at == fact.device_at


def test_a_clock_far_ahead_holds_over_no_tap_made_here(workroom: object) -> None:
    text = project_text(worked_on())
    given: Any = json.loads(text)
    facts = given["runs"][0]["facts"]
    for number, fact in enumerate(facts[2:]):
        fact["device_at"] = f"2999-01-01T00:00:{number:02}Z"
    wanted = [str(BenchFact.objects.get(op=fact["op"]).op) for fact in facts]
    BenchFact.objects.all().delete()
    brought = bring(json.dumps(given))
    found = list(BenchFact.objects.filter(run__project=brought).order_by("device_at"))
    assert [str(fact.op) for fact in found] == wanted, "in their order"
    assert all(fact.device_at <= fact.at <= timezone.now() for fact in found)


def test_a_file_of_format_2_is_read(workroom: object) -> None:
    """As it was written before there was a bench."""
    project = worked_on()
    make.log(Person.objects.get(username="wren"), project)
    given = json.loads(project_text(project)) | {"format": 2}
    del given["runs"], given["project"]["kind"], given["settings"]["learned"]
    for rows, name in (("pieces", "work_order"), ("hours", "rework")):
        assert given[rows]
        for row in given[rows]:
            del row[name]
    brought = bring(json.dumps(given))
    assert (brought.kind, brought.pieces.get().work_order) == ("garment", "")
    assert not Run.objects.filter(project=brought).exists()
    assert not LabourLog.objects.get(project=brought).rework
    assert plan_project(brought).pieces[0].panels


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("runs.0.key", "9:sew"),
        ("runs.0.panel", "c99"),
        ("runs.0.placing", "by eye"),
        ("runs.0.facts.0.op", "7"),
        ("runs.0.facts.1.op", str(uuid.UUID(int=1_000))),
        ("runs.0.facts.0.unit", None),
        ("runs.0.facts.0.unit", 0),
        ("runs.0.facts.0.also", ["2"]),
        ("runs.0.facts.0.depth_nm", "7 mm"),
        ("runs.0.facts.0.asked", {"guess": 1}),
        ("runs.0.facts.2.undoes", str(uuid.UUID(int=77))),
        ("runs.0.facts.2.undoes", None),
        ("runs.0.facts.4.near_nm", None),
        ("runs.0.facts.5.asked.guide", "much"),
        ("runs.0.facts.6.asked.steps", {"x": 1}),
        ("runs.0.facts.6.asked.steps", {"3": None}),
        ("runs.0.facts.7.device_at", "yesterday"),
        ("project.kind", "hat"),
        ("pieces.0.work_order", "backwards"),
        ("runs.0.begun_at", "yesterday"),
        ("settings.learned", [CURVE | {"technique": "flying"}]),
        ("settings.learned", [CURVE | {"mean": 1.5}]),
        ("settings.learned", [CURVE | {"mean": 0}]),
        ("settings.learned", [{"driver": "naps", "technique": "", "mean": "0", "variance": "0", "steps": 1}]),
        ("settings.learned", [{"driver": "", "technique": "", "mean": "9", "variance": "0", "steps": 1}]),
    ],
)
def test_what_can_not_be_of_a_run_is_refused(workroom: object, place: str, value: Any) -> None:
    given: Any = json.loads(project_text(worked_on()))
    inner, steps = given, place.split(".")
    for step in steps[:-1]:
        inner = inner[int(step) if step.isdecimal() else step]
    inner[steps[-1]] = value
    before = Project.objects.count()
    with pytest.raises(Unreadable):
        bring(json.dumps(given))
    assert Project.objects.count() == before
