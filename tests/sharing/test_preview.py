"""The build page before a link is made: what is typed shows, nothing is kept, and only the studio sees it."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities import sharing
from projects.models import Photo, Project, ShareLink
from tests import make

FORM = dict.fromkeys(sharing.SHOWS, "on")


@pytest.fixture
def coat(workroom: Any) -> Project:
    return make.project(client_note="Saved words.")


def preview(page: Client, project: Project, typed: dict[str, Any] | None = None, query: str = "") -> Any:
    where = reverse("share_preview", args=[project.pk])
    return page.get(where + query) if typed is None else page.post(where, typed)


def told(project: Project, **typed: Any) -> dict[str, Any]:
    return {**FORM, "revision": project.revision, "client_note": "", "promised": "", "offered": "", **typed}


def test_it_shows_what_is_saved_before_any_link_is_made(coat: Project, maker_page: Client) -> None:
    answer = preview(maker_page, coat)
    assert answer.status_code == 200 and b"Preview" in answer.content and b"Saved words." in answer.content
    assert not ShareLink.objects.exists()


def test_it_is_the_clients_page_with_its_headers(coat: Project, maker: Any, maker_page: Client) -> None:
    token = sharing.make_link(
        project=coat, name="Fern", expires_at=None, shows=dict.fromkeys(sharing.SHOWS, True), person=maker
    )
    real, seen = Client().get(reverse("see", args=[token])), preview(maker_page, coat)
    for header in ("X-Robots-Tag", "Cache-Control", "Referrer-Policy", "Content-Security-Policy"):
        assert real[header] == seen[header]
    assert b"preview" not in real.content.lower() and not real.cookies
    own = seen.content.decode()
    marked = own[own.index("<aside") : own.index("</aside>") + len("</aside>\n")]
    rest = own.replace(marked, "")
    assert rest.split("<footer>")[0] == real.content.decode().split("<footer>")[0]
    assert "/see/" not in own


def test_it_shows_what_is_typed_and_keeps_nothing(coat: Project, maker_page: Client) -> None:
    shown, hidden = make.photo(coat, caption="The yoke"), make.photo(coat, caption="A seam", for_client=True)
    offered = f"{shown.pk} {hidden.pk}"
    typed = told(coat, client_note="Typed words.", promised="2031-05-02", offered=offered, photos=[shown.pk])
    page = preview(maker_page, coat, typed).content.decode()
    assert "Typed words." in page and "2 May 2031" in page and "Saved words." not in page
    assert "The yoke" in page and "A seam" not in page
    coat.refresh_from_db()
    assert coat.client_note == "Saved words." and coat.promised is None and not ShareLink.objects.exists()
    assert set(Photo.objects.filter(for_client=True)) == {hidden}


def test_what_is_switched_off_is_left_out(coat: Project, maker_page: Client) -> None:
    make.photo(coat, caption="The yoke", for_client=True)
    assert b"The yoke" in preview(maker_page, coat).content
    typed = {name: on for name, on in told(coat).items() if name != "show_photos"}
    assert b"The yoke" not in preview(maker_page, coat, typed).content


def test_each_link_is_seen_as_its_holder_does(coat: Project, maker: Any, maker_page: Client) -> None:
    make.photo(coat, caption="The yoke", for_client=True)
    shows = {**dict.fromkeys(sharing.SHOWS, True), "show_photos": False}
    sharing.make_link(project=coat, name="Fern", expires_at=None, shows=shows, person=maker)
    link = ShareLink.objects.get()
    assert b"The yoke" not in preview(maker_page, coat, query=f"?link={link.pk}").content
    assert f"?link={link.pk}".encode() in maker_page.get(reverse("share", args=[coat.pk])).content
    for wrong in ("0", "x", "9" * 30, str(link.pk + 1)):
        assert preview(maker_page, coat, query=f"?link={wrong}").status_code == 404
    other = make.project("Lantern gown")
    assert preview(maker_page, other, query=f"?link={link.pk}").status_code == 404


def test_what_was_typed_wrongly_comes_back(coat: Project, maker_page: Client) -> None:
    answer = preview(maker_page, coat, told(coat, client_note="Typed words.", promised="soon"))
    assert answer.status_code == 422 and b"Typed words." in answer.content
    assert preview(maker_page, coat, told(coat, lasts="date", until="2001-01-01")).status_code == 200


def test_the_page_that_brings_it_back_saves_and_makes_links(coat: Project, maker_page: Client) -> None:
    page = preview(maker_page, coat, told(coat, promised="soon")).content.decode()
    form = next(tag for tag in page.split("<form ")[1:] if 'name="client_note"' in tag.split("</form>")[0])
    where = re.search(r'action="([^"]+)"', form.split(">")[0])
    assert where is not None and where[1] == reverse("share", args=[coat.pk])
    typed = told(coat, client_note="Typed words.", lasts="never")
    maker_page.post(where[1], typed | {"words_alone": "1"})
    coat.refresh_from_db()
    assert coat.client_note == "Typed words."
    maker_page.post(where[1], typed | {"name": "Fern", "revision": coat.revision})
    assert ShareLink.objects.count() == 1


def test_nobody_sees_it_without_a_sign_in(coat: Project) -> None:
    seen = preview(Client(), coat)
    assert seen.status_code == 302 and "sign-in" in seen["Location"]
    posted = preview(Client(), coat, told(coat))
    assert posted.status_code == 403 and b"Saved words." not in posted.content
