"""Broken and hostile files: each is refused with a plain reason, and nothing of it is left anywhere."""

import importlib
import io
import re
import warnings
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from PIL import Image

from projects.activities import photos
from projects.models import Person, Photo
from tests import make

from . import pictures
from .conftest import files_in

NAMES = sorted(pictures.hostile())
PLAIN = re.compile(r"(traceback|error|exception|none|null|<|\bint\b|PIL|struct)", re.I)


@pytest.fixture(scope="module")
def hostile() -> dict[str, bytes]:
    return pictures.hostile()


def test_there_are_sixty_and_more() -> None:
    assert len(NAMES) >= 60


@pytest.mark.parametrize("name", NAMES)
def test_it_is_refused_and_nothing_stays(
    name: str, hostile: dict[str, bytes], folder: Path, maker: Person
) -> None:
    project = make.project()
    file = pictures.upload(hostile[name], name)
    added = photos.add_photos(files=[file], person=maker, project=project)
    assert added.photos == [] and not Photo.objects.exists() and files_in(folder) == []
    [(told, reason)] = added.refused
    assert told == name and reason.endswith(".") and not PLAIN.search(reason), reason


def test_good_files_of_the_same_post_are_kept(
    hostile: dict[str, bytes], maker_page: Client, folder: Path, settings: Any
) -> None:
    project = make.project()
    where = f"/projects/{project.pk}/photos/"
    bad = ["svg.jpg", "empty.jpg", "moving.gif", "jpeg cut at 60 %.jpg", "png of 200 megapixels.png"]
    chosen = [pictures.upload(pictures.jpeg(), "first.jpg"), *(pictures.upload(hostile[n], n) for n in bad)]
    chosen.append(pictures.upload(pictures.written(pictures.corners(), "WEBP"), "last.webp"))
    answer = maker_page.post(where, {"photos": chosen, "caption": "At the table"}, follow=True)
    text = answer.content.decode()
    assert "2 photographs added." in text
    for name in bad:
        assert f"“{name}” was not kept." in text
    assert "This is a drawing (SVG)" in text and "This picture moves" in text
    assert Photo.objects.filter(project=project, caption="At the table").count() == 2
    assert len(files_in(folder)) == 6
    assert list(Path(settings.FILE_UPLOAD_TEMP_DIR).iterdir()) == []


def test_when_all_are_bad_the_page_says_why_and_keeps_the_caption(
    hostile: dict[str, bytes], maker_page: Client, folder: Path
) -> None:
    where = f"/projects/{make.project().pk}/photos/"
    chosen = [pictures.upload(hostile[name], name) for name in NAMES if "thirty" not in name][:19]
    answer = maker_page.post(where, {"photos": chosen, "caption": "The first lattice"})
    assert answer.status_code == 422 and b"The first lattice" in answer.content
    assert answer.content.count(b"was not kept") >= 19
    assert not Photo.objects.exists() and files_in(folder) == []


def test_names_are_shown_as_text(maker_page: Client) -> None:
    where = f"/projects/{make.project().pk}/photos/"
    chosen = pictures.upload(pictures.SVG, "<img src=x onerror=alert(1)>.jpg")
    answer = maker_page.post(where, {"photos": [chosen]})
    assert answer.status_code == 422 and b"<img src=x" not in answer.content


def test_the_memory_of_a_bomb_is_never_asked_for(hostile: dict[str, bytes], monkeypatch: Any) -> None:
    """No decoder is started for a file whose header says too much."""
    from projects.activities.photos import intake

    def never(*given: Any, **named: Any) -> None:
        raise AssertionError("opened")

    monkeypatch.setattr(Image, "open", never)
    large = [name for name in NAMES if "megapixels" in name or "squared" in name or name[-8:] == "bomb.png"]
    assert len(large) >= 9
    for name in large:
        if "text" in name or "profile" in name:
            continue
        with pytest.raises(photos.Refused, match="megapixels"):
            intake.prepare(io.BytesIO(hostile[name]))


def test_pillows_own_limit_is_set_and_no_mere_warning() -> None:
    """Should a file say another size once it is opened, Pillow stops at the same limit."""
    from projects.activities.photos import intake

    with warnings.catch_warnings():
        importlib.reload(intake)
        with pytest.raises(Image.DecompressionBombWarning):
            Image.open(io.BytesIO(pictures.png(10_000, 6_001)))
