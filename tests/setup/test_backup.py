"""A backup is whole, true and readable while others write; or there is none."""

import hashlib
import io
import json
import shutil
import sqlite3
import stat
import threading
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command
from django.db import connection, connections
from django.test import Client
from django.utils import timezone

from projects.activities.backup import BackupError, archive, postgres, write, write_backup
from projects.models import Client as Customer
from projects.models import Person, Workroom

on_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="reads the copy as SQLite")
on_postgres = pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL")


@pytest.fixture
def studio(transactional_db: None, settings: Any, tmp_path: Path) -> Workroom:
    """A studio with two clients, one deleted, a sign-in and a photograph."""
    row = Workroom.load()
    Customer.objects.create(name="The Quayside Choir")
    Customer.objects.create(name="A stage play", deleted_at=timezone.now())
    Session.objects.create(session_key="secret-sign-in", session_data="x", expire_date=timezone.now())
    settings.MEDIA_ROOT = tmp_path / "photographs"
    (settings.MEDIA_ROOT / "2026").mkdir(parents=True)
    (settings.MEDIA_ROOT / "2026" / "front.jpg").write_bytes(b"\xff\xd8 not much of a picture")
    return row


def manifest_of(path: Path) -> dict[str, Any]:
    with zipfile.ZipFile(path) as kept:
        return dict(json.loads(kept.read("manifest.json")))


def opened(path: Path, folder: Path) -> sqlite3.Connection:
    with zipfile.ZipFile(path) as kept:
        return sqlite3.connect(kept.extract("studio.sqlite3", folder))


@on_sqlite
def test_the_copy_opens_and_holds_every_row_but_sign_ins(studio: Workroom, tmp_path: Path) -> None:
    report = write_backup(tmp_path / "b.zip")
    with closing(opened(report.path, tmp_path)) as copy:
        names = [name for (name,) in copy.execute("SELECT name FROM projects_client ORDER BY id")]
        assert names == ["The Quayside Choir", "A stage play"]
        assert copy.execute("SELECT count(*) FROM django_session").fetchone() == (0,)
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert b"secret-sign-in" not in (tmp_path / "studio.sqlite3").read_bytes()
    assert report.photographs == 1 and report.size == report.path.stat().st_size


def test_the_list_of_contents_is_true(studio: Workroom, tmp_path: Path) -> None:
    path = write_backup(tmp_path / "b.zip").path
    manifest = manifest_of(path)
    assert manifest["rows"]["projects_client"] == 2 and manifest["format"] == 1
    assert "projects.0001_initial" in manifest["migrations"]
    with zipfile.ZipFile(path) as kept:
        assert set(kept.namelist()) == {"manifest.json", manifest["database"], "photographs/2026/front.jpg"}
        for name, said in manifest["files"].items():
            assert hashlib.sha256(kept.read(name)).hexdigest() == said["sha256"]
            assert len(kept.read(name)) == said["bytes"]


def test_key_stays_out_and_others_can_not_read_it(studio: Workroom, tmp_path: Path, settings: Any) -> None:
    path = write_backup(tmp_path / "b.zip").path
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    with zipfile.ZipFile(path) as kept:
        assert not any(settings.SECRET_KEY.encode() in kept.read(name) for name in kept.namelist())


def test_pairs_written_meanwhile_stay_pairs(studio: Workroom, tmp_path: Path) -> None:
    """Writers add clients two at a time; whatever moment the copy shows, they are even."""
    stop = threading.Event()
    wrote = []

    def keep_writing() -> None:
        from django.db import transaction

        while not stop.is_set():
            with transaction.atomic():
                Customer.objects.create(name="left")
                Customer.objects.create(name="right")
            wrote.append(1)
        connections.close_all()

    writers = [threading.Thread(target=keep_writing) for _ in range(2)]
    for writer in writers:
        writer.start()
    try:
        reports = [write_backup(tmp_path / f"{number}.zip") for number in range(3)]
    finally:
        stop.set()
        for writer in writers:
            writer.join()
    counts = [manifest_of(report.path)["rows"]["projects_client"] for report in reports]
    assert all(count % 2 == 0 for count in counts)
    assert counts == sorted(counts) and len(wrote) * 2 + 2 == Customer.objects.count()


def test_nothing_is_replaced_unless_forced(studio: Workroom, tmp_path: Path) -> None:
    path = tmp_path / "b.zip"
    path.write_text("the last good one")
    with pytest.raises(BackupError, match="--force"):
        write_backup(path)
    assert path.read_text() == "the last good one"
    write_backup(path, force=True)
    assert zipfile.is_zipfile(path)
    assert {entry.name for entry in tmp_path.iterdir()} == {"b.zip", "photographs"}


@pytest.mark.parametrize(("place", "told"), [("nowhere/b.zip", "no folder"), ("photographs", "is a folder")])
def test_a_place_that_can_not_be(studio: Workroom, tmp_path: Path, place: str, told: str) -> None:
    with pytest.raises(BackupError, match=told):
        write_backup(tmp_path / place)


def broken_by(change: Callable[[Path], None], monkeypatch: pytest.MonkeyPatch) -> None:
    whole = archive.write

    def writing(part: Path, *rest: Any) -> None:
        whole(part, *rest)
        change(part)

    monkeypatch.setattr(archive, "write", writing)


