"""A copy of a SQLite database that is in use, with its own checks."""

import sqlite3
from contextlib import closing
from pathlib import Path

from .archive import BackupError

NAME = "studio.sqlite3"
LEFT_OUT = ("django_session",)
"""Sign-ins stay out of a backup."""


def copy(database: Path, folder: Path) -> tuple[Path, dict[str, int]]:
    """Copy ``database`` into ``folder``; returns the copy and its rows by table. Raises ``BackupError``.

    VACUUM INTO reads one moment of the database while others write, and includes what is still in its
    journal; copying the file would not.
    """
    made = folder / NAME
    with closing(sqlite3.connect(database, timeout=20, isolation_level=None)) as source:
        source.execute("VACUUM INTO ?", [str(made)])
    with closing(sqlite3.connect(made, isolation_level=None)) as kept:
        for table in LEFT_OUT:
            kept.execute(f"DELETE FROM {table}")
        kept.execute("VACUUM")  # what was deleted leaves the file, too
        check(kept)
        return made, rows(kept)


def check(connection: sqlite3.Connection) -> None:
    """Raise ``BackupError`` for a damaged file, or for rows that point to nothing."""
    damage = [row[0] for row in connection.execute("PRAGMA integrity_check")]
    if damage != ["ok"]:
        raise BackupError(
            f"The database is damaged ({'; '.join(damage[:3])}). No backup was written; keep the last one."
        )
    astray = {row[0] for row in connection.execute("PRAGMA foreign_key_check")}
    if astray:
        names = ", ".join(sorted(astray))
        raise BackupError(f"Rows of {names} point to rows that are gone. No backup was written.")


def rows(connection: sqlite3.Connection) -> dict[str, int]:
    """Rows by table."""
    query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    tables = [name for (name,) in connection.execute(query)]
    return {name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in tables}


def rows_again(path: Path) -> dict[str, int]:
    """Rows by table of a copy that was read back, checked once more."""
    with closing(sqlite3.connect(path)) as kept:
        check(kept)
        return rows(kept)
