"""The environment in ``.venv``: made when missing, brought up to date when requirements change.

A stamp inside it holds the hash of the requirements that were installed, so that a start with nothing to do
costs nothing. A mark inside it says that an installation is under way; found at a later start, it means that
one was interrupted, and the environment is made anew.
"""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from studio.bootstrap import installers
from studio.bootstrap.words import Trouble, say
from studio.places import ROOT

VENV = ROOT / ".venv"
UNDER_WAY = VENV / ".being-installed"
REQUIREMENTS = "requirements.txt"
TEST_REQUIREMENTS = ".requirements-test.txt"


def python() -> Path:
    """The environment's own Python, whether it exists or not."""
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def inside() -> bool:
    """Whether this process runs in the environment already."""
    return Path(sys.prefix).resolve() == VENV.resolve()


def fingerprint(name: str) -> str:
    """The hash of a requirements file and of those it includes."""
    text = (ROOT / name).read_text(encoding="utf-8")
    digest = hashlib.sha256(text.encode())
    for line in text.splitlines():
        if line.startswith("-r "):
            digest.update(fingerprint(line[3:].strip()).encode())
    return digest.hexdigest()


def stamp(name: str) -> Path:
    return VENV / f".installed-{name.strip('.')}"


def ready(name: str) -> bool:
    """Whether the environment holds what ``name`` asks for."""
    if UNDER_WAY.exists() or not python().exists():
        return False
    try:
        return stamp(name).read_text(encoding="ascii") == fingerprint(name)
    except FileNotFoundError:
        return False


def ensure(name: str = REQUIREMENTS) -> bool:
    """Make the environment hold what ``name`` asks for. True when this process runs inside it.

    Raises ``Trouble`` where it can't be made.
    """
    if not ready(name):
        _check_folder()
        with _alone():
            if not ready(name):  # another start may have made it while this one waited
                _install(name)
    return inside()


def again(argv: list[str]) -> int:
    """Run the same command inside the environment; takes this process's place where the system can."""
    command = [str(python()), str(ROOT / "manage.py"), *argv]
    sys.stdout.flush()
    if os.name != "nt":
        os.execv(command[0], command)
    return subprocess.call(command)


def _check_folder() -> None:
    if not os.access(ROOT, os.W_OK):
        raise Trouble(
            f"The folder {ROOT} can't be written to, so no environment can be made in it. "
            "Move Foldwright to a folder of your own, or have this one's rights changed."
        )


def _install(name: str) -> None:
    if UNDER_WAY.exists() or not installers.healthy(python()):
        shutil.rmtree(VENV, ignore_errors=True)
    say(f"Installing what Foldwright needs into {VENV} (once; it may take a minute) ...")
    tool = installers.choose()
    if not python().exists():
        tool = installers.make(VENV, python(), tool)
    UNDER_WAY.touch()
    try:
        installers.install(python(), ROOT / name, tool)
    except Trouble:
        UNDER_WAY.unlink()  # refused in good order: what was there before is whole
        raise
    stamp(name).write_text(fingerprint(name), encoding="ascii")
    UNDER_WAY.unlink()


@contextmanager
def _alone() -> Iterator[None]:
    """One installation at a time, by a lock on the project's folder (where the system has such locks)."""
    if os.name == "nt":
        yield
        return
    import fcntl

    handle = os.open(ROOT, os.O_RDONLY)
    try:
        # On a file system without locks it goes on: two first starts at once are rarer than such folders.
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