def cut_short(part: Path) -> None:
    part.write_bytes(part.read_bytes()[:-200])


def spoil(part: Path) -> None:
    """Another photograph under the same name and list of contents."""
    with zipfile.ZipFile(part) as kept:
        held = {name: kept.read(name) for name in kept.namelist()}
    held["photographs/2026/front.jpg"] = b"something else"
    with zipfile.ZipFile(part, "w") as made:
        for name, content in held.items():
            made.writestr(name, content)


@pytest.mark.parametrize("change", [cut_short, spoil])
def test_a_copy_that_reads_back_wrong_is_not_kept(
    studio: Workroom, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: Callable[[Path], None]
) -> None:
    broken_by(change, monkeypatch)
    path = tmp_path / "b.zip"
    path.write_text("the last good one")
    with pytest.raises(BackupError):
        write_backup(path, force=True)
    assert path.read_text() == "the last good one"
    assert {entry.name for entry in tmp_path.iterdir()} == {"b.zip", "photographs"}


@on_sqlite
def test_a_damaged_database_gives_no_backup(
    studio: Workroom, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    astray = tmp_path / "astray.sqlite3"
    with closing(sqlite3.connect(astray)) as made:
        made.executescript(
            "CREATE TABLE django_session (k); CREATE TABLE a (id INTEGER PRIMARY KEY);"
            "CREATE TABLE b (a_id REFERENCES a (id)); INSERT INTO b VALUES (7);"
        )
    monkeypatch.setattr(write, "_database_file", lambda: astray)
    with pytest.raises(BackupError, match="Rows of b point to rows that are gone"):
        write_backup(tmp_path / "b.zip")
    astray.write_bytes(b"SQLite format 3\0" + b"\1" * 5000)
    with pytest.raises(BackupError):
        write_backup(tmp_path / "b.zip")
    assert not (tmp_path / "b.zip").exists()


@on_postgres
@pytest.mark.parametrize("tools", [True, False])
def test_both_ways_on_postgresql(
    studio: Workroom, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, tools: bool
) -> None:
    if tools and not shutil.which("pg_dump"):
        pytest.skip("pg_dump is not installed")
    if not tools:
        monkeypatch.setattr(postgres.shutil, "which", lambda name: None)
    path = write_backup(tmp_path / "b.zip").path
    manifest = manifest_of(path)
    assert manifest["database"] == (postgres.DUMP if tools else postgres.LINES)
    assert "django_session" not in manifest["rows"]
    with zipfile.ZipFile(path) as kept:
        again = Path(kept.extract(manifest["database"], tmp_path))
    assert postgres.rows_again(again, {})["projects_client"] == 2
    assert b"secret-sign-in" not in again.read_bytes()


def test_rows_of_a_script_are_counted() -> None:
    script = (
        b'COPY public.projects_client (id, name) FROM stdin;\n1\tone\n2\ttwo\n\\.\n\n'
        b'COPY public."Odd" (id) FROM stdin;\n\\.\nSELECT 1;\n'
    )
    assert postgres._rows_of_script(script) == {"projects_client": 2, "Odd": 0}


def test_the_command_says_what_it_did(studio: Workroom, tmp_path: Path) -> None:
    out = io.StringIO()
    call_command("backup", str(tmp_path / "b.zip"), stdout=out)
    assert "Written and checked" in out.getvalue() and "1 photographs" not in out.getvalue()
    with pytest.raises(CommandError, match="--force"):
        call_command("backup", str(tmp_path / "b.zip"))


def test_the_owner_downloads_one(studio: Workroom, tmp_path: Path, settings: Any, owner: Person) -> None:
    settings.DATA_DIR = tmp_path
    page = Client()
    page.force_login(owner)
    shown = page.get("/studio/backup/").content.decode()
    assert str(tmp_path) in shown and "python3 manage.py backup" in shown
    answer = page.post("/studio/backup/")
    assert answer.status_code == 200 and "attachment" in answer.headers["Content-Disposition"]
    assert zipfile.ZipFile(io.BytesIO(answer.getvalue())).testzip() is None
    answer.close()
    assert not list(tmp_path.glob(".backup-*"))


def test_a_failed_download_says_so(
    studio: Workroom, owner: Person, tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.DATA_DIR = tmp_path
    broken_by(cut_short, monkeypatch)
    page = Client()
    page.force_login(owner)
    answer = page.post("/studio/backup/")
    assert answer.status_code == 503 and "No backup was written" in answer.content.decode()
    assert not list(tmp_path.glob(".backup-*"))


def test_a_maker_can_not_reach_it(maker_page: Client) -> None:
    assert maker_page.get("/studio/backup/").status_code == 403
    assert maker_page.post("/studio/backup/").status_code == 403


def test_the_page_looks_right(browser_page: Any, owner: Person) -> None:
    from tests.browser import looks_wrong

    for width in (360, 1280):
        page = browser_page(width, person=owner)
        page.goto("/studio/backup/")
        assert looks_wrong(page, phone=width == 360) == []
    with page.expect_download() as coming:
        page.get_by_role("button", name="Download backup").click()
    assert zipfile.is_zipfile(coming.value.path())


