"""Pages of photographs: who sees what, adding from each page, one by itself, its file, the job sheet."""

import io
import re
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import TemporaryUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from projects.activities import photos
from projects.models import Deletion, Person, Photo, Project, Step
from projects.planning import plan_project
from projects.printing.available import pdf_available
from tests import make

from . import pictures
from .conftest import files_in


def chosen(*names: str) -> list[Any]:
    return [pictures.upload(pictures.jpeg(60, 40), name) for name in names or ("front.jpg",)]


def planned() -> Project:
    """A project with generated steps."""
    project = make.project()
    make.piece(project, version=make.version(), fabric=make.fabric())
    return project


PAGES = {"project": "project", "sample": "sample", "fabric": "fabric", "notion": "notion"}


def all_of(name: str, row: Any) -> str:
    if name == "project":
        return reverse("project_photos", args=[row.pk])
    return reverse("photos_of", args=[name, row.pk])


@pytest.mark.parametrize("name", PAGES)
def test_added_on_a_page_they_show_there(name: str, maker_page: Client, maker: Person) -> None:
    row = getattr(make, name)()
    page = reverse(PAGES[name], args=[row.pk])
    assert b"None yet" in maker_page.get(page).content
    data = {"photos": chosen("a.jpg", "b.jpg"), "caption": "Both", "stay": "1"}
    answer = maker_page.post(all_of(name, row), data)
    assert answer.status_code == 303 and answer["Location"] == f"{page}#photos"
    text = maker_page.get(page).content.decode()
    assert text.count("-thumb") + text.count("/thumb.jpg") == 2 and "2 photographs added." in text
    assert all(photo.added_by == maker for photo in photos.photos_of(row))
    assert maker_page.get(all_of(name, row)).content.count(b"/thumb.jpg") == 2


def test_the_form_sends_files_without_javascript(maker_page: Client) -> None:
    text = maker_page.get(all_of("project", make.project())).content.decode()
    [tag] = re.findall(r'<input type="file"[^>]*>', text)
    assert "multiple" in tag and 'accept="image/jpeg' in tag and 'name="photos"' in tag
    [form] = re.findall(r'<form class="add-photos"[^>]*>', text)
    assert 'enctype="multipart/form-data"' in form and 'method="post"' in form and "hx-" not in form


def test_a_doubled_post_is_one(maker_page: Client, folder: Path) -> None:
    where, op = all_of("project", make.project()), "7a9c2f2e-0b5e-4a43-9f0e-0d6a52c5ba11"
    first = maker_page.post(where, {"photos": chosen(), "op": op})
    again = maker_page.post(where, {"photos": chosen(), "op": op})
    assert first["Location"] == again["Location"]
    assert Photo.objects.count() == 1 and len(files_in(folder)) == 3


def test_nothing_chosen(maker_page: Client) -> None:
    answer = maker_page.post(all_of("fabric", make.fabric()), {"caption": "Right side"})
    assert answer.status_code == 422 and b"No photograph was chosen" in answer.content
    assert b"Right side" in answer.content


def test_a_generated_step_gets_its_row_with_its_first_photograph(maker_page: Client) -> None:
    project = planned()
    key = plan_project(project).steps[0].key
    where = f"{all_of('project', project)}?step={key}"
    page = maker_page.get(where)
    assert page.status_code == 200 and not Step.objects.exists()
    assert f'name="step" value="{key}"' in page.content.decode()
    answer = maker_page.post(all_of("project", project), {"photos": chosen("a.jpg", "b.jpg"), "step": key})
    assert answer["Location"].startswith(all_of("project", project) + "?step=")
    step = Step.objects.get(key=key)
    assert photos.photos_of(step).count() == 2 and photos.photos_of(project).count() == 2
    steps = maker_page.get(reverse("steps", args=[project.pk])).content.decode()
    assert "2 photographs" in steps
    assert maker_page.get(answer["Location"]).content.count(b"/thumb.jpg") == 2
    [first, _] = photos.photos_of(project)
    one = maker_page.get(reverse("photo", args=[first.pk])).content.decode()
    assert step.title in one and maker_page.get(where).status_code == 200


def test_an_own_step(maker_page: Client) -> None:
    step = make.step()
    key = f"own:{step.pk}"
    maker_page.post(all_of("project", step.project), {"photos": chosen(), "step": key})
    photo = photos.photos_of(step).get()
    assert f"?step={key}" in maker_page.get(reverse("photo", args=[photo.pk])).content.decode()


@pytest.mark.parametrize("key", ["nothing:like:this", "own:99999", "own:x", "\x00", "own:" + "9" * 40])
def test_a_step_that_is_not_there(key: str, maker_page: Client) -> None:
    project = planned()
    assert maker_page.post(all_of("project", project), {"photos": chosen(), "step": key}).status_code == 404
    if "\x00" not in key:
        assert maker_page.get(all_of("project", project), {"step": key}).status_code == 404
    assert not Photo.objects.exists()


