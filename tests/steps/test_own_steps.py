"""The page of own stages and steps, and noting the steps of a project."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.models import OwnStage, Piece, Project, StepTemplate
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
STEP = {"title": "Try it on", "kind": "garment", "stage": "make_up", "minutes": "45 min", "per_panel": ""}


@pytest.fixture
def coat(workroom: object) -> Project:
    project = make.project()
    make.piece(project, fabric=make.fabric(), version=make.version())
    return project


def test_a_stage_and_a_step_in_it_come_in_every_garment(owner_page, maker_page, coat):
    owner_page.post(reverse("stage_new"), {"title": "Fit", "after": "make_up"})
    stage = OwnStage.objects.get()
    answer = owner_page.post(reverse("template_new"), {**STEP, "stage": stage.key})
    assert answer.status_code == 303
    shown = owner_page.get(reverse("own_steps")).content.decode()
    places = [shown.index(words) for words in (">Make up", ">Fit <", ">Try it on", ">Finish")]
    assert places == sorted(places)
    assert "once, last in its stage" in shown
    assert ">45 min<" in shown
    steps = maker_page.get(reverse("steps", args=[coat.pk])).content.decode()
    assert "Try it on" in steps
    assert ">Fit <small>" in steps
    assert "Fit" in maker_page.get(reverse("hours")).content.decode()


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"title": ""}, "title"), ({"title": "t" * 999}, "title"), ({"minutes": "soon"}, "minutes"),
        ({"minutes": "-4"}, "minutes"), ({"stage": "nowhere"}, "stage"), ({"kind": "boat"}, "kind"),
        ({"at_start": "5"}, "at_start"),
    ],
)  # fmt: skip
def test_what_can_not_be_says_so_and_keeps_what_was_typed(owner_page, workroom, wrong, field):
    answer = owner_page.post(reverse("template_new"), {**STEP, "detail": "In front of the mirror.", **wrong})
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in shown
    assert "In front of the mirror." in shown
    assert not StepTemplate.objects.exists()


def test_a_stage_called_like_another_is_refused_beside_its_name(owner_page, workroom):
    answer = owner_page.post(reverse("stage_new"), {"title": "Finish", "after": "cut"})
    assert answer.status_code == 422
    assert "There is a stage called Finish already." in answer.content.decode()


def test_an_untouched_form_changes_nothing(owner_page, workroom):
    row = make.template("Try it on", kind="garment", minutes=90, at_start=True, per_panel=True, stage="cut")
    form = owner_page.get(reverse("template_edit", args=[row.pk])).context["form"]
    typed = {bound.html_name: bound.value() for bound in form}
    typed = {name: ("on" if value is True else value or "") for name, value in typed.items()}
    assert owner_page.post(reverse("template_edit", args=[row.pk]), typed).status_code == 303
    now = StepTemplate.objects.get()
    assert (now.revision, now.minutes, now.at_start, now.per_panel) == (1, 90, True, True)


def test_two_who_change_a_step_see_both(owner_page, workroom):
    row = make.template("Try it on")
    StepTemplate.objects.update(title="Try it on twice", revision=2)
    typed = {**STEP, "title": "Fit it", "revision": 1}
    answer = owner_page.post(reverse("template_edit", args=[row.pk]), typed)
    assert answer.status_code == 409
    assert "Try it on twice" in answer.content.decode()


def test_what_is_removed_can_be_put_back_at_once(owner_page, workroom):
    row = make.template("Try it on")
    owner_page.post(reverse("template_remove", args=[row.pk]))
    shown = owner_page.get(reverse("own_steps")).content.decode()
    assert "The step Try it on is removed." in shown
    assert "/restore/" in shown


def test_the_page_asks_as_often_for_many(owner_page, workroom):
    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            owner_page.get(reverse("own_steps"))
        return len(found)

    make.template("First", stage=make.own_stage("Stage").key)
    queries()
    few = queries()
    for number in range(10):
        make.template(f"Step {number}", stage=make.own_stage(f"Stage {number}").key)
    assert queries() == few


def test_noting_the_steps_tells_what_changes_from_then_on(maker_page, coat):
    page = reverse("steps", args=[coat.pk])
    first = maker_page.get(page)
    assert "Changed since" not in first.content.decode()
    maker_page.post(reverse("steps_noted", args=[coat.pk]), {"mark": first.context["mark"]})
    assert "Nothing has changed in the plan" in maker_page.get(page).content.decode()
    Piece.objects.update(across=400 * MM)
    shown = maker_page.get(page)
    assert "with other numbers" in shown.content.decode()
    assert "tucks</a>, was" in shown.content.decode()
    project = maker_page.get(reverse("project", args=[coat.pk])).content.decode()
    assert f'{page}#changed' in project
    answer = maker_page.post(
        reverse("steps_noted", args=[coat.pk]), {"mark": shown.context["mark"]}, HTTP_HX_REQUEST="true"
    )
    assert "Nothing has changed in the plan" in answer.content.decode()


def test_a_note_of_what_nobody_saw_is_not_taken(maker_page, coat):
    answer = maker_page.post(reverse("steps_noted", args=[coat.pk]), {"mark": "0" * 16})
    assert answer.status_code == 422
    assert "changed again meanwhile" in answer.content.decode()
    assert Project.objects.get().steps_seen is None


def test_the_steps_page_asks_as_often_with_a_note(maker_page, coat):
    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            maker_page.get(reverse("steps", args=[coat.pk]))
        return len(found)

    queries()
    before = queries()
    mark = maker_page.get(reverse("steps", args=[coat.pk])).context["mark"]
    maker_page.post(reverse("steps_noted", args=[coat.pk]), {"mark": mark})
    Piece.objects.update(across=400 * MM)
    assert queries() == before


def test_a_step_that_is_sewn_unit_after_unit_leads_to_the_bench(maker_page, coat):
    shown = maker_page.get(reverse("steps", args=[coat.pk])).content.decode()
    assert shown.count("At the bench") == 1


def test_the_order_tucks_are_sewn_in_stands_on_the_steps_the_sheet_and_the_piece(owner_page, coat):
    Piece.objects.update(work_order="centre")
    piece = Piece.objects.get()
    steps = owner_page.get(reverse("steps", args=[coat.pk])).content.decode()
    assert "Begin in the middle with number" in steps
    assert "From the seam of number" in steps
    sheet = owner_page.get(reverse("sheet", args=[coat.pk])).content.decode()
    assert "Begin in the middle" in sheet
    assert "Check: from the seam of number" in sheet
    page = owner_page.get(reverse("piece", args=[piece.pk])).content.decode()
    assert "From the centre outwards." in page
    form = owner_page.get(reverse("piece_edit", args=[piece.pk])).content.decode()
    assert 'value="centre" selected' in form
    Piece.objects.update(work_order="alternate")
    assert "sew every other one" in owner_page.get(reverse("steps", args=[coat.pk])).content.decode()
