"""From this database into another, and back: on PostgreSQL the other one is SQLite, so both ways are gone.

The other studio is a process of its own with a data folder of its own. ``FOLDWRIGHT_OTHER_DATABASE`` may name
another database for it; it is emptied.
"""

import json
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


COMMANDS = """
import io, json, sys
import django; django.setup()
from django.core.management import call_command
said = []
for words in json.load(sys.stdin):
    out = io.StringIO()
    call_command(*words, stdout=out)
    said.append(out.getvalue())
json.dump(said, sys.stdout)
"""


class Other:
    """The other studio, by its commands."""

    def __init__(self, folder: Path) -> None:
        self.environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings", "PYTHONUTF8": "1"}
        self.environment["FOLDWRIGHT_DATA"] = str(folder)
        self.environment["DATABASE_URL"] = os.environ.get("FOLDWRIGHT_OTHER_DATABASE", "")
        self.run(["migrate", "-v0"], ["flush", "-v0", "--noinput"])

    def run(self, *commands: list[str]) -> list[str]:
        """What each said; in one process, since starting takes longer than most of them."""
        done = subprocess.run(
            [sys.executable, "-c", COMMANDS], cwd=settings.BASE_DIR, env=self.environment,
            input=json.dumps(commands), capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return list(json.loads(done.stdout))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The other studio's data, emptied before each use."""
    return tmp_path_factory.mktemp("other")


def of_the_demo() -> tuple[dict[int, str], dict[int, str]]:
    files, wanted = taken_out(lambda: load_demo(owner_password="demo"))
    all_of_the_demo(wanted)
    return files, wanted


STUDIOS = {"4": lambda: seeded(4), "6": lambda: seeded(6), "demo": of_the_demo}


@pytest.mark.parametrize("studio", STUDIOS.values(), ids=STUDIOS)
def test_a_plan_is_the_same_in_another_database_and_back(studio: Any, folder: Path, tmp_path: Path) -> None:
    files, wanted = studio()
    other = Other(folder)
    decoys()
    commands = []
    for number, text in files.items():
        there, back = tmp_path / f"{number}.json", tmp_path / f"{number}-back.json"
        there.write_text(text, encoding="utf-8")
        commands += [
            ["import_project", str(there)],
            ["plan", str(number), "--json"],
            ["export_project", str(number), str(back)],
        ]
    said = other.run(*commands)[1::3]
    for number, plan in zip(files, said, strict=True):
        assert differing(plan.rstrip("\n"), wanted[number]) == []
        bring((tmp_path / f"{number}-back.json").read_text(encoding="utf-8"))
    now = plans()
    assert [line for number in wanted for line in differing(now[number], wanted[number])] == []
