"""The house keeps its rules: what lies at the top, documented settings, no forgotten migration, headers."""

import ast
import re
import subprocess
from pathlib import Path

import pytest
from django.core.management import call_command
from django.test import Client

ROOT = Path(__file__).resolve().parent.parent.parent
TOP = {
    "README.md", "DEVELOPERS.md", "manage.py", "studio", "projects", "templates", "static", "tests",
    "requirements.txt",
}


def tracked() -> list[str]:
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("not a git work tree")
    return done.stdout.splitlines()


def test_nothing_else_lies_at_the_top() -> None:
    visible = {name.split("/")[0] for name in tracked() if not name.startswith(".")}
    assert visible == TOP


def test_no_data_or_environment_is_kept_in_git() -> None:
    own = (".venv", ".data")
    assert not [name for name in tracked() if name.startswith(own) or name.endswith(".sqlite3")]


def variables(path: Path) -> set[str]:
    """Names of environment variables that a module reads or sets."""
    return set(re.findall(r"environ(?:\.\w+\(|\[)\s*[\"'](\w+)[\"']", path.read_text(encoding="utf-8")))


def test_every_setting_from_the_environment_is_documented() -> None:
    read = set().union(*map(variables, (ROOT / "studio").rglob("*.py")))
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    documented = set(re.findall(r"^\| `(\w+)` \|", guide, re.M))
    assert {"FOLDWRIGHT_DATA", "DATABASE_URL", "FOLDWRIGHT_HOSTS"} <= read
    assert read <= documented, f"not in DEVELOPERS.md: {sorted(read - documented)}"


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def unseeded(text: str) -> list[int]:
    """Lines of a module that use ``random`` other than as ``random.Random(seed)``."""
    lines = []
    nodes = list(ast.walk(ast.parse(text)))
    # Where the module is not imported, the name is that of a seeded one that was handed over.
    there = any(isinstance(n, ast.Import) and any(a.name == "random" for a in n.names) for n in nodes)
    for node in nodes:
        if there and isinstance(node, ast.Attribute) and getattr(node.value, "id", "") == "random":
            lines += [node.lineno] if node.attr != "Random" else []
        if isinstance(node, ast.Call) and not node.args:
            called = getattr(node.func, "attr", getattr(node.func, "id", ""))
            lines += [node.lineno] if called == "Random" else []
        if isinstance(node, ast.ImportFrom) and node.module == "random":
            lines += [node.lineno for name in node.names if name.name != "Random"]
    return sorted(lines)


def test_calc_uses_no_randomness_without_a_seed() -> None:
    assert unseeded("import random\nrandom.random()\nrandom.Random()\nrandom.Random(1)") == [2, 3]
    handed = "from random import Random\ndef draw(random: Random): return random.random()\nRandom()"
    assert unseeded(handed) == [3]
    for path in (ROOT / "projects" / "calc").rglob("*.py"):
        assert unseeded(path.read_text(encoding="utf-8")) == [], path.name


@pytest.mark.parametrize("address", ["/", "/sign-in/", "/nowhere/"])
def test_every_answer_carries_the_strict_policy(owner_page: Client, address: str) -> None:
    headers = owner_page.get(address).headers
    policy = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert policy["object-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "geolocation=()" in headers["Permissions-Policy"]


def test_a_page_is_not_kept_by_the_browser(owner_page: Client) -> None:
    assert "no-store" in owner_page.get("/").headers["Cache-Control"]
