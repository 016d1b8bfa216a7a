"""What stands behind manage.py, piece by piece; nothing is installed here."""

import argparse
import os
import socket
import stat
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from studio import places
from studio.bootstrap import (
    commands,
    database,
    environment,
    installers,
    network,
    options,
    serve,
    static_files,
    storage,
    suite,
    system,
    up,
)
from studio.bootstrap.words import Trouble

ROOT = places.ROOT


@pytest.fixture
def empty_house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project folder with requirements and a pretended environment."""
    (tmp_path / "requirements.txt").write_text("one==1\n")
    (tmp_path / ".requirements-test.txt").write_text("-r requirements.txt\ntwo==2\n")
    venv = tmp_path / ".venv"
    monkeypatch.setattr(environment, "ROOT", tmp_path)
    monkeypatch.setattr(environment, "VENV", venv)
    monkeypatch.setattr(environment, "UNDER_WAY", venv / ".being-installed")
    return tmp_path


class Installing:
    """Stands in for uv and pip: makes the files they would make, and remembers what it was asked."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, fails: BaseException | None = None) -> None:
        self.made = self.installed = 0
        self.fails = fails
        monkeypatch.setattr(installers, "choose", lambda: "")
        monkeypatch.setattr(installers, "healthy", Path.exists)
        monkeypatch.setattr(installers, "make", self.make)
        monkeypatch.setattr(installers, "install", self.install)

    def make(self, venv: Path, python: Path, uv: str) -> str:
        self.made += 1
        python.parent.mkdir(parents=True)
        python.touch()
        return uv

    def install(self, python: Path, requirements: Path, uv: str) -> None:
        self.installed += 1
        if self.fails:
            raise self.fails


