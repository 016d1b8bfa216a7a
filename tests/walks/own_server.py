"""The studio served by processes of their own, from a folder of its own, so that a test can kill them."""

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
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


class OwnServer:
    """A studio with the hangings in ``folder``, on a free port; ``session`` is that of its owner."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.env = {**os.environ, "FOLDWRIGHT_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "studio.settings"}
        self.env.pop("DATABASE_URL", None)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.session = self._python(FILL).split()[-1]
        self.process: subprocess.Popen[bytes] | None = None

    def _python(self, code: str) -> str:
        command = [sys.executable, "-c", code]
        done = subprocess.run(command, cwd=HERE, env=self.env, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        return done.stdout

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
