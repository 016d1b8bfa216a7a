"""Making an environment and installing into it: uv where it works, pip otherwise."""

import importlib.util
import shutil
import subprocess
import sys
from pathlib import Path

from studio.bootstrap.words import Trouble, say

NO_NETWORK = (
    "name resolution", "network is unreachable", "failed to establish", "dns error", "getaddrinfo",
    "connection refused", "error sending request", "failed to connect", "timed out",
)
"""Parts of what pip and uv say where there is no way to the packages, in small letters."""


def base_python() -> str:
    """The Python that environments are made from, also when this one runs inside an environment."""
    return getattr(sys, "_base_executable", None) or sys.executable


def works(command: list[str]) -> bool:
    """Whether a program starts and ends well."""
    try:
        return subprocess.run(command, capture_output=True, timeout=60).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


def healthy(python: Path) -> bool:
    """Whether an environment's Python exists and starts."""
    return python.exists() and works([str(python), "-c", "import sys"])


def choose() -> str:
    """The path of a uv that works, or "" for pip."""
    uv = shutil.which("uv")
    return uv if uv and works([uv, "--version"]) else ""


def make(venv: Path, python: Path, uv: str) -> str:
    """Make an empty environment. Returns the tool to install with: ``uv``, or "" where uv failed."""
    if uv and works([uv, "venv", "--quiet", "--python", base_python(), str(venv)]) and healthy(python):
        return uv
    shutil.rmtree(venv, ignore_errors=True)
    if importlib.util.find_spec("ensurepip") is None:
        raise Trouble(_no_ensurepip())
    done = _quiet([base_python(), "-m", "venv", str(venv)])
    if done.returncode or not healthy(python):
        shutil.rmtree(venv, ignore_errors=True)
        hint = _no_ensurepip() if "ensurepip" in done.stdout else ""
        raise Trouble(f"No environment could be made in {venv}.\n{_tail(done.stdout)}\n{hint}".rstrip())
    return ""


def install(python: Path, requirements: Path, uv: str) -> None:
    """Install a requirements file into an environment; what uv can't do is tried with pip.

    Raises ``Trouble`` with pip's own last lines and what to do.
    """
    if uv:
        done = _quiet([uv, "pip", "install", "--quiet", "--python", str(python), "-r", str(requirements)])
        if not done.returncode:
            return
        say("uv could not install it; trying pip ...")
    _ensure_pip(python)
    # Django and its kin are compiled when first imported; compiling every module now would take longer.
    done = _quiet([
        str(python), "-m", "pip", "install", "--quiet", "--no-compile", "--disable-pip-version-check",
        "-r", str(requirements),
    ])
    if done.returncode:
        raise Trouble(_refusal(done.stdout))


def _ensure_pip(python: Path) -> None:
    if not works([str(python), "-m", "pip", "--version"]):
        done = _quiet([str(python), "-m", "ensurepip"])
        if done.returncode:
            raise Trouble(_no_ensurepip())


def _quiet(command: list[str]) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8", errors="replace",
        check=False,
    )


def _tail(text: str, lines: int = 12) -> str:
    return "\n".join(text.strip().splitlines()[-lines:])


def _refusal(output: str) -> str:
    if any(sign in output.lower() for sign in NO_NETWORK):
        advice = (
            "There seems to be no way to the packages on the network. Connect this computer and run the same "
            "command again."
        )
    else:
        advice = "Nothing was changed. Put right what it says and run the same command again."
    return f"What Foldwright needs could not be installed:\n{_tail(output)}\n{advice}"


def _no_ensurepip() -> str:
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return (
        "This Python comes without pip's installer (ensurepip). On Debian and Ubuntu run: "
        f"sudo apt install python{version}-venv — elsewhere install Python from python.org, or uv. "
        "Then run the same command again."
    )
