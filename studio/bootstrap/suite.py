"""``manage.py test``: every check and every test, with what the browser tests need."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from studio.bootstrap import environment, system
from studio.bootstrap.words import Trouble, say, warn
from studio.places import ROOT

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
BROWSER_PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
)
CHECKS = (["ruff", "check", "."], ["mypy"], ["lint-imports", "--no-logo"])


def run(args: list[str]) -> int:
    """Every check, then every test; with ``args`` only pytest, with those. Returns the exit status.

    pytest runs last, and its closing line is the last one printed.
    """
    surroundings = dict(os.environ)
    if "not browser" not in " ".join(args):
        surroundings["CHROMIUM"] = browser()
    failed = [] if args else [check[0] for check in CHECKS if not _passes(check)]
    if failed:
        warn(f"Not passed: {', '.join(failed)} (see above). The tests still run; this run ends as failed.")
    # Parallel runs pay only where there are many tests; a chosen few start quicker alone.
    pytest = [sys.executable, "-m", "pytest", *(args or ["-n", "2", "--dist", "worksteal"])]
    tests = subprocess.run(pytest, cwd=ROOT, env=surroundings, check=False).returncode
    return tests or int(bool(failed))


def _passes(check: list[str]) -> bool:
    say(" ".join(check))
    program = environment.python().parent / check[0]
    return subprocess.run([str(program), *check[1:]], cwd=ROOT, check=False).returncode == 0


def browser() -> str:
    """The browser to test with: CHROMIUM, else one found, else one installed now. Raises ``Trouble``."""
    named = os.environ.get("CHROMIUM")
    if named and not (shutil.which(named) or Path(named).exists()):
        raise Trouble(f"The environment variable CHROMIUM names {named}, which does not exist.")
    return named or found_browser() or _installed_browser()


def found_browser() -> str:
    """A browser on this system, or ""."""
    on_path = next(filter(None, map(shutil.which, BROWSERS)), "")
    return on_path or next((place for place in BROWSER_PLACES if Path(place).exists()), "")


def _installed_browser() -> str:
    command = system.install_command("chromium")
    if command[:1] == ["apt-get"]:  # a Debian or Ubuntu where this process may install
        say("Installing Chromium for the browser tests: " + " ".join(command))
        if system.run(command) and (found := found_browser()):
            return found
    how = f"Install it with: {' '.join(command)}" if command else "Install Chromium or Chrome"
    raise Trouble(
        f"The browser tests need Chromium, which is missing here. {how} — or name one in the environment\n"
        'variable CHROMIUM. The tests without a browser run with: python3 manage.py test -m "not browser"'
    )
