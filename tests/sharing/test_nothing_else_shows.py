"""The build page tells what may be told and nothing else, wherever it stands in the database."""

import io
import re
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from projects.activities.photos import SIZES
from projects.models import Person
from projects.printing.available import pdf_available
from tests.conftest import signed_in

from .seeded import FIGURES, MARKER, Studio, build, texts

needs_pango = pytest.mark.skipif(not pdf_available(), reason="this computer has no Pango")
SEEN = re.compile(rf"{MARKER}\d{{4}}", re.IGNORECASE)
HOURS = re.compile(r"\b\d+ (h|min)\b")


@pytest.fixture
def studio(db: None) -> Studio:
    return build()


def see(token: str) -> Any:
    return Client().get(reverse("see", args=[token]))


def leaks(text: str) -> list[str]:
    figures = [figure for figure in (*FIGURES, "XTS") if figure in text]
    return [*(found.group() for found in SEEN.finditer(text)), *figures]


def test_every_model_has_rows_and_every_text_in_them_a_marker(studio: Studio) -> None:
    empty = [m.__name__ for m in apps.get_app_config("projects").get_models() if not m._base_manager.exists()]
    assert empty == []
    for model, field in texts():
        values = model._base_manager.values_list(field.name, flat=True)
        known = {"Shown", "shown"}
        bare = [v for v in values if v and not SEEN.match(v) and v.split()[0] not in known]
        assert not bare, f"{model.__name__}.{field.name} holds {bare}"
        assert any(values), f"{model.__name__}.{field.name} is empty everywhere"


def test_the_page_shows_what_may_be_shown_and_no_marker(studio: Studio) -> None:
    answer = see(studio.token)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert [words for words in studio.shown if words not in text] == []
    assert leaks(text) == [] and not HOURS.search(text)
    assert "<svg" in text and "steps in all" in text


def test_headers_hold_no_marker_and_say_what_they_must(studio: Studio) -> None:
    photo = reverse("see_photo", args=[studio.token, studio.chosen.key, "page"])
    for answer in (see(studio.token), see("wrong"), Client().get(photo)):
        assert leaks(str(answer.headers)) == []
        assert "noindex" in answer["X-Robots-Tag"]
        assert answer["Cache-Control"] == "private, no-store"
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Content-Security-Policy"].startswith("default-src 'none'")
        assert "script-src" not in answer["Content-Security-Policy"]
        assert "Cookie" not in answer.get("Vary", "") and not answer.cookies
    assert b'name="robots" content="noindex' in see(studio.token).content
    assert b"<script" not in see(studio.token).content


def test_photographs_come_without_what_the_camera_wrote(studio: Studio) -> None:
    for size in SIZES:
        answer = Client().get(reverse("see_photo", args=[studio.token, studio.chosen.key, size]))
        assert answer.status_code == 200 and answer["Content-Type"] == "image/jpeg"
        assert answer.content.startswith(b"\xff\xd8") and leaks(answer.content.decode("latin-1")) == []
        assert "Content-Disposition" not in answer


@needs_pango
def test_the_pdf_tells_the_same_and_no_more(studio: Studio) -> None:
    answer = Client().get(reverse("see_pdf", args=[studio.token]))
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "private, no-store" and "noindex" in answer["X-Robots-Tag"]
    pdf = PdfReader(io.BytesIO(answer.content))
    text = "\n".join(page.extract_text() for page in pdf.pages)
    assert [words for words in studio.shown if words not in text] == []
    inside = "".join(page.get_contents().get_data().decode("latin-1") for page in pdf.pages)
    assert leaks(text) == [] and leaks(str(pdf.metadata)) == [] and not HOURS.search(text)
    assert leaks(answer.content.decode("latin-1")) == [] and "zq" not in inside
    assert any(page.images for page in pdf.pages)


def test_no_cookie_is_read(studio: Studio) -> None:
    page = signed_in(Person.objects.get(role=Person.OWNER))
    with CaptureQueriesContext(connection) as seen:
        answer = page.get(reverse("see", args=[studio.token]))
    assert answer.content == see(studio.token).content
    asked = " ".join(query["sql"] for query in seen)
    assert "session" not in asked and "projects_person" not in asked


@pytest.mark.parametrize(
    ("switch", "gone"),
    [
        ("show_progress", ("How far it is", "steps in all", "not begun")),
        ("show_photos", ("Photographs", "Shown caption", "<img")),
        ("show_drawing", ("The texture",)),
        ("show_cloth", ("The cloth<", "Shown cloth", "shown fibre")),
        ("show_date", ("Promised", "30 April 2027")),
    ],
)
def test_what_a_link_does_not_show_is_not_there(studio: Studio, switch: str, gone: tuple[str, ...]) -> None:
    assert all(words in see(studio.token).content.decode() for words in gone)
    type(studio.link).objects.filter(pk=studio.link.pk).update(**{switch: False})
    text = see(studio.token).content.decode()
    assert [words for words in gone if words in text] == []
    assert "Shown note" in text and leaks(text) == []


def test_photographs_of_a_link_without_photographs_are_not_there(studio: Studio) -> None:
    where = reverse("see_photo", args=[studio.token, studio.chosen.key, "page"])
    assert Client().get(where).status_code == 200
    type(studio.link).objects.filter(pk=studio.link.pk).update(show_photos=False)
    assert Client().get(where).content == see("wrong").content


def test_more_photographs_need_no_more_queries(studio: Studio) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert see(studio.token).status_code == 200
        return len(seen)

    before = asked()
    studio.private.for_client = True
    studio.private.save()
    assert "Photograph" in see(studio.token).content.decode() and asked() == before
