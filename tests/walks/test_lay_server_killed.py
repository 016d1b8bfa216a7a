"""The server killed while a lay improves: the search goes on, its best lay is there, its end is noticed."""

import json
import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser import Browsing
from tests.walks.hangings import COUNT, FABRIC, PROJECT
from tests.walks.own_server import OwnServer

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="asks the system which processes run"),
]
PATIENCE_S = 90


@pytest.fixture
def server(tmp_path: Path) -> Iterator[OwnServer]:
    own = OwnServer(tmp_path)
    own.start()
    yield own
    own.kill()
    run, process = own.search()
    if process and goes_on(run):
        os.kill(process, signal.SIGKILL)


@pytest.fixture
def page(server: OwnServer, chromium: object) -> Iterator[Any]:
    browsing = Browsing(chromium, server.address)
    page = browsing()
    page.set_default_timeout(PATIENCE_S * 1_000)
    page.context.add_cookies([server.cookie()])
    yield page
    browsing.close()


def goes_on(run: str) -> bool:
    """Whether some process has this search's file in its command line; a dead one has none."""
    lines = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            lines.append(path.read_bytes())
        except OSError:
            continue
    return any(run.encode() in line for line in lines)


def until(true: Any, what: str) -> None:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if true():
            return
        time.sleep(0.1)
    raise AssertionError(what)


def open_lay(page: Any) -> None:
    page.goto("/projects/")
    page.get_by_role("link", name=PROJECT, exact=True).first.click()
    page.get_by_role("link", name=f"Lay of {FABRIC}", exact=True).click()
    page.get_by_role("heading", level=1, name=f"Lay of {FABRIC}").wait_for()


def improve(page: Any, seconds: int) -> None:
    page.get_by_label("for at most").fill(str(seconds))
    page.get_by_role("button", name="Improve", exact=True).click()
    page.get_by_role("button", name="Stop and keep the best").wait_for()


def shown(page: Any) -> set[tuple[str, int, int]]:
    """Where the page has each panel: its name, across and along in nm."""
    read = "all => all.map(e => [e.dataset.name, Number(e.dataset.x), Number(e.dataset.y)])"
    return {tuple(row) for row in page.locator("g.movable").evaluate_all(read)}


def written(server: OwnServer, run: str) -> set[tuple[str, int, int]]:
    """The same of the best lay that the search has written."""
    answer = json.loads((server.folder / "lays" / run).read_text())
    assert answer["length_mm"] == 0, "the shelf serves"
    return {(p["name"], round(p["x_mm"] * 1e6), round(p["y_mm"] * 1e6)) for p in answer["placements"]}


def test_the_search_goes_on_without_the_server_and_its_best_is_there(server: OwnServer, page: Any) -> None:
    open_lay(page)
    improve(page, 600)
    page.get_by_text("Nothing to buy so far.").wait_for()
    run, process = server.search()
    server.kill()
    assert goes_on(run), "the search outlives the server"
    server.start()
    open_lay(page)
    page.get_by_role("button", name="Stop and keep the best").wait_for()
    page.get_by_text("Nothing to buy so far.").wait_for()
    assert server.search() == (run, process), "it is the same search"

    server.kill()
    os.kill(process, signal.SIGKILL)
    until(lambda: not goes_on(run), "the search is killed too")
    best = written(server, run)
    server.start()
    open_lay(page)
    page.get_by_role("heading", name="Improved as far as the time went").wait_for()
    assert shown(page) == best and len(best) == COUNT
    assert not page.get_by_role("button", name="Stop and keep the best").count()
    until(lambda: not (server.folder / "lays" / run).exists(), "nothing of it stays behind")


def test_a_search_that_ended_while_nobody_served_is_noticed(server: OwnServer, page: Any) -> None:
    open_lay(page)
    improve(page, 8)
    run, _ = server.search()
    server.kill()
    until(lambda: not goes_on(run), "its time is up")
    best = written(server, run)
    server.start()
    open_lay(page)
    page.get_by_role("heading", name="Improved as far as the time went").wait_for()
    assert shown(page) == best and len(best) == COUNT
