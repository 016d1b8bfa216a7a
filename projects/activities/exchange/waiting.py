"""Files that were sent and looked at, waiting for a yes: each its sender's own, for an hour.

They lie in the data folder, outside of what is served; a name can't be guessed, and the person's number in it
is asked for again when the file is fetched.
"""

from __future__ import annotations

import re
import secrets
import time
from pathlib import Path

from django.conf import settings

from projects.models import Person

from .bytes import LARGEST

LASTS = 60 * 60
MOST_EACH = 3
_TOKEN = re.compile(r"[A-Za-z0-9_-]{22}")


def keep(person: Person, data: bytes) -> str:
    """Keep a file for its sender; returns what it is fetched by. Old ones go, and the oldest of too many."""
    folder = _folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _tidy(folder, person)
    token = secrets.token_urlsafe(16)
    path = _path(person, token)
    path.touch(mode=0o600)
    path.write_bytes(data)
    return token


def fetch(person: Person, token: str) -> bytes | None:
    """The file, if it is this person's and not older than an hour."""
    if not _TOKEN.fullmatch(token):
        return None
    path = _path(person, token)
    try:
        if time.time() - path.stat().st_mtime > LASTS:
            return None
        with path.open("rb") as found:
            return found.read(LARGEST + 1)
    except OSError:
        return None


def drop(person: Person, token: str) -> None:
    if _TOKEN.fullmatch(token):
        _path(person, token).unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.DATA_DIR) / "waiting"


def _path(person: Person, token: str) -> Path:
    return _folder() / f"{person.pk}-{token}.json"


def _tidy(folder: Path, person: Person) -> None:
    for path in folder.glob("*.json"):
        if _age(path) > LASTS:
            path.unlink(missing_ok=True)
    own = sorted(folder.glob(f"{person.pk}-*.json"), key=_age)
    for path in own[MOST_EACH - 1 :]:
        path.unlink(missing_ok=True)


def _age(path: Path) -> float:
    """Seconds since it was written; one that somebody took away meanwhile counts as old."""
    try:
        return time.time() - path.stat().st_mtime
    except OSError:
        return float("inf")