def test_the_environment_is_made_once(empty_house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tools = Installing(monkeypatch)
    assert environment.ensure() is False
    assert environment.ensure() is False
    assert (tools.made, tools.installed) == (1, 1)


def test_changed_requirements_are_installed(empty_house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tools = Installing(monkeypatch)
    environment.ensure()
    (empty_house / "requirements.txt").write_text("one==2\n")
    assert not environment.ready("requirements.txt")
    environment.ensure()
    assert (tools.made, tools.installed) == (1, 2)


def test_the_tests_requirements_follow_those_they_include(empty_house: Path) -> None:
    before = environment.fingerprint(".requirements-test.txt")
    (empty_house / "requirements.txt").write_text("one==2\n")
    assert environment.fingerprint(".requirements-test.txt") != before


def test_an_interrupted_one_is_begun_anew(empty_house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tools = Installing(monkeypatch, fails=KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        environment.ensure()
    leftover = environment.VENV / "half"
    leftover.touch()
    assert not environment.ready("requirements.txt")
    tools.fails = None
    environment.ensure()
    assert environment.ready("requirements.txt") and not leftover.exists() and tools.made == 2


def test_a_refused_one_leaves_what_was_there(empty_house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tools = Installing(monkeypatch)
    environment.ensure()
    (empty_house / "requirements.txt").write_text("one==2\n")
    tools.fails = Trouble("no network")
    with pytest.raises(Trouble):
        environment.ensure()
    tools.fails = None
    environment.ensure()
    assert tools.made == 1


def test_a_folder_that_can_not_be_written_is_told(empty_house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(Trouble, match="can't be written to"):
        environment.ensure()


def test_uv_is_used_only_where_it_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    uv = tmp_path / "uv"
    monkeypatch.setenv("PATH", str(tmp_path))
    assert installers.choose() == ""
    uv.write_text("#!/bin/sh\nexit 127\n")
    uv.chmod(0o755)
    assert installers.choose() == ""
    uv.write_text("#!/bin/sh\nexit 0\n")
    assert installers.choose() == str(uv)


def test_what_uv_can_not_install_pip_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def run(command: list[str]) -> Any:
        asked.append(command[1])
        return subprocess.CompletedProcess(command, int(command[0] == "uv"), stdout="")

    monkeypatch.setattr(installers, "_quiet", run)
    monkeypatch.setattr(installers, "works", lambda command: True)
    installers.install(Path("python"), Path("requirements.txt"), "uv")
    assert asked == ["pip", "-m"]


@pytest.mark.parametrize(("said", "advice"), [
    ("Temporary failure in name resolution", "no way to the packages on the network"),
    ("No matching distribution found for one==9", "Put right what it says"),
])
def test_why_nothing_was_installed(monkeypatch: pytest.MonkeyPatch, said: str, advice: str) -> None:
    monkeypatch.setattr(installers, "_quiet", lambda c: subprocess.CompletedProcess(c, 1, stdout=said))
    monkeypatch.setattr(installers, "works", lambda command: True)
    with pytest.raises(Trouble, match=advice) as told:
        installers.install(Path("python"), Path("requirements.txt"), "")
    assert said in str(told.value)


def test_a_python_without_ensurepip_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(installers.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(Trouble, match="apt install python3"):
        installers.make(tmp_path / "venv", tmp_path / "venv/bin/python", "")


def test_an_old_python_is_told_in_words_it_can_read() -> None:
    source = (ROOT / "manage.py").read_text()
    before = source.split("from studio")[0].replace("sys.version_info < (3, 11)", "True")
    done = subprocess.run([sys.executable, "-c", before], capture_output=True, text=True, check=False)
    assert done.returncode == 1 and "needs Python 3.11 or later" in done.stderr
    assert 'f"' not in before and ":=" not in before


def test_a_busy_port_is_told_with_another() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(Trouble, match=f"Port {port} is busy") as told:
            network.check_free("127.0.0.1", port)
    assert f"--port {port + 1}" in str(told.value)
    network.check_free("127.0.0.1", port)


def test_an_address_of_another_computer_is_told() -> None:
    with pytest.raises(Trouble, match="no address 203.0.113.9"):
        network.check_free("203.0.113.9", 8471)


@pytest.mark.parametrize("typed", ["0", "65536", "-1", "8k", "٣", "1e3", ""])
def test_a_port_that_is_none(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        options.read(["--port", typed])
    assert ended.value.code == 2 and "from 1 to 65535" in capsys.readouterr().err


def test_it_listens_on_this_computer_unless_told() -> None:
    chosen = options.read([])
    assert (chosen.host, chosen.port, chosen.no_demo) == ("127.0.0.1", 8000, False)
    assert network.only_here(chosen.host) and network.only_here("::1") and not network.only_here("0.0.0.0")


def test_hosts_are_those_it_is_reached_by(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network, "house_address", lambda: "192.0.2.7")
    monkeypatch.setenv("FOLDWRIGHT_HOSTS", "studio.example")
    up.set_hosts("127.0.0.1")
    assert os.environ["FOLDWRIGHT_HOSTS"] == "studio.example,localhost,127.0.0.1,[::1]"
    up.set_hosts("0.0.0.0")
    assert "192.0.2.7" in os.environ["FOLDWRIGHT_HOSTS"].split(",")
    assert "*" not in os.environ["FOLDWRIGHT_HOSTS"]


def test_the_key_is_made_once_for_its_owner_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FOLDWRIGHT_DATA", str(tmp_path / "data"))
    keys: list[str] = []
    threads = [threading.Thread(target=lambda: keys.append(places.secret_key())) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(keys) == 8 and len(set(keys)) == 1 and len(keys[0]) >= 80
    assert stat.S_IMODE((tmp_path / "data" / "key").stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "data").stat().st_mode) == 0o700
    assert [path.name for path in (tmp_path / "data").iterdir()] == ["key"]


def test_a_data_folder_that_can_not_be_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("FOLDWRIGHT_DATA", str(tmp_path / "file" / "data"))
    with pytest.raises(Trouble, match="FOLDWRIGHT_DATA"):
        storage.check()


def test_network_disks_and_synced_folders_are_worrying(monkeypatch: pytest.MonkeyPatch) -> None:
    table = [("/", "ext4"), ("/mnt/shelf", "nfs4"), ("/mnt/shelf/inner", "ext4")]
    monkeypatch.setattr(storage, "mounts", lambda: table)
    assert "another computer's disk" in storage.worry(Path("/mnt/shelf/studio"))
    assert "syncing" in storage.worry(Path("/home/wren/Dropbox/studio"))
    assert storage.worry(Path("/mnt/shelf/inner/studio")) == "" == storage.worry(Path("/home/wren/studio"))


def test_static_files_are_collected_when_they_change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "static").mkdir()
    (tmp_path / "requirements.txt").touch()
    sheet = tmp_path / "static" / "app.css"
    sheet.write_text("a")
    monkeypatch.setattr(static_files, "ROOT", tmp_path)
    first = static_files.fingerprint()
    assert static_files.fingerprint() == first
    sheet.write_text("b")
    assert static_files.fingerprint() != first


@pytest.mark.parametrize(("manager", "words"), [
    ("apt-get", "apt-get install -y libpango-1.0-0 libpangoft2-1.0-0"), ("dnf", "dnf install -y pango"),
    ("apk", "apk add pango"), ("pacman", "pacman -S --noconfirm pango"), ("brew", "brew install pango"),
])
def test_the_command_for_pango(monkeypatch: pytest.MonkeyPatch, manager: str, words: str) -> None:
    monkeypatch.setattr(system.shutil, "which", lambda name: f"/usr/bin/{name}" if name == manager else None)
    monkeypatch.setattr(system.sys, "platform", "linux")
    assert words in " ".join(system.install_command("pango"))


def test_missing_pango_is_said_and_nothing_is_installed_unasked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(system, "pango_found", lambda: False)
    monkeypatch.setattr(system, "install_command", lambda need: ["install", need])
    ran: list[list[str]] = []
    monkeypatch.setattr(system, "run", lambda command: bool(ran.append(command)))
    system.offer_pango(install=False)
    assert ran == [] and "run: install pango" in capsys.readouterr().out
    system.offer_pango(install=True)
    assert ran == [["install", "pango"]]


def test_missing_browser_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setattr(suite, "found_browser", lambda: "")
    monkeypatch.setattr(system, "install_command", lambda need: ["sudo", "dnf", "install", need])
    with pytest.raises(Trouble, match="sudo dnf install chromium"):
        suite.browser()
    monkeypatch.setenv("CHROMIUM", "/nowhere/chromium")
    with pytest.raises(Trouble, match="/nowhere/chromium, which does not exist"):
        suite.browser()


def test_troubles_end_as_words_and_ctrl_c_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(error: BaseException) -> Any:
        def raising(argv: list[str]) -> int:
            raise error

        return raising

    monkeypatch.setattr(commands, "run", fail(Trouble("Do this.")))
    assert commands.main(["up"]) == 1 and capsys.readouterr().err == "Do this.\n"
    monkeypatch.setattr(commands, "run", fail(KeyboardInterrupt()))
    assert commands.main(["up"]) == 130 and capsys.readouterr().err == ""


def test_the_server_opens_no_control_socket() -> None:
    assert serve.SETTINGS["control_socket_disable"] is True
    shape = [serve.SETTINGS[name] for name in ("worker_class", "workers", "threads")]
    assert shape == ["gthread", 2, 4]


@pytest.mark.django_db
def test_a_database_of_a_later_version_is_left_alone() -> None:
    from django.db import connection
    from django.db.migrations.recorder import MigrationRecorder

    assert database.unapplied() == []
    MigrationRecorder(connection).record_applied("projects", "9999_later")
    with pytest.raises(Trouble, match="9999_later"):
        database.unapplied()


def test_options_are_the_documented_ones() -> None:
    given = set(vars(argparse.Namespace(**vars(options.read(["--no-demo", "--install-system"])))))
    assert given == {"host", "port", "no_demo", "install_system"}
