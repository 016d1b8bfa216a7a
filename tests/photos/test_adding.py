"""Rows and files come together or not at all; deleting and bringing back keep them together."""

import os
import time
import zipfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.utils import timezone

from projects.activities import deleting, fabrics, notions, opening, photos, recipe_shelf, samples, steps
from projects.activities import projects as projects_activity
from projects.activities.backup import write_backup
from projects.activities.photos import adding, files
from projects.activities.revising import Stale
from projects.models import Person, Photo
from tests import make

from . import pictures
from .conftest import files_in


def add(person: Person, *contents: bytes, **of: Any) -> photos.Added:
    chosen = [pictures.upload(content, f"{number}.jpg") for number, content in enumerate(contents)]
    return photos.add_photos(files=chosen, person=person, **of)


def test_row_and_files(maker: Person, folder: Path) -> None:
    project = make.project()
    [photo] = add(maker, pictures.jpeg(3000, 2000), project=project, caption="Front").photos
    assert (photo.width, photo.height, photo.caption, photo.added_by) == (2400, 1600, "Front", maker)
    kept = [photos.photo_file_path(photo, size) for size in photos.SIZES]
    assert all(path.is_file() and folder in path.parents for path in kept)
    assert photo.size == sum(path.stat().st_size for path in kept) and len(files_in(folder)) == 3
    assert all(path.stat().st_mode & 0o077 == 0 for path in kept)
    with pytest.raises(KeyError):
        photos.photo_file_path(photo, "huge")
    with pytest.raises(KeyError):
        photos.photo_file_path(Photo(key="../../key"), "page")


def test_a_photograph_of_a_step_is_one_of_its_project(maker: Person) -> None:
    step = make.step()
    [photo] = add(maker, pictures.jpeg(), step=step).photos
    assert photo.project == step.project and list(photos.photos_of(step)) == [photo]
    assert list(photos.photos_of(step.project)) == [photo]
    assert photos.counts_by_step(step.project) == {step.pk: 1}


def test_of_everything_it_can_be_of(maker: Person) -> None:
    for name in ("sample", "fabric", "notion", "project"):
        row = getattr(make, name)()
        [photo] = add(maker, pictures.jpeg(), **{name: row}).photos
        assert list(photos.photos_of(row)) == [photo] and photos.seen().filter(pk=photo.pk).exists()
        assert photos.owner_name(Photo.objects.get(pk=photo.pk)) == str(row)


def test_of_nothing_is_refused(maker: Person, folder: Path) -> None:
    with pytest.raises(ValidationError):
        add(maker, pictures.jpeg())
    assert files_in(folder) == []


def test_a_caption_that_can_not_be_kept(maker: Person, folder: Path) -> None:
    with pytest.raises(ValidationError) as caught:
        add(maker, pictures.jpeg(), project=make.project(), caption="n" * 301)
    assert "caption" in caught.value.message_dict and files_in(folder) == []


def test_at_most_twenty_at_once(maker: Person, folder: Path) -> None:
    added = add(maker, *[pictures.jpeg(40, 30)] * 23, project=make.project())
    assert len(added.photos) == 20 and len(added.refused) == 3
    assert {"At most 20" in reason for _, reason in added.refused} == {True}
    assert len(files_in(folder)) == 60


