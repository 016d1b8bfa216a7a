"""System packages: Pango for PDF sheets, Chromium for browser tests; the command that installs them here."""

import ctypes
import os
import shutil
import subprocess
import sys
from pathlib import Path

from studio.bootstrap.words import say, warn

PANGO_FILES = {
    "linux": ["libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz.so.0", "libfontconfig.so.1"],
    "darwin": ["libpango-1.0.dylib", "libpangoft2-1.0.dylib", "libharfbuzz.0.dylib", "libfontconfig.1.dylib"],
    "win32": ["libpango-1.0-0.dll", "libpangoft2-1.0-0.dll", "libharfbuzz-0.dll", "libfontconfig-1.dll"],
}
"""What WeasyPrint opens, by ``sys.platform``."""

BREW = [Path("/opt/homebrew/lib"), Path("/usr/local/lib")]
MSYS = Path("C:/msys64/ucrt64/bin")
MSYS_PACMAN = Path("C:/msys64/usr/bin/pacman.exe")
MSYS_PANGO = "mingw-w64-ucrt-x86_64-pango"

MANAGERS: list[tuple[str, list[str], dict[str, list[str]]]] = [
    ("apt-get", ["apt-get", "install", "-y"],
     {"pango": ["libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0", "fonts-dejavu-core"],
      "chromium": ["chromium"]}),
    ("dnf", ["dnf", "install", "-y"], {"pango": ["pango", "dejavu-sans-fonts"], "chromium": ["chromium"]}),
    ("apk", ["apk", "add"], {"pango": ["pango", "font-dejavu"], "chromium": ["chromium"]}),
    ("pacman", ["pacman", "-S", "--noconfirm"],
     {"pango": ["pango", "ttf-dejavu"], "chromium": ["chromium"]}),
    ("brew", ["brew", "install"], {"pango": ["pango"], "chromium": ["--cask", "chromium"]}),
]
"""Package managers in the order they are looked for: program, command, packages for each need."""


def install_command(need: str) -> list[str]:
    """The command that installs ``need`` ("pango" or "chromium") on this system; [] where none is known."""
    if sys.platform == "win32":
        can = need == "pango" and MSYS_PACMAN.exists()
        return [str(MSYS_PACMAN), "-S", "--noconfirm", MSYS_PANGO] if can else []
    for program, command, packages in MANAGERS:
        if shutil.which(program):
            return [*_as_root(program), *command, *packages[need]]
    return []


def _as_root(program: str) -> list[str]:
    return [] if program == "brew" or os.geteuid() == 0 else ["sudo"]


def pango_found() -> bool:
    """Whether the libraries that WeasyPrint opens can be opened; quicker than importing WeasyPrint."""
    names = PANGO_FILES.get(sys.platform, PANGO_FILES["linux"])
    return all(_opens(name) for name in names)


def _opens(name: str) -> bool:
    folders = {"darwin": BREW, "win32": [MSYS]}.get(sys.platform, [])
    for candidate in [name, *(str(folder / name) for folder in folders)]:
        try:
            ctypes.CDLL(candidate)
        except OSError:
            continue
        return True
    return False


def offer_pango(*, install: bool) -> None:
    """Where Pango is missing, say so with the command that installs it here, or run that command."""
    if pango_found():
        return
    command = install_command("pango")
    if install and command:
        say("Installing the system library for PDF sheets: " + " ".join(command))
        if run(command) and pango_found():
            return
        warn("That did not work; see its words above.")
    say("PDF sheets need the system library Pango, which is missing. All else works; browsers print instead.")
    say(advice(command))


def advice(command: list[str]) -> str:
    if not command and sys.platform == "win32":
        return f"To have them, install MSYS2 from msys2.org, then run in its console: pacman -S {MSYS_PANGO}"
    if not command:
        return "To have them, install Pango 1.44 or later by your system's package manager, and start again."
    return "To have them, run: " + " ".join(command) + "   (or start with --install-system)"


def run(command: list[str]) -> bool:
    """Run an installation, shown as it goes; apt's list of packages is brought up to date first."""
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    try:
        if "apt-get" in command:
            refresh = [*command[: command.index("apt-get")], "apt-get", "update", "-qq"]
            subprocess.run(refresh, env=quiet, check=False)
        return subprocess.run(command, env=quiet, check=False).returncode == 0
    except OSError:
        return False
