"""The server killed with a timer running: it runs on from when it was started, and is stopped once."""

import math
import sqlite3
import time
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.walks.own_server import OwnServer

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/cmdline").exists(), reason="kills a group of processes"
)

TOKEN = "a" * 32


@pytest.fixture
def server(tmp_path: Path) -> Iterator[OwnServer]:
    own = OwnServer(tmp_path)
    own.start()
    yield own
    own.kill()


def ask(server: OwnServer, address: str, **data: str) -> str:
    """A page; with ``data`` what a form that was posted leads to."""
    headers = {"Cookie": f"sessionid={server.session}"}
    body = None
    if data:
        headers["Cookie"] += f"; csrftoken={TOKEN}"
        headers["X-CSRFToken"] = TOKEN
        body = urllib.parse.urlencode(data).encode()
    request = urllib.request.Request(server.address + address, data=body, headers=headers)
    with urllib.request.urlopen(request, timeout=60) as answer:
        return str(answer.read().decode())


def logs(server: OwnServer) -> list[tuple[str | None, str | None, int | None]]:
    with closing(sqlite3.connect(server.folder / "studio.sqlite3")) as database:
        found = "SELECT started_at, ended_at, minutes FROM projects_labourlog WHERE started_at IS NOT NULL"
        return list(database.execute(found))


def begin_earlier(server: OwnServer, minutes: int) -> None:
    """The timer that runs was started so long ago: as if the server had been off all the while."""
    at = (datetime.now(UTC) - timedelta(minutes=minutes)).strftime("%Y-%m-%d %H:%M:%S.%f")
    with closing(sqlite3.connect(server.folder / "studio.sqlite3")) as database:
        database.execute("UPDATE projects_labourlog SET started_at = ? WHERE minutes IS NULL", [at])
        database.commit()


def test_a_timer_outlives_the_server(server: OwnServer) -> None:
    ask(server, "/hours/start/", stage="cut", back="/hours/")
    begun = logs(server)
    server.kill()
    assert logs(server) == begun
    begin_earlier(server, 25)  # less than is asked about over midnight
    moved = time.monotonic()
    server.start()
    assert 'id="timer-stop"' in ask(server, "/hours/")
    ask(server, "/hours/start/", stage="cut", back="/hours/")
    assert len(logs(server)) == 1, "the same start again is no second timer"
    ask(server, "/hours/stop/", back="/hours/")
    (_, _, minutes), = logs(server)
    meanwhile = (time.monotonic() - moved) / 60  # a busy machine takes minutes to start the server
    assert minutes is not None and 25 <= minutes <= 25 + math.ceil(meanwhile)


def test_a_night_without_a_server_is_asked_about(server: OwnServer) -> None:
    ask(server, "/hours/start/", stage="cut", back="/hours/")
    server.kill()
    begin_earlier(server, 12 * 60)
    server.start()
    assert "did you stop?" in ask(server, "/hours/stop/", back="/hours/")
    assert [minutes for _, _, minutes in logs(server)] == [None]
    ask(server, "/hours/stopped/", when="last", back="/hours/")
    assert logs(server) == [], "there was no sign of work after the start"
