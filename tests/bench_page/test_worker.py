"""What the worker of the bench is told, and which pages it may keep."""

import json
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from projects.models import Person, Piece
from projects.views import bench_worker
from tests import make
from tests.bench_page.runs import page_of, piece, tap

WORKER = "/projects/bench-worker.js"


@pytest.fixture
def front(db: None) -> Piece:
    make.workroom()
    return piece()


def told(page: Client) -> dict[str, object]:
    text = page.get(WORKER).content.decode()
    found: dict[str, object] = json.loads(text.split(" = ", 1)[1].split(";\n")[0])
    return found


def test_it_names_every_file_that_is_there(maker_page: Client, front: Piece) -> None:
    answer = maker_page.get(WORKER)
    assert answer["Content-Type"].startswith("text/javascript") and answer["Cache-Control"] == "no-cache"
    assert "importScripts(" in answer.content.decode()
    assert "script-src 'self'" in answer["Content-Security-Policy"]
    static = Path(settings.BASE_DIR) / "static"
    assert all((static / name).is_file() for name in (*bench_worker.FILES, "js/bench-worker.js"))
    scripts = {f"js/{one.name}" for one in (static / "js").glob("bench-*.js")}
    assert scripts - set(bench_worker.FILES) == {"js/bench-worker.js"}
    assert told(maker_page)["scope"] == "/projects/" and told(maker_page)["static"] == settings.STATIC_URL


def test_other_files_are_another_version(
    maker_page: Client, front: Piece, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = told(maker_page)["version"]
    assert before == maker_page.get(page_of(front))[bench_worker.VERSION]
    monkeypatch.setattr(bench_worker, "static", lambda name: f"/static/{name}?another")
    assert told(maker_page)["version"] != before


def test_whose_a_page_is(maker_page: Client, owner_page: Client, front: Piece, maker: Person) -> None:
    """A page of somebody else who took over at the bench is another one's too."""
    mine = maker_page.get(page_of(front))
    assert mine[bench_worker.WHOSE] == f"{maker.pk}-{maker.pk}"
    assert f'data-whose="{maker.pk}-{maker.pk}"' in mine.content.decode()
    assert mine[bench_worker.WHOSE] != owner_page.get(page_of(front))[bench_worker.WHOSE]
    assert 'data-whose=""' in Client().get("/sign-in/").content.decode()


def test_only_bench_pages_may_be_kept(maker_page: Client, front: Piece) -> None:
    """The list, a form that was not taken, and what devices ask are none."""
    project = f"/projects/{front.project_id}/"
    others = [maker_page.get(where) for where in (project, f"{project}bench/", "/hours/")]
    others.append(maker_page.get(f"{page_of(front)}facts/"))
    others.append(tap(maker_page, front, "sewn", unit="999"))
    assert not any(answer.has_header(bench_worker.WHOSE) for answer in others)


def test_no_name_is_asked_for_that_is_no_file(
    maker_page: Client, front: Piece, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A manifest of static files refuses what it does not know."""
    asked: set[str] = set()
    monkeypatch.setattr(bench_worker, "static", lambda name: asked.add(name) or f"/static/{name}")
    told(maker_page)
    assert asked == {*bench_worker.FILES, "js/bench-worker.js"}
