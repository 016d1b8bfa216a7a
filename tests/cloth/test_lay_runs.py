"""A lay improved in a process of its own: what it finds is kept, whoever started it and whatever ended it."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.utils import timezone

from projects.activities import lay_process, lay_runs, lay_work
from projects.activities.lay_question import question
from projects.activities.panels import sync_panels
from projects.calc.lay import Lay, plan_lay
from projects.calc.lay.legal import first_fault, worth
from projects.calc.lay.sent import asked_text, read_answer
from projects.calc.lay.wire import answered, read_asked
from projects.models import Fabric, LayDraft, Project
from projects.planning.lay_json import lay_from_json
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
PATIENCE_S = 60
SIZES = ((310, 430), (270, 520), (390, 350), (430, 610), (230, 290), (510, 470), (350, 390), (190, 570))


@pytest.fixture
def draft(workroom: object) -> Iterator[LayDraft]:
    """A lay of many odd sizes, so that a search has something to do for as long as it may."""
    found = draft_of("Coat")
    yield found
    for row in LayDraft.objects.filter(state="running"):
        lay_process.end(row.run, row.process)


def draft_of(title: str) -> LayDraft:
    project, cloth = make.project(title), make.fabric(f"Linen for {title}")
    for number, (across, along) in enumerate(SIZES):
        for again in range(3):
            size = {"across": (across + 7 * again) * MM, "along": (along - 3 * again) * MM}
            name = f"Part {number}.{again}"
            sync_panels(make.piece(project, name=name, fabric=cloth, may_turn=True, **size))
    return lay_work.set_options(project=project, fabric=cloth, values={"seconds": 300, "gap": 3 * MM})


def until(draft: LayDraft, true: Any) -> LayDraft:
    """The draft once ``true`` of it; fails where that does not come."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        draft = lay_runs.look(draft)
        if true(draft):
            return draft
        time.sleep(0.05)
    raise AssertionError(f"{draft.state}: {lay_process.complaint(draft.run)}")


def lay_of(draft: LayDraft) -> Lay:
    draft.refresh_from_db()
    return lay_from_json(draft.result)


def has_written(draft: LayDraft) -> bool:
    return lay_process.best_so_far(draft.run) is not None


def test_a_search_is_watched_stopped_and_its_best_kept(draft: LayDraft) -> None:
    before, request = lay_of(draft), question(draft).request
    started = lay_runs.start(draft=draft)
    assert (started.state, LayDraft.objects.get().state) == ("running", "running")
    assert lay_runs.start(draft=started).run == started.run, "it goes on"
    until(started, has_written)
    shown = lay_runs.progress(started)
    assert shown.running and shown.limit == 300 and shown.bound <= shown.length <= before.length
    stopped = lay_runs.stop(draft=started)
    assert (stopped.state, LayDraft.objects.get().state) == ("stopped", "stopped")
    after = lay_of(draft)
    assert first_fault(request, after) == "" and worth(request, after) <= worth(request, before)
    assert not lay_process.goes_on(started.run, started.process)


@pytest.mark.django_db(transaction=True)
def test_nothing_of_a_search_stays_in_the_data_folder(draft: LayDraft) -> None:
    started = lay_runs.start(draft=draft)
    until(started, has_written)
    lay_runs.stop(draft=started)
    assert not list(lay_process.folder().glob(f"{started.run}*"))


def test_a_search_ends_by_itself(draft: LayDraft) -> None:
    LayDraft.objects.filter(pk=draft.pk).update(seconds=1)
    draft.refresh_from_db()
    assert until(lay_runs.start(draft=draft), lambda d: d.state != "running").state == "ended"


def test_a_search_that_was_killed_leaves_its_best(draft: LayDraft) -> None:
    started = until(lay_runs.start(draft=draft), has_written)
    os.kill(started.process, signal.SIGKILL)
    ended = until(started, lambda d: d.state != "running")
    assert ended.state == "ended" and first_fault(question(draft).request, lay_of(draft)) == ""


def test_a_search_outlives_the_server_that_started_it(draft: LayDraft) -> None:
    """Started by a process that is killed at once; whoever looks then takes what was found."""
    text = asked_text(question(draft).request, 300)
    code = (
        "import os, sys, django; django.setup()\n"
        "from projects.activities import lay_process\n"
        "name, pid = lay_process.launch(sys.stdin.read())\n"
        "print(name, pid, flush=True); os.kill(os.getpid(), 9)\n"
    )
    server = subprocess.run(
        [sys.executable, "-c", code],
        input=text,
        capture_output=True,
        text=True,
        cwd=settings.BASE_DIR,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
    )
    assert server.returncode == -signal.SIGKILL, server.stderr
    name, pid = server.stdout.split()
    LayDraft.objects.filter(pk=draft.pk).update(
        state="running", run=name, process=int(pid), started_at=timezone.now()
    )
    draft.refresh_from_db()
    assert lay_process.goes_on(name, int(pid)), server.stderr
    until(draft, has_written)
    assert lay_runs.look(draft).state == "running"
    assert lay_runs.stop(draft=draft).state == "stopped"
    assert first_fault(question(draft).request, lay_of(draft)) == ""