def test_one_by_itself(maker_page: Client) -> None:
    photo = make.photo(size=(1500, 1000))
    where = reverse("photo", args=[photo.pk])
    text = maker_page.get(where).content.decode()
    assert f"/photos/{photo.key}/page.jpg" in text and 'width="1000" height="667"' in text
    told = {"caption": "The back", "for_client": "on", "on_sheet": "on", "revision": 1}
    answer = maker_page.post(where, told)
    assert answer.status_code == 303
    photo.refresh_from_db()
    assert (photo.caption, photo.for_client, photo.on_sheet) == ("The back", True, True)
    stale = maker_page.post(where, {"caption": "The side", "revision": 1})
    assert stale.status_code == 409 and b"The side" in stale.content and b"The back" in stale.content
    long = maker_page.post(where, {"caption": "n" * 301, "revision": 2})
    assert long.status_code == 422 and b"n" * 301 in long.content


def test_only_what_is_of_a_project_goes_to_clients_and_sheets(maker_page: Client) -> None:
    photo = make.photo(make.fabric())
    where = reverse("photo", args=[photo.pk])
    assert b"for_client" not in maker_page.get(where).content
    maker_page.post(where, {"caption": "x", "for_client": "on", "on_sheet": "on", "revision": 1})
    photo.refresh_from_db()
    assert photo.caption == "x" and not photo.for_client and not photo.on_sheet


def test_deleting_with_undo(maker_page: Client) -> None:
    photo = make.photo()
    where = reverse("photo", args=[photo.pk])
    answer = maker_page.post(reverse("photo_delete", args=[photo.pk]), follow=True)
    assert b"The photograph was deleted." in answer.content and b"Undo" in answer.content
    file = reverse("photo_file", args=[photo.key, "thumb"])
    assert maker_page.get(where).status_code == 404 and maker_page.get(file).status_code == 404
    maker_page.post(reverse("restore", args=[Deletion.objects.get().pk]))
    assert maker_page.get(where).status_code == 200 and maker_page.get(file).status_code == 200


def test_the_file_and_what_browsers_are_told(maker_page: Client, owner_page: Client) -> None:
    photo = make.photo(size=(1500, 1000))
    for page in (maker_page, owner_page):
        for size, width in (("thumb", 320), ("page", 1000), ("full", 1500)):
            answer = page.get(reverse("photo_file", args=[photo.key, size]))
            assert Image.open(io.BytesIO(answer.content)).width == width
            assert answer["Content-Type"] == "image/jpeg" and answer["X-Content-Type-Options"] == "nosniff"
            assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
            assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"


def test_files_that_are_not_there(maker_page: Client) -> None:
    photo = make.photo()
    key = photo.key
    for wrong, size in ((key, "huge"), ("0" * 32, "thumb"), (f"{key}-page", "page"), (key[:-1], "page")):
        assert maker_page.get(f"/photos/{wrong}/{size}.jpg").status_code == 404
    assert maker_page.get(f"/photos/..%2f..%2fkey/{photo.key}.jpg").status_code == 404
    photos.photo_file_path(photo, "page").unlink()
    assert maker_page.get(reverse("photo_file", args=[photo.key, "page"])).status_code == 404


def test_without_a_sign_in_there_is_nothing(stranger_page: Client) -> None:
    photo = make.photo()
    answer = stranger_page.get(reverse("photo_file", args=[photo.key, "thumb"]))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")
    posted = stranger_page.post(all_of("project", photo.project), {"photos": chosen()})
    assert posted.status_code == 403 and Photo.objects.count() == 1


@pytest.mark.parametrize("name", ["project", "fabric", "notion", "sample"])
def test_what_was_deleted_shows_no_photograph(name: str, maker_page: Client) -> None:
    row = getattr(make, name)()
    photo = make.photo(row)
    make.deletion(row.version.recipe if name == "sample" else row)
    for where in (all_of(name, row), reverse("photo", args=[photo.pk]), f"/photos/{photo.key}/page.jpg"):
        assert maker_page.get(where).status_code == 404
    assert maker_page.post(all_of(name, row), {"photos": chosen()}).status_code == 404


def queries(page: Client, where: str) -> int:
    page.get(where)
    with CaptureQueriesContext(connection) as seen:
        assert page.get(where).status_code == 200
    return len(seen)


@pytest.mark.parametrize("name", PAGES)
def test_as_many_queries_for_many_as_for_one(name: str, maker_page: Client) -> None:
    row = getattr(make, name)()
    make.photo(row)
    addresses = [reverse(PAGES[name], args=[row.pk]), all_of(name, row)]
    before = [queries(maker_page, where) for where in addresses]
    for _ in range(11):
        make.photo(row)
    assert [queries(maker_page, where) for where in addresses] == before


def test_steps_need_one_query_for_all_their_photographs(maker_page: Client) -> None:
    project = planned()
    for _ in range(2):
        make.photo(make.step(project))
    where = reverse("steps", args=[project.pk])
    before = queries(maker_page, where)
    for step in Step.objects.filter(project=project):
        make.photo(step)
        make.photo(step)
    assert queries(maker_page, where) == before
    everything = all_of("project", project)
    before = queries(maker_page, everything)
    make.photo(Step.objects.first())
    assert queries(maker_page, everything) == before


