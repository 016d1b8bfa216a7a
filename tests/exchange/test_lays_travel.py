"""Accepted lays in files: with the lengths they take from, the cuts made, flaws; and files of format 1."""

import json
from typing import Any

import pytest
from django.utils import timezone

from projects.activities import lay_work, lays, stock
from projects.activities.exchange import Unreadable, bring_project, project_text, read_file
from projects.activities.panels import sync_panels
from projects.models import (
    ClothFlaw,
    ClothLength,
    Fabric,
    KeptLay,
    LayCut,
    LayLength,
    Person,
    Project,
)
from projects.planning import plan_project
from tests import make
from tests.exchange.test_round_trip import taken_out
from tests.make import MM

pytestmark = pytest.mark.django_db
NOW = timezone.now().replace(microsecond=0)


def project_of(cloth: Fabric, title: str, *names: str) -> Project:
    project = make.project(title)
    for order, name in enumerate(names):
        sync_panels(make.piece(project, name=name, fabric=cloth, order=order))
    return project


def bring(text: str, person: Person | None = None) -> Project:
    found = bring_project(read_file(text.encode()), person=person, own=True).project
    return Project.objects.get(pk=found.pk)


def on_two_lengths() -> Project:
    cloth = make.fabric()
    first = make.length(cloth, received=800 * MM, label="A")
    second = make.length(cloth, received=900 * MM, label="B")
    flaw = {"along": 800 * MM, "across": 0, "length": 20 * MM, "width": 30 * MM}
    ClothFlaw.objects.create(cloth=second, note="slub", **flaw)
    make.length(cloth, received=150 * MM, label="A remnant", cut_from=first)
    project = project_of(cloth, "Coat", "Front", "Back", "Sleeve")
    lay_work.set_options(project=project, fabric=cloth, values={"gap": 5 * MM, "one_dye_lot": True})
    kept = lays.accept(project=project, fabric=cloth, seen=None, person=make.anybody(), at=NOW)
    row = kept.lengths.first()
    person = make.anybody()
    entry = stock.cut(
        row=row.cloth, project=project, amount=row.used, person=person, note="cut 1 of the lay", at=NOW
    )
    cut = LayCut.objects.create(lay=kept, number=1, cut_at=NOW, entry=entry)
    cut.remnants.set(ClothLength.objects.filter(label="A remnant"))
    return project


def line_of(project: Project) -> Any:
    return plan_project(project).fabrics[0]


def test_a_lay_travels_with_its_lengths_and_cuts(workroom: object) -> None:
    [text], plans = [list(part.values()) for part in taken_out(lambda: on_two_lengths())]
    project = bring(text)
    kept = KeptLay.objects.get()
    assert [(x.place, x.cloth.label) for x in kept.lengths.all()] == [(1, "A"), (3, "B")]
    assert line_of(project).lay_state == "accepted" and line_of(project).buy <= 300 * MM
    cut = LayCut.objects.get()
    assert (cut.entry.cloth.label, -cut.entry.amount) == ("A", LayLength.objects.first().used)
    assert [x.label for x in cut.remnants.all()] == ["A remnant"]
    assert ClothLength.objects.get(label="A remnant").cut_from.label == "A"
    assert [(f.note, f.along) for f in ClothLength.objects.get(label="B").flaws.all()] == [("slub", 800 * MM)]
    assert plans


def test_what_its_strips_are_ruled_in_travels(workroom: object) -> None:
    """A file that does not say it tells it by the names of its strips, and this one has none."""
    project = on_two_lengths()
    KeptLay.objects.filter(project=project).update(in_inches=True)
    given: Any = json.loads(project_text(project))
    assert KeptLay.objects.get(project=bring(json.dumps(given))).in_inches is True
    del given["lays"][0]["in_inches"]
    assert KeptLay.objects.get(project=bring(json.dumps(given))).in_inches is None
    given["lays"][0]["in_inches"] = "in"
    with pytest.raises(Unreadable, match="true or false"):
        bring(json.dumps(given))


def test_of_a_lay_of_two_projects_the_own_part_goes_along(workroom: object, owner: Person) -> None:
    cloth = make.fabric()
    coat, cape = project_of(cloth, "Coat", "Front", "Back"), project_of(cloth, "Cape", "Front")
    lay_work.set_options(project=coat, fabric=cloth, values={"others": [cape]})
    kept = lays.accept(project=coat, fabric=cloth, seen=None, person=owner)
    [lay] = json.loads(project_text(coat))["lays"]
    assert [p["name"] for p in lay["result"]["placements"]] != []
    assert {p["name"] for p in lay["result"]["placements"]} == {"Front", "Back"}
    assert (lay["inputs"]["projects"], lay["length_nm"]) == ([], kept.length)
    assert json.loads(project_text(cape))["lays"] == []
    brought = bring(project_text(coat))
    assert line_of(brought).lay_state == "accepted" and not line_of(brought).carried_by


def test_a_file_of_format_1_is_read(workroom: object, owner: Person) -> None:
    """As it was written before lays could lie on several lengths."""
    cloth = make.fabric()
    coat = project_of(cloth, "Coat", "Front", "Back")
    roll = make.length(cloth, label="Roll")
    kept = lays.accept(project=coat, fabric=cloth, cloth=roll, seen=None, person=owner)
    given = json.loads(project_text(coat)) | {"format": 1}
    for row in given["lengths"]:
        del row["flaws"], row["cut_from"]
    for row in given["lays"]:
        then = ("width_nm", "gap_nm", "one_way", "panels")
        row["inputs"] = {k: row["inputs"][k] for k in then} | {"format": 1}
        result = {k: v for k, v in row["result"].items() if k != "used"} | {"format": 1}
        result["placements"] = [{k: v for k, v in p.items() if k != "on"} for p in result["placements"]]
        row["result"] = result
        del row["lengths"], row["cuts"]
    line = line_of(bring(json.dumps(given)))
    assert (line.lay_state, line.lay.length, line.buy) == ("accepted", kept.length, line.buy)
    assert line.lay_on[0].label == "Roll"


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("lengths.0.cut_from", "l1"),
        ("lengths.0.cut_from", "l99"),
        ("lengths.0.flaws", [{"along_nm": -1}]),
        ("lays.0.lengths.1.place", 1),
        ("lays.0.lengths.0.length", "l77"),
        ("lays.0.cuts.0.number", 0),
        ("lays.0.cuts.0.remnants", ["x"]),
        ("lays.0.inputs.projects", [3]),
        ("lays.0.inputs.own_width", "yes"),
    ],
)
def test_what_can_not_be_of_a_lay_is_refused(workroom: object, place: str, value: Any) -> None:
    given: Any = json.loads(project_text(on_two_lengths()))
    inner, steps = given, place.split(".")
    for step in steps[:-1]:
        inner = inner[int(step) if step.isdecimal() else step]
    inner[steps[-1]] = value
    with pytest.raises(Unreadable):
        read_file(json.dumps(given).encode())