def test_a_row_that_can_not_be_saved_leaves_no_file(
    maker: Person, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    project = make.project()

    def broken(self: Photo, **how: Any) -> None:
        assert len(files_in(folder)) == 3 and all(name.startswith(".part-") for name in files_in(folder))
        raise RuntimeError("the database went away")

    monkeypatch.setattr(Photo, "save", broken)
    with pytest.raises(RuntimeError):
        add(maker, pictures.jpeg(), project=project)
    assert files_in(folder) == [] and list(folder.iterdir()) == []


def test_files_that_can_not_be_named_leave_no_row(
    maker: Person, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(key: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "finish", broken)
    added = add(maker, pictures.jpeg(), project=make.project())
    assert added.photos == [] and "No space left" in added.refused[0][1]
    assert not Photo.objects.exists() and files_in(folder) == []


def test_no_picture_is_worked_on_in_a_transaction(
    transactional_db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    maker, project, plain, seen = make.person(), make.project(), adding.intake.prepare, []

    def watched(file: Any) -> Any:
        seen.append(connection.in_atomic_block)
        return plain(file)

    monkeypatch.setattr(adding.intake, "prepare", watched)
    add(maker, pictures.jpeg(), project=project)
    assert seen == [False]


def test_what_was_deleted_meanwhile_takes_no_photograph(maker: Person, folder: Path) -> None:
    project = make.project()
    projects_activity.delete_project(project, person=maker)
    added = add(maker, pictures.jpeg(), project=project)
    assert "deleted meanwhile" in added.refused[0][1] and files_in(folder) == []


def test_a_drawn_picture(maker: Person) -> None:
    photo = photos.add_drawn(
        pictures.corners(1200, 900), person=maker, caption="Drawn", project=make.project(), for_client=True
    )
    assert photo.for_client and not photo.on_sheet and (photo.width, photo.height) == (1200, 900)
    assert photos.photo_file_path(photo, "thumb").is_file()


def test_changing_one(maker: Person) -> None:
    photo = make.photo()
    photos.change_photo(photo, revision=1, changes={"caption": "Back", "for_client": True})
    photo.refresh_from_db()
    assert (photo.caption, photo.for_client, photo.revision) == ("Back", True, 2)
    with pytest.raises(Stale):
        photos.change_photo(photo, revision=1, changes={"caption": "Side"})


def test_deleting_one_and_bringing_it_back(maker: Person, folder: Path) -> None:
    photo = make.photo()
    deletion = photos.delete_photo(photo, person=maker)
    assert not photos.seen().exists() and len(files_in(folder)) == 3
    assert deletion.what == "the photograph “The front on the table” of Concert coat"
    deleting.restore(deletion)
    assert photos.seen().get() == photo


def goes(name: str, row: Any, person: Person) -> Any:
    return {
        "project": lambda: projects_activity.delete_project(row, person=person),
        "fabric": lambda: fabrics.delete_fabric(fabric=row, person=person),
        "notion": lambda: notions.delete_notion(notion=row, person=person),
        "sample": lambda: samples.delete_sample(sample=row, person=person),
        "recipe": lambda: recipe_shelf.delete_recipe(recipe=row.version.recipe, person=person),
    }[name]()


@pytest.mark.parametrize("name", ["project", "fabric", "notion", "sample", "recipe"])
def test_photographs_go_and_come_with_what_they_show(name: str, maker: Person, folder: Path) -> None:
    row = getattr(make, {"recipe": "sample"}.get(name, name))()
    first, second, gone = (make.photo(row, caption=text) for text in ("first", "second", "gone before"))
    photos.delete_photo(gone, person=maker)
    deletion = goes(name, row, maker)
    assert not photos.seen().exists() and not Photo.objects.live().exists()
    deleting.restore(deletion)
    assert set(photos.seen()) == {first, second} and len(files_in(folder)) == 9


def test_a_removed_step_keeps_its_photographs(maker: Person) -> None:
    step = make.step()
    photo = make.photo(step)
    steps.remove_own(step, now=timezone.now())
    assert list(photos.photos_of(step.project)) == [photo]


def test_files_go_when_it_is_too_late_to_bring_them_back(maker: Person, folder: Path) -> None:
    kept, late, early = make.photo(), make.photo(), make.photo()
    make.deletion(late, days_ago=32)
    make.deletion(early, days_ago=30)
    assert photos.clear_old(timezone.now()) == 1
    assert set(Photo.objects.all()) == {kept, early} and len(files_in(folder)) == 6
    photos.clear_old(timezone.now() + timedelta(days=2))
    assert set(Photo.objects.all()) == {kept}


def test_what_a_stopped_computer_left_goes_after_a_day(
    maker: Person, folder: Path, settings: Any, tmp_path: Path
) -> None:
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path
    received = tmp_path / "x.upload.jpg"
    received.write_bytes(b"x")
    os.utime(received, (time.time() - 90_000,) * 2)
    files.write_unfinished("a" * 32, {"thumb": b"x"})
    files.write_unfinished("b" * 32, {"thumb": b"x"})
    left = folder / "aa" / f".part-{'a' * 32}-thumb.jpg"
    os.utime(left, (time.time() - 90_000,) * 2)
    photos.clear_old(timezone.now())
    assert files_in(folder) == [f".part-{'b' * 32}-thumb.jpg"] and not received.exists()


def test_starting_the_studio_clears_old_ones(maker: Person, folder: Path) -> None:
    make.deletion(make.photo(), days_ago=40)
    opening.open_studio(demo=False, at_home=True)
    assert not Photo.objects.exists() and files_in(folder) == []


def test_a_backup_holds_them_and_nothing_half_written(
    transactional_db: None, tmp_path: Path, folder: Path
) -> None:
    make.workroom()
    photo = make.photo()
    files.write_unfinished("a" * 32, {"thumb": b"half"})
    report = write_backup(tmp_path / "b.zip")
    with zipfile.ZipFile(report.path) as kept:
        held = {name: kept.read(name) for name in kept.namelist() if name.startswith("photographs/")}
    wanted = {
        f"photographs/{photo.key[:2]}/{path.name}": path.read_bytes()
        for path in (photos.photo_file_path(photo, size) for size in photos.SIZES)
    }
    assert held == wanted and report.photographs == 3
