"""A copy of a PostgreSQL database: by pg_dump where it is installed, else row by row as JSON lines."""

import os
import re
import shutil
import subprocess
from collections import Counter
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.db import connection, transaction

from .archive import BackupError

DUMP, LINES = "studio.pgdump", "studio.jsonl"
LEFT_OUT = ("django_session",)
VARIABLES = {
    "dbname": "PGDATABASE", "user": "PGUSER", "password": "PGPASSWORD", "host": "PGHOST", "port": "PGPORT",
}
"""Django's connection parameters -> the variables that PostgreSQL's programs read."""
COPY = re.compile(rb'^COPY (?:"?\w+"?\.)?"?(\w+)"? \(.*\) FROM stdin;$')


def copy(folder: Path) -> tuple[Path, dict[str, int]]:
    """Copy the database into ``folder``; returns the copy and its rows by table. Raises ``BackupError``.

    Both are taken from one moment of the database, while others write.
    """
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            cursor.execute("SELECT pg_export_snapshot()")
            snapshot = cursor.fetchone()[0]
        if shutil.which("pg_dump") and shutil.which("pg_restore"):
            made = dump(folder / DUMP, snapshot)
        else:
            made = lines(folder / LINES)
        return made, rows()


def rows() -> dict[str, int]:
    """Rows by table, without those left out."""
    counts = {}
    with connection.cursor() as cursor:
        for name in sorted(set(connection.introspection.table_names(cursor)) - set(LEFT_OUT)):
            cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(name)}")
            counts[name] = cursor.fetchone()[0]
    return counts


def dump(made: Path, snapshot: str) -> Path:
    """pg_dump's own compressed format, without sign-ins, at an exported snapshot."""
    command = ["pg_dump", "--format=custom", "--no-owner", f"--snapshot={snapshot}", f"--file={made}"]
    command += [f"--exclude-table-data={name}" for name in LEFT_OUT]
    done = subprocess.run(command, env=surroundings(), capture_output=True, text=True, check=False)
    if done.returncode:
        raise BackupError(f"pg_dump could not copy the database: {done.stderr.strip()[-400:]}")
    return made


def surroundings() -> dict[str, str]:
    """The environment by which PostgreSQL's programs reach the database; others can't read it."""
    given: dict[str, Any] = connection.get_connection_params()
    return {**os.environ, **{name: str(given[key]) for key, name in VARIABLES.items() if given.get(key)}}


def lines(made: Path) -> Path:
    """One JSON object a row, of every model and every row, hidden ones too."""
    with made.open("w", encoding="utf-8") as out:
        call_command(
            "dumpdata", format="jsonl", use_base_manager=True, stdout=out,
            exclude=["sessions", "contenttypes", "auth.permission"],
        )
    return made


def rows_again(path: Path, said: dict[str, int]) -> dict[str, int]:
    """Rows by table of a copy that was read back, for the tables such a copy holds."""
    if path.name == LINES:
        return _rows_of_lines(path, said)
    listing = subprocess.run(
        ["pg_restore", "--data-only", "--file=-", str(path)], capture_output=True, check=False
    )
    if listing.returncode:
        raise BackupError("pg_restore could not read the copy back; nothing was kept. Try again.")
    return _rows_of_script(listing.stdout)


def _rows_of_script(script: bytes) -> dict[str, int]:
    counts: dict[str, int] = {}
    table = ""
    for line in script.split(b"\n"):
        if table and line == b"\\.":
            table = ""
        elif table:
            counts[table] += 1
        elif start := COPY.match(line):
            table = start[1].decode()
            counts[table] = 0
    return counts


def _rows_of_lines(path: Path, said: dict[str, int]) -> dict[str, int]:
    import json

    from django.apps import apps

    with path.open(encoding="utf-8") as file:
        found = Counter(json.loads(line)["model"] for line in file)
    held = {model._meta.db_table: found[model._meta.label_lower] for model in apps.get_models()}
    left_out = {"django_session", "django_content_type", "auth_permission"}
    return {**said, **{table: count for table, count in held.items() if table not in left_out}}
