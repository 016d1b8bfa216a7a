"""A studio served as people are served: a data folder of its own, the real server, a browser's requests.

To be imported before anything that needs Django's settings.
"""

from __future__ import annotations

import atexit
import http.client
import os
import secrets
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from pathlib import Path
from urllib.parse import urlencode

_FOLDER = tempfile.TemporaryDirectory(prefix="foldwright-bench-")
atexit.register(_FOLDER.cleanup)
os.environ |= {"FOLDWRIGHT_DATA": _FOLDER.name, "DJANGO_SETTINGS_MODULE": "studio.settings"}

import django  # noqa: E402

django.setup()

from django.test import Client  # noqa: E402

from projects.models import Person  # noqa: E402
from studio.bootstrap import database, static_files  # noqa: E402
from tests.bench.memory import memory_mb  # noqa: E402

SERVE = "from studio.bootstrap.serve import serve; serve('127.0.0.1', {port}, ready=lambda: None)"
START_S = 60


def prepared() -> None:
    """The database as at a first start, and the static files collected."""
    database.prepare()
    static_files.collect()


class Server:
    """The studio's server in processes of its own; ``page`` and ``post`` as somebody signed in."""

    def __init__(self, person: Person) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        signed_in = Client()
        signed_in.force_login(person)
        self.token = secrets.token_hex(16)
        session = signed_in.cookies["sessionid"].value
        self.cookies = f"sessionid={session}; csrftoken={self.token}"
        self.process = subprocess.Popen([sys.executable, "-c", SERVE.format(port=self.port)])

    def __enter__(self) -> Server:
        until = time.monotonic() + START_S
        while time.monotonic() < until:
            try:
                self.page("/")
                return self
            except OSError:
                time.sleep(0.2)
        self.process.terminate()
        raise TimeoutError("The server does not answer.")

    def __exit__(self, *_: object) -> None:
        self.process.terminate()
        self.process.wait()

    def page(self, address: str, *, live: bool = False) -> bytes:
        return self._asked("GET", address, None, live)

    def post(self, address: str, **values: str) -> bytes:
        posted = {"op": str(uuid.uuid4()), "units": "metric", **values}
        return self._asked("POST", address, urlencode(posted), True)

    def _asked(self, verb: str, address: str, body: str | None, live: bool) -> bytes:
        headers = {"Cookie": self.cookies, "X-CSRFToken": self.token}
        headers |= {"HX-Request": "true"} if live else {}
        headers |= {"Content-Type": "application/x-www-form-urlencoded"} if body else {}
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        line.request(verb, address, body, headers)
        answer = line.getresponse()
        text = answer.read()
        line.close()
        assert answer.status in (200, 204), f"{verb} {address}: {answer.status} {text[:300]!r}"
        return text

    def workers(self) -> dict[int, float]:
        """Processes that answer, each with the memory it holds (MB)."""
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()
        ours = [int(pid) for pid in children]
        return {pid: memory_mb(pid) for pid in ours if b"calc.lay" not in command(pid)}


def command(pid: int) -> bytes:
    return Path(f"/proc/{pid}/cmdline").read_bytes()
