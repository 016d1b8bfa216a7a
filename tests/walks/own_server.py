"""The studio served by processes of their own, from a folder of its own, so that a test can kill them."""

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

PATIENCE_S = 90
HERE = Path(__file__).resolve().parent.parent.parent
FILL = """
import django; django.setup()
from django.test import Client
from studio.bootstrap import database, static_files
database.prepare(); static_files.collect()
from projects.models import Person
from tests import make
from tests.walks.hangings import hangings
make.workroom()
wren = make.person("wren", shown_name="Wren", role=Person.OWNER)
hangings(wren)
page = Client(); page.force_login(wren)
print(page.cookies["sessionid"].value)
"""
SERVE = "from studio.bootstrap.serve import serve; serve('127.0.0.1', {port}, ready=lambda: None)"


def environment(folder: Path) -> dict[str, str]:
    """That of a studio in ``folder``, on SQLite whatever the tests run on."""
    usual = {**os.environ, "FOLDWRIGHT_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "studio.settings"}
    usual.pop("DATABASE_URL", None)
    return usual


@cache
def filled() -> tuple[tempfile.TemporaryDirectory[str], str]:
    """A folder with the hangings, and its owner's session; filled once, each server works on a copy."""
    kept = tempfile.TemporaryDirectory(prefix="foldwright-filled-")
    done = subprocess.run(
        [sys.executable, "-c", FILL], cwd=HERE, env=environment(Path(kept.name)), capture_output=True,
        text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return kept, done.stdout.split()[-1]


class OwnServer:
    """A studio with the hangings in ``folder``, on a free port; ``session`` is that of its owner."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.env = environment(folder)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        kept, self.session = filled()
        shutil.copytree(kept.name, folder, dirs_exist_ok=True)
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Serve, and wait until somebody answers."""
        command = [sys.executable, "-c", SERVE.format(port=self.port)]
        # A group of its own, so that all its processes can be killed at one blow; a search is in another.
        self.process = subprocess.Popen(command, cwd=HERE, env=self.env, start_new_session=True)
        self._until(listens=True)

    def kill(self) -> None:
        """As a power cut would: no process of the server gets to do anything more."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None
            # The last of its workers may hold the door open for a moment longer.
            self._until(listens=False)

    def _until(self, *, listens: bool) -> None:
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            with socket.socket() as line:
                if (line.connect_ex(("127.0.0.1", self.port)) == 0) is listens:
                    return
            time.sleep(0.1)
        raise AssertionError(f"the server does not {'start' if listens else 'end'}")

    def search(self) -> tuple[str, int]:
        """The file and the process of the search that runs, as the database has them."""
        with closing(sqlite3.connect(self.folder / "studio.sqlite3")) as database:
            row: tuple[str, int] = database.execute("SELECT run, process FROM projects_laydraft").fetchone()
        return row

    def cookie(self) -> dict[str, Any]:
        return {"name": "sessionid", "value": self.session, "url": self.address}
