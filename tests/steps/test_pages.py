"""The steps page: tick, skip with a reason, order, one's own steps, with and without HTMX."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.activities.panels import sync_panels
from projects.models import LabourLog, Panel, Project, Step
from projects.planning import plan_project
from tests import make


@pytest.fixture
def coat(maker) -> Project:
    """A coat of one pair of tucked fronts."""
    coat = make.project()
    side = make.tucks(*make.GRADUATED)
    piece = make.piece(
        coat,
        name="Front",
        count=2,
        mirrored=True,
        fabric=make.fabric(),
        version=make.version(of=make.content(side)),
    )
    sync_panels(piece)
    return coat


def key_of(coat: Project, words: str) -> str:
    return next(step.key for step in plan_project(coat).steps if words in step.title)


def state_of(coat: Project, key: str) -> str:
    return plan_project(coat).step(key).state


def test_all_steps_stand_under_the_panel_or_stage_they_belong_to(maker_page, coat):
    shown = maker_page.get(f"/projects/{coat.pk}/steps/").content.decode()
    for words in ("Cut Front, left", "Mark Front, right across", "After tuck", "Make up"):
        assert words in shown


def test_a_tick_is_kept_and_taken_back(maker_page, coat, maker):
    key = key_of(coat, "Mark Front, left")
    answer = maker_page.post(f"/projects/{coat.pk}/steps/tick/", {"key": key})
    assert answer.status_code == 303
    assert answer["Location"].endswith(f"#step-{key}")
    assert state_of(coat, key) == "done"
    assert Step.objects.get().done_by == maker
    maker_page.post(f"/projects/{coat.pk}/steps/tick/", {"key": key, "state": "open"})
    assert state_of(coat, key) == "open"


def test_with_htmx_the_list_comes_back_and_not_the_page(maker_page, coat):
    key = key_of(coat, "Mark Front, left")
    answer = maker_page.post(f"/projects/{coat.pk}/steps/tick/", {"key": key}, headers={"HX-Request": "true"})
    shown = answer.content.decode()
    assert answer.status_code == 200
    assert shown.lstrip().startswith('<div id="steps">')
    assert f'id="tick-{key}"' in shown
    assert "<html" not in shown


def test_ticking_the_cut_books_the_panel(maker_page, coat):
    key = key_of(coat, "Cut Front, left")
    maker_page.post(f"/projects/{coat.pk}/steps/tick/", {"key": key})
    assert Panel.objects.get(name="Front, left").cut_at
    maker_page.post(f"/projects/{coat.pk}/steps/tick/", {"key": key, "state": "open"})
    assert not Panel.objects.get(name="Front, left").cut_at


def test_a_step_is_skipped_only_with_a_reason(maker_page, coat):
    key = key_of(coat, "Mark Front, left")
    answer = maker_page.post(f"/projects/{coat.pk}/steps/skip/", {"key": key, "reason": "  "})
    assert answer.status_code == 422
    assert "Say in a few words why" in answer.content.decode()
    answer = maker_page.post(f"/projects/{coat.pk}/steps/skip/", {"key": key, "reason": "x" * 10_000})
    assert answer.status_code == 422
    assert "x" * 10_000 in answer.content.decode()
    maker_page.post(f"/projects/{coat.pk}/steps/skip/", {"key": key, "reason": "marked with the first"})
    assert state_of(coat, key) == "skipped"


def test_a_step_moves_past_its_neighbour(maker_page, coat):
    before = [step.key for step in plan_project(coat).steps]
    maker_page.post(f"/projects/{coat.pk}/steps/move/", {"key": before[2], "to": "up"})
    after = [step.key for step in plan_project(coat).steps]
    assert after[:3] == [before[0], before[2], before[1]]
    maker_page.post(f"/projects/{coat.pk}/steps/move/", {"key": before[0], "to": "up"})
    assert [step.key for step in plan_project(coat).steps] == after


def test_ones_own_step_is_added_once_changed_removed_and_put_back(maker_page, coat):
    address = f"/projects/{coat.pk}/steps/new/"
    data = {"title": "Fit on the stand", "stage": "make_up", "detail": "", "minutes": "1h20"}
    data["op"] = "0c9b8f3e-52a5-4b45-9f6e-6d6f4b1f2a10"
    assert maker_page.post(address, data).status_code == 303
    assert maker_page.post(address, data).status_code == 303
    step = Step.objects.get()
    assert (step.title, step.minutes) == ("Fit on the stand", 80)

    edit = f"/projects/{coat.pk}/steps/{step.pk}/edit/"
    answer = maker_page.post(
        edit, {**data, "op": "", "title": "Fit on the client", "revision": step.revision}
    )
    assert answer.status_code == 303
    stale = maker_page.post(edit, {**data, "op": "", "title": "Fit twice", "revision": step.revision})
    assert stale.status_code == 409
    assert "Fit on the client" in stale.content.decode()
    assert "Fit twice" in stale.content.decode()

    maker_page.post(f"/projects/{coat.pk}/steps/{step.pk}/remove/")
    shown = maker_page.get(f"/projects/{coat.pk}/steps/").content.decode()
    assert "Put back Fit on the client" in shown
    maker_page.post(f"/projects/{coat.pk}/steps/{step.pk}/remove/", {"back": "1"})
    assert Step.objects.get().removed_at is None


@pytest.mark.parametrize("title", ["", " ", "y" * 10_000])
def test_a_step_without_fitting_words_is_refused_and_kept(maker_page, coat, title):
    data = {"title": title, "stage": "make_up", "detail": "as typed", "minutes": "soon"}
    answer = maker_page.post(f"/projects/{coat.pk}/steps/new/", data)
    assert answer.status_code == 422
    assert "as typed" in answer.content.decode()
    assert {"title", "minutes"} <= set(answer.context["form"].errors)
    assert not Step.objects.exists()


def test_the_timer_starts_on_a_step(maker_page, coat):
    key = key_of(coat, "Sew Front, left")
    maker_page.post(f"/projects/{coat.pk}/steps/time/", {"key": key})
    log = LabourLog.objects.get()
    assert (log.project, log.stage, log.step.key) == (coat, "texture", key)


@pytest.mark.parametrize("what", ["tick", "skip", "move", "time"])
@pytest.mark.parametrize("key", ["", "own:99", "own:x", "9.9:cut::1", "x" * 5_000, "own:" + "9" * 30])
def test_a_step_there_is_not_is_missing(maker_page, coat, what, key):
    answer = maker_page.post(f"/projects/{coat.pk}/steps/{what}/", {"key": key, "reason": "so"})
    assert answer.status_code == 404
    assert not Step.objects.exists()


def test_the_page_asks_as_often_for_many_panels_as_for_few(maker_page, coat):
    address = f"/projects/{coat.pk}/steps/"
    counts = []
    for number in (1, 12):
        for extra in range(number):
            sync_panels(make.piece(coat, name=f"Panel {number} {extra}", version=coat.pieces.first().version))
        maker_page.get(address)
        with CaptureQueriesContext(connection) as seen:
            maker_page.get(address)
        counts.append(len(seen))
    assert counts[0] == counts[1]
