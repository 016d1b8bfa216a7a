"""From this database into another, and back: on PostgreSQL the other one is SQLite, so both ways are gone.

The other studio is a process of its own with a data folder of its own. ``FOLDWRIGHT_OTHER_DATABASE`` may name
another database for it; it is emptied.
"""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from projects.activities.demo import load_demo

from .studios import decoys, plans
from .test_round_trip import all_of_the_demo, bring, differing, seeded, taken_out

pytestmark = pytest.mark.django_db


class Other:
    """The other studio, by its commands."""

    def __init__(self, folder: Path) -> None:
        self.environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings", "PYTHONUTF8": "1"}
        self.environment["FOLDWRIGHT_DATA"] = str(folder)
        self.environment["DATABASE_URL"] = os.environ.get("FOLDWRIGHT_OTHER_DATABASE", "")
        self.run("migrate", "-v0")
        self.run("flush", "-v0", "--noinput")

    def run(self, *words: str) -> str:
        command = [sys.executable, "-m", "django", *words]
        done = subprocess.run(
            command, cwd=settings.BASE_DIR, env=self.environment, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        return done.stdout


def of_the_demo() -> tuple[dict[int, str], dict[int, str]]:
    files, wanted = taken_out(lambda: load_demo(owner_password="demo"))
    all_of_the_demo(wanted)
    return files, wanted


STUDIOS = {"4": lambda: seeded(4), "6": lambda: seeded(6), "demo": of_the_demo}


@pytest.mark.parametrize("studio", STUDIOS.values(), ids=STUDIOS)
def test_a_plan_is_the_same_in_another_database_and_back(studio: Any, tmp_path: Path) -> None:
    files, wanted = studio()
    other = Other(tmp_path / "data")
    decoys()
    for number, text in files.items():
        there, back = tmp_path / f"{number}.json", tmp_path / f"{number}-back.json"
        there.write_text(text, encoding="utf-8")
        other.run("import_project", str(there))
        assert differing(other.run("plan", str(number), "--json").rstrip("\n"), wanted[number]) == []
        other.run("export_project", str(number), str(back))
        bring(back.read_text(encoding="utf-8"))
    now = plans()
    assert [line for number in wanted for line in differing(now[number], wanted[number])] == []