def test_the_newest_show_and_the_rest_is_a_page_away(maker_page: Client) -> None:
    project = make.project()
    for number in range(10):
        make.photo(project, caption=f"number {number}")
    text = maker_page.get(reverse("project", args=[project.pk])).content.decode()
    assert "All 10 photographs" in text and "number 9" in text and "number 1<" not in text
    assert maker_page.get(all_of("project", project)).content.count(b"/thumb.jpg") == 10


@pytest.mark.parametrize("width", [1, 40, 2400])
def test_room_is_held_for_a_picture_of_any_shape(width: int, maker_page: Client) -> None:
    photo = make.photo(size=(width, 900))
    text = maker_page.get(reverse("photo", args=[photo.pk])).content.decode()
    assert re.search(r'width="[1-9]\d*" height="[1-9]\d*"', text)


def test_the_sheet_prints_what_is_marked(maker_page: Client) -> None:
    project = planned()
    make.photo(project, caption="Not on paper")
    for number in range(4):
        make.photo(project, caption=f"Marked {number}", on_sheet=True, size=(1200, 900))
    text = maker_page.get(reverse("sheet", args=[project.pk])).content.decode()
    assert [f"Marked {n}" in text for n in range(4)] == [True] * 4 and "Not on paper" not in text
    assert text.count("/page.jpg") == 4 and text.index("Marked 0") < text.index("Marked 3")
    rows = re.findall(r"<tr>(.*?)</tr>", text[text.index('class="pictures"') :], re.S)[:2]
    assert [row.count("<img") for row in rows] == [3, 1]


@pytest.mark.skipif(not pdf_available(), reason="needs Pango")
def test_the_pdf_holds_the_pictures(maker_page: Client) -> None:
    project = planned()
    for number in range(2):
        make.photo(project, caption=f"Marked {number}", on_sheet=True, size=(1200, 900 + number))
    gone = make.photo(project, caption="Its file is gone", on_sheet=True)
    photos.photo_file_path(gone, "page").unlink()
    pdf = PdfReader(io.BytesIO(maker_page.get(reverse("sheet_pdf", args=[project.pk])).content))
    images = [image.image.size for sheet in pdf.pages for image in sheet.images]
    assert (1000, 750) in images and (1000, 751) in images
    text = "".join(sheet.extract_text() for sheet in pdf.pages)
    assert "Marked 1" in text and "Its file is gone" not in text


def test_large_files_wait_on_the_disk(
    maker_page: Client, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []
    plain = photos.add_photos

    def watched(*, files: Any, **named: Any) -> Any:
        seen.extend((type(file), Path(file.temporary_file_path()).parent) for file in files)
        return plain(files=files, **named)

    monkeypatch.setattr(photos, "add_photos", watched)
    large = pictures.jpeg(60, 40) + bytes(3_000_000)
    maker_page.post(all_of("project", make.project()), {"photos": [pictures.upload(large)]})
    assert seen == [(TemporaryUploadedFile, Path(settings.FILE_UPLOAD_TEMP_DIR))]
    assert list(Path(settings.FILE_UPLOAD_TEMP_DIR).iterdir()) == []


@pytest.mark.parametrize(("where", "most"), [("photos", 620), ("", 60)])
def test_a_post_that_is_too_large_is_answered_unread(where: str, most: int, maker_page: Client) -> None:
    project = make.project()
    address = all_of("project", project) if where else reverse("project_edit", args=[project.pk])
    answer = maker_page.post(address, {"photos": chosen()}, CONTENT_LENGTH=str(most * 1_000_000 + 1))
    assert answer.status_code == 413 and f"{most} MB".encode() in answer.content
    assert b"Nothing was saved" in answer.content and not Photo.objects.exists()


def test_too_many_files_or_too_much_text(maker_page: Client) -> None:
    where = all_of("project", make.project())
    many = maker_page.post(where, {"photos": chosen(*[f"{n}.jpg" for n in range(101)])})
    assert many.status_code == 400 and b"choose fewer at once" in many.content
    long = maker_page.post(where, {"caption": "n" * 3_000_000, "photos": chosen()})
    assert long.status_code == 400 and b"send it in parts" in long.content
    assert not Photo.objects.exists()


def test_broken_posts_are_no_5xx(maker_page: Client) -> None:
    where = all_of("project", make.project())
    part, bound = b'--x\r\nContent-Disposition: form-data; name="photos"', "multipart/form-data; boundary=x"
    for kind, body in (
        (bound, part + b'; filename="a.jpg'),
        (bound, part + b"\r\n\r\ntext\r\n--x--"),
        ("multipart/form-data", b"--x--"),
        ("text/plain", b"photos"),
    ):
        assert 400 <= maker_page.generic("POST", where, body, content_type=kind).status_code < 500
