"""The process that improves a lay, and its files in the data folder. It reads no database.

The question waits in ``NAME.asked``; the process keeps the best lay so far in ``NAME``, and ends when
``NAME.stop`` appears. It goes on when the server ends; whoever looks next finds it by the file.
"""

import contextlib
import os
import secrets
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

from django.conf import settings

MEMORY_MB, NICE = 400, 10
PATIENCE_S = 2.0
"""How long a process is given to write its best lay and end."""
QUIET_S = 20
"""A search that writes nothing for as long is taken to be gone, where nothing better can be known."""
OLD_S = 24 * 60 * 60
"""Files that nobody asks for are cleared after as long."""


def folder() -> Path:
    """The folder of searches that run, made when it is missing."""
    place = Path(settings.DATA_DIR) / "lays"
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    return place


def launch(asked: str) -> tuple[str, int]:
    """Start a search for the question in ``asked``; its name and its process. Raises OSError."""
    name = f"{secrets.token_hex(12)}.json"
    place = folder()
    question = place / f"{name}.asked"
    question.write_text(asked, encoding="utf-8")
    command = [sys.executable, "-m", "projects.calc.lay", "--save", str(place / name)]
    command += ["--nice", str(NICE), "--memory-mb", str(MEMORY_MB)]
    with question.open("rb") as given, (place / f"{name}.errors").open("wb") as errors:
        process = subprocess.Popen(
            command,
            cwd=settings.BASE_DIR,
            stdin=given,
            stdout=subprocess.DEVNULL,
            stderr=errors,
            start_new_session=True,
        )
    # Waited for in a thread, so that it leaves nothing behind when it ends before this process does.
    threading.Thread(target=process.wait, daemon=True).start()
    return name, process.pid


def best_so_far(name: str) -> str | None:
    """What the process has written last; None where there is nothing yet."""
    try:
        return (folder() / name).read_text(encoding="utf-8")
    except OSError:
        return None


def complaint(name: str) -> str:
    """The line a process left that could not lay anything; empty where there is none."""
    try:
        return (folder() / f"{name}.errors").read_text(encoding="utf-8", errors="replace").strip()[:500]
    except OSError:
        return ""


def goes_on(name: str, process: int | None) -> bool:
    """Whether the process of this search is there: another one may have its number by now."""
    if not process:
        return False
    if not Path("/proc/self/cmdline").exists():
        return _written_lately(name)
    facts = Path(f"/proc/{process}")
    try:
        state = (facts / "stat").read_bytes().rsplit(b")", 1)[1].split()[0]
        return state not in (b"Z", b"X") and name.encode() in (facts / "cmdline").read_bytes()
    except (OSError, IndexError):
        return False


def _written_lately(name: str) -> bool:
    """Where the system tells nothing of a process: it writes its file each second."""
    for path in (folder() / name, folder() / f"{name}.asked"):
        with contextlib.suppress(OSError):
            return path.stat().st_mtime > time.time() - QUIET_S
    return False


def end(name: str, process: int | None) -> None:
    """Ask a search to end, and wait until it has written its best lay; then end it in any case."""
    with contextlib.suppress(OSError):
        (folder() / f"{name}.stop").touch()
    for sign in (signal.SIGTERM, getattr(signal, "SIGKILL", signal.SIGTERM)):
        if not process or not goes_on(name, process):
            return
        with contextlib.suppress(OSError):
            os.kill(process, sign)
        until = time.monotonic() + PATIENCE_S
        while goes_on(name, process) and time.monotonic() < until:
            time.sleep(0.02)


def clear(name: str) -> None:
    """Remove the files of a search that has ended."""
    for path in folder().glob(f"{name}*"):
        with contextlib.suppress(OSError):
            path.unlink()


def clear_old(kept: set[str]) -> None:
    """Remove files of searches that no draft knows, once nothing has been written to them for long."""
    for path in folder().iterdir():
        with contextlib.suppress(OSError):
            unknown = not any(path.name.startswith(name) for name in kept)
            if unknown and path.stat().st_mtime < time.time() - OLD_S:
                path.unlink()
