"""The studio's data folder: can it be written, and is it on a disk that keeps a database safely?"""

import os
import sys
from pathlib import Path

from studio.bootstrap.words import Trouble
from studio.places import data_dir, ensure_data_dir

NETWORK_KINDS = ("nfs", "cifs", "smb", "afp", "9p", "fuse.sshfs", "fuse.rclone", "webdav", "fuse.davfs")
SYNCED = ("dropbox", "onedrive", "google drive", "googledrive", "icloud", "mobile documents", "nextcloud")


def check() -> Path:
    """The data folder, made when missing. Raises ``Trouble`` when it can't be written."""
    try:
        place = ensure_data_dir()
        usable = os.access(place, os.W_OK | os.X_OK)
    except OSError:
        usable = False
    if not usable:
        raise Trouble(
            f"The studio's data folder {data_dir()} can't be made or written to. Have its rights changed, "
            "or name another folder in the environment variable FOLDWRIGHT_DATA."
        )
    return place


def worry(place: Path) -> str:
    """Why a database may come to harm in this folder, or ""."""
    if any(part.lower().startswith(SYNCED) for part in place.parts):
        return _advice(place, "is kept in step by a file syncing program")
    if str(place).startswith("\\\\") or mount_kind(place, mounts()).startswith(NETWORK_KINDS):
        return _advice(place, "is on another computer's disk")
    return ""


def _advice(place: Path, why: str) -> str:
    return (
        f"Careful: the data folder {place} {why}. A database there can be damaged. Name a folder on this "
        "computer's own disk in FOLDWRIGHT_DATA, and send backups to the other one."
    )


def mounts() -> list[tuple[str, str]]:
    """Mount points and their kinds of file system, as far as the system tells without asking a program."""
    table = Path("/proc/mounts")
    if not sys.platform.startswith("linux") or not table.exists():
        return []
    lines = [line.split() for line in table.read_text(encoding="utf-8", errors="replace").splitlines()]
    return [(line[1].replace("\\040", " "), line[2]) for line in lines if len(line) > 2]


def mount_kind(place: Path, table: list[tuple[str, str]]) -> str:
    """The kind of file system a folder lies on: that of the longest mount point above it."""
    above = [(point, kind) for point, kind in table if place == Path(point) or Path(point) in place.parents]
    return max(above, key=lambda row: len(row[0]), default=("", ""))[1]
