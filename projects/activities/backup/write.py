"""Writes a backup: a copy of the database first, photographs after it, read back before it gets its name."""

import sqlite3
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from . import archive, postgres, sqlite
from .archive import BackupError, Report


def write_backup(target: Path, *, force: bool = False) -> Report:
    """Write everything the studio owns, but its key and its sign-ins, to the zip ``target``.

    It is read back and checked before it gets its name. Raises ``BackupError``, for one when ``target`` is
    there already and ``force`` is not given; then nothing was written.
    """
    target = target.expanduser().absolute()
    _check_target(target, force)
    part = target.with_name(target.name + ".part")
    try:
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=".backup-") as folder:
            manifest = _write(part, Path(folder))
            _verify(part, Path(folder), manifest)
        archive.settle(part, target)
    except (OSError, sqlite3.Error, zipfile.BadZipFile) as error:
        raise BackupError(
            f"No backup was written to {target}: {error}. Check that its disk has room, and try again."
        ) from error
    finally:
        part.unlink(missing_ok=True)
    photographs = sum(name.startswith("photographs/") for name in manifest["files"])
    return Report(target, target.stat().st_size, sum(manifest["rows"].values()), photographs)


def _check_target(target: Path, force: bool) -> None:
    if not target.parent.is_dir():
        raise BackupError(f"There is no folder {target.parent}. Make it first, or name another place.")
    if target.is_dir():
        raise BackupError(f"{target} is a folder. Name a file in it, such as {target / 'foldwright.zip'}")
    if target.exists() and not force:
        raise BackupError(
            f"{target} is there already and was left alone. Name another file, or add --force to replace it."
        )


def _write(part: Path, folder: Path) -> dict[str, Any]:
    migrations = sorted(".".join(key) for key in MigrationRecorder(connection).applied_migrations())
    on_sqlite = connection.vendor == "sqlite"
    made, rows = sqlite.copy(_database_file(), folder) if on_sqlite else postgres.copy(folder)
    # Photographs come after the rows that name them: one too many does no harm, one too few would.
    files = {made.name: made, **dict(archive.photographs(Path(settings.MEDIA_ROOT)))}
    manifest = {
        "format": archive.FORMAT, "program": "Foldwright",
        "made_at": timezone.now().isoformat(timespec="seconds"),
        "engine": connection.vendor, "database": made.name, "rows": rows, "migrations": migrations,
        "files": archive.described(files),
    }
    archive.write(part, files, manifest)
    return manifest


def _verify(part: Path, folder: Path, manifest: dict[str, Any]) -> None:
    if archive.read_back(part) != manifest:
        raise BackupError("The copy's list of contents was not written truly; nothing was kept. Try again.")
    with zipfile.ZipFile(part) as kept:
        again = Path(kept.extract(manifest["database"], folder / "again"))
    on_sqlite = manifest["engine"] == "sqlite"
    rows = sqlite.rows_again(again) if on_sqlite else postgres.rows_again(again, manifest["rows"])
    if _filled(rows) != _filled(manifest["rows"]):
        raise BackupError("The copy holds other rows than the database; nothing was kept. Try again.")


def _filled(rows: dict[str, int]) -> dict[str, int]:
    return {name: count for name, count in rows.items() if count}


def _database_file() -> Path:
    return Path(connection.settings_dict["NAME"])