def test_no_more_than_two_at_once_in_the_studio(draft: LayDraft) -> None:
    first, second, third = draft, draft_of("Cape"), draft_of("Gown")
    runs = [lay_runs.start(draft=row) for row in (first, second)]
    with pytest.raises(lay_runs.Busy) as busy:
        lay_runs.start(draft=third)
    assert [run.project.title for run in busy.value.runs] == ["Coat", "Cape"]
    lay_runs.stop(draft=runs[0])
    assert lay_runs.start(draft=third).state == "running"


def test_changing_what_is_asked_ends_the_search(draft: LayDraft) -> None:
    started = lay_runs.start(draft=draft)
    changed = lay_work.set_options(project=draft.project, fabric=draft.fabric, values={"gap": 9 * MM})
    assert not lay_process.goes_on(started.run, started.process)
    assert changed.state == "", "nothing was searched for what is asked now"
    assert first_fault(question(changed).request, lay_of(changed)) == ""


def test_what_is_not_a_lay_of_the_question_is_not_taken(draft: LayDraft) -> None:
    before, request = lay_of(draft), question(draft).request
    good = json.loads(json.dumps(answered(plan_lay(request), 1.0)))
    first = good["placements"][0]
    for wrong in (
        "",
        "[]",
        '{"placements": 3}',
        json.dumps({**good, "placements": good["placements"][1:]}),
        json.dumps({**good, "length_mm": 1, "lower_bound_mm": 1, "proven": True}),
        json.dumps({**good, "placements": [{**first, "x_mm": -5}, *good["placements"][1:]]}),
        json.dumps({**good, "lower_bound_mm": good["length_mm"] + 1}),
    ):
        name = "0" * 24 + ".json"
        (lay_process.folder() / name).write_text(wrong, encoding="utf-8")
        LayDraft.objects.filter(pk=draft.pk).update(state="running", run=name, process=None)
        draft.refresh_from_db()
        assert lay_runs.look(draft).state == "ended"
        assert lay_of(draft).placements == before.placements
        assert lay_of(draft).length == before.length


def test_what_is_sent_is_read_back_equal(draft: LayDraft) -> None:
    make.length(draft.fabric, received=1_234_567_891, label="Odd")
    draft = lay_work.set_options(project=draft.project, fabric=draft.fabric, values={"end_loss": 12_345_678})
    draft = lay_work.pin(draft=draft, name="Part 0.0")
    request = question(draft).request
    asked = read_asked(asked_text(request, 7.5))
    assert (asked.request, asked.time_limit_s) == (request, 7.5)
    lay = plan_lay(request)
    assert read_answer(json.dumps(answered(lay, 0.1)), request)[0] == lay


def test_the_server_does_not_load_the_solver() -> None:
    code = (
        "import django; django.setup()\n"
        "from projects.activities import lay_runs, lay_work, lays\n"
        "from projects.calc.lay import LayPanel, LayRequest, plan_lay\n"
        "plan_lay(LayRequest(1400, (LayPanel('a', 500, 700, 5), LayPanel('b', 300, 200, 9))))\n"
        "import sys; print([m for m in ('ortools', 'numpy') if m in sys.modules])\n"
    )
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=settings.BASE_DIR, env=env
    )
    assert done.stdout.strip() == "[]", done.stderr


def test_files_that_nobody_asks_for_are_cleared(workroom: object) -> None:
    old, new, kept = (lay_process.folder() / f"{letter * 24}.json" for letter in "abc")
    long_ago = time.time() - 2 * lay_process.OLD_S
    for path in (old, new, kept):
        path.write_text("{}", encoding="utf-8")
    for path in (old, kept):
        os.utime(path, (long_ago, long_ago))
    lay_process.clear_old({kept.name})
    assert [path.exists() for path in (old, new, kept)] == [False, True, True]
    for path in (new, kept):
        path.unlink()
    assert Path(settings.DATA_DIR) in lay_process.folder().parents
    assert not Project.objects.exists() and not Fabric.objects.exists()
