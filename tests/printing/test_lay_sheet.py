"""The lay on the job sheet: its cloths, the cutting list in order with what is made, and what remains."""

from datetime import date
from typing import Any

from projects.activities import lay_cutting
from projects.activities.lays import accept
from projects.activities.panels import sync_panels
from projects.models import LayDraft, Person, Project, Workroom
from projects.planning import plan_project
from projects.planning.lay_cuts import cutting_of, made_cuts
from projects.printing.sheet import Sheet, make_sheet, sheet_html
from tests import make
from tests.cloth.posts import METRE, MM

TODAY = date(2026, 11, 25)


def sheet_of(project: Project, **values: Any) -> Sheet:
    return make_sheet(plan_project(project), Workroom.load(), today=TODAY, **values)


def coat() -> Project:
    project, fabric = make.project(), make.fabric()
    sync_panels(make.piece(project, name="Front", count=2, mirrored=True, fabric=fabric))
    sync_panels(make.piece(project, name="Back", across=1_200 * MM, fabric=fabric))
    return project


def test_a_lay_that_is_not_accepted_has_its_cutting_list_too(workroom: Workroom) -> None:
    (lay,) = sheet_of(coat()).lays
    assert [cloth.text.split(":")[0] for cloth in lay.cloths] == ["The cloth to buy"]
    assert [cut.words.number for cut in lay.cuts] == list(range(1, len(lay.cuts) + 1))
    freed = " and ".join(cut.words.frees for cut in lay.cuts if cut.words.frees)
    assert sorted(freed.split(" and ")) == ["Back", "Front, left", "Front, right"]
    assert not any(cut.made for cut in lay.cuts)
    assert lay.left == ("the cloth to buy: 15.0 cm × 150.0 cm; 15.0 cm × 75.0 cm",)


def test_what_is_made_is_ticked(owner: Person, workroom: Workroom) -> None:
    project = coat()
    fabric = project.pieces.first().fabric
    roll = make.length(fabric, received=9 * METRE, label="V1")
    kept = accept(project=project, fabric=fabric, cloth=roll, seen=None, person=owner)
    for number in (1, 2):
        lay_cutting.tick(kept=kept, number=number, person=owner, now=kept.kept_at)
    made = made_cuts(project)
    assert made == {fabric.pk: frozenset({1, 2})}
    sheet = sheet_of(project, made=made)
    assert [cut.made for cut in sheet.lays[0].cuts] == [n in (1, 2) for n in range(1, 6)]
    text = sheet_html(sheet, pdf=True)
    assert text.count(", made</p>") == 2 and "Cut off what is used of V1" in text
    assert "What remains of V1: 15.0 cm × 150.0 cm; 15.0 cm × 75.0 cm." in text


def test_each_length_of_the_shelf_has_a_drawing_and_its_uncut_rest(owner: Person, workroom: Workroom) -> None:
    project = coat()
    fabric = project.pieces.first().fabric
    for label in ("V1", "V2"):
        make.length(fabric, received=1_000 * MM, label=label)
    LayDraft.objects.create(project=project, fabric=fabric)
    kept = accept(project=project, fabric=fabric, seen=None, person=owner)
    assert kept.length == 0 and kept.lengths.count() == 2
    (lay,) = sheet_of(project).lays
    assert [cloth.text.split(":")[0] for cloth in lay.cloths] == ["V1", "V2"]
    assert [text.split(":")[0] for text in lay.left] == ["V1", "V2"]
    assert all("25.0 cm uncut" in text for text in lay.left)
    assert [step.cloth.label for step in cutting_of(kept).steps if step.cuts_off] == ["V1", "V2"]
