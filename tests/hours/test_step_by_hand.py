"""Hours by hand and their step: it is offered, never dropped in silence, and says the stage."""

import re

import pytest

from projects.models import LabourLog
from tests import make

pytestmark = pytest.mark.django_db
WHERE = "/hours/new/"


def form(**values):
    return {"project": "", "stage": "", "date": "2026-03-02", "minutes": "25 min", "note": "", **values}


def offered(page):
    return re.search(r'name="steps_of" value="(\d*)"', page), re.findall(r'<option value="(own:\d+)"', page)


def test_a_step_chosen_before_the_project_was_changed_is_asked_for_again(maker_page):
    coat, bag = make.step(), make.step(make.project("Evening bag"), title="Line the bag")
    typed = form(project=bag.project_id, step=f"own:{coat.pk}", steps_of=coat.project_id, note="by the lamp")
    answer = maker_page.post(f"{WHERE}?project={coat.project_id}", typed)
    page = answer.content.decode()
    assert answer.status_code == 422 and not LabourLog.objects.exists()
    assert "no step of the project chosen now" in page and "by the lamp" in page
    shown, steps = offered(page)
    assert (shown[1], steps) == (str(bag.project_id), [f"own:{bag.pk}"])
    again = {**typed, "steps_of": shown[1], "step": steps[0]}
    maker_page.post(f"{WHERE}?project={coat.project_id}", again)
    assert LabourLog.objects.get().step == bag


def test_a_step_whose_key_another_project_has_too_is_not_taken_for_it(maker_page):
    coat, bag = make.project(), make.project("Evening bag")
    for project in (coat, bag):
        make.step(project, key="deliver", title="Deliver", state="done")
    typed = form(project=bag.pk, step="deliver", steps_of=coat.pk)
    assert maker_page.post(WHERE, typed).status_code == 422
    assert maker_page.post(WHERE, {**typed, "steps_of": bag.pk}).status_code == 303


def test_a_step_without_its_project_is_refused(maker_page):
    coat = make.step()
    answer = maker_page.post(WHERE, form(step=f"own:{coat.pk}", steps_of=coat.project_id))
    assert answer.status_code == 422 and "no step of the project" in answer.content.decode()


def test_the_stage_is_the_step_s(maker_page):
    coat = make.step(stage="press")
    typed = form(project=coat.project_id, step=f"own:{coat.pk}", steps_of=coat.project_id, stage="finish")
    maker_page.post(WHERE, typed)
    log = LabourLog.objects.get()
    assert (log.step, log.stage) == (coat, "press")


def test_the_steps_of_a_project_are_offered_without_losing_what_was_typed(maker_page):
    coat = make.step()
    assert "choose_step" in maker_page.get("/hours/").content.decode()
    typed = form(project=coat.project_id, note="by the lamp", minutes="soon", choose_step="1", op="")
    answer = maker_page.post(WHERE, typed)
    page = answer.content.decode()
    assert answer.status_code == 200 and not LabourLog.objects.exists()
    assert "by the lamp" in page and 'value="soon"' in page and 'value="2026-03-02"' in page
    shown, steps = offered(page)
    assert (shown[1], steps) == (str(coat.project_id), [f"own:{coat.pk}"])
    assert "can&#x27;t be read" not in page


def test_a_link_brings_its_step_along(maker_page):
    coat = make.step()
    page = maker_page.get(f"{WHERE}?project={coat.project_id}&step=own:{coat.pk}").content.decode()
    assert f'<option value="own:{coat.pk}" selected>' in page


def test_a_stage_chosen_by_hand_goes_before_the_step_that_came_with_the_page(maker_page):
    step = make.step(stage="mark")
    where = f"{WHERE}?project={step.project_id}&step=own:{step.pk}&stage=mark"
    typed = form(project=step.project_id, step=f"own:{step.pk}", steps_of=step.project_id)
    assert maker_page.post(where, {**typed, "stage": "mark"}).status_code == 303
    kept = LabourLog.objects.latest("pk")
    assert (kept.step, kept.stage) == (step, "mark")
    assert maker_page.post(where, {**typed, "stage": "finish"}).status_code == 303
    kept = LabourLog.objects.latest("pk")
    assert (kept.step, kept.stage) == (None, "finish")
