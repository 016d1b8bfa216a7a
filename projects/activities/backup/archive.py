"""The zip a backup is: its files with a manifest, written whole or not at all, and read back to be sure."""

import hashlib
import json
import os
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

MANIFEST = "manifest.json"
FORMAT = 1
BLOCK = 1 << 20


class BackupError(Exception):
    """No backup was written. The text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Report:
    """What a backup holds: its place, size in bytes, rows of all tables together, number of photographs."""

    path: Path
    size: int
    rows: int
    photographs: int


def digest(file: BinaryIO) -> str:
    """The sha256 of a file, read in blocks."""
    total = hashlib.sha256()
    while block := file.read(BLOCK):
        total.update(block)
    return total.hexdigest()


def described(files: dict[str, Path]) -> dict[str, dict[str, Any]]:
    """Name in the zip -> sha256 and size of the file as it lies on the disk."""
    found = {}
    for name, path in files.items():
        with path.open("rb") as file:
            found[name] = {"sha256": digest(file), "bytes": path.stat().st_size}
    return found


def write(part: Path, files: dict[str, Path], manifest: dict[str, Any]) -> None:
    """Write the zip and wait until it lies on the disk. Its owner alone may read it: it holds addresses."""
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
            made.writestr(MANIFEST, json.dumps(manifest, indent=1, sort_keys=True))
            for name, path in files.items():
                # Photographs are packed as they are: they would not get smaller.
                packing = zipfile.ZIP_STORED if name.startswith("photographs/") else zipfile.ZIP_DEFLATED
                made.write(path, name, packing)
        out.flush()
        os.fsync(out.fileno())


def read_back(part: Path) -> dict[str, Any]:
    """The manifest, after every file in the zip was found to be what it says. Raises ``BackupError``."""
    with zipfile.ZipFile(part) as kept:
        manifest: dict[str, Any] = json.loads(kept.read(MANIFEST))
        if set(kept.namelist()) != {MANIFEST, *manifest["files"]}:
            raise BackupError("The copy does not hold what it should; nothing was kept. Try again.")
        for name, said in manifest["files"].items():
            with kept.open(name) as file:
                if digest(file) != said["sha256"]:  # type: ignore[arg-type]
                    raise BackupError(f"{name} was not copied truly; nothing was kept. Check the disk.")
    return manifest


def settle(part: Path, target: Path) -> None:
    """Give the finished zip its name, so that a backup is either whole or not there."""
    part.replace(target)
    if os.name != "nt":
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def photographs(place: Path) -> Iterable[tuple[str, Path]]:
    """Every photograph with its name in the zip; one that is still being written has a name with a dot."""
    if place.is_dir():
        for path in sorted(place.rglob("*")):
            if path.is_file() and not path.is_symlink() and not path.name.startswith("."):
                yield f"photographs/{path.relative_to(place).as_posix()}", path
