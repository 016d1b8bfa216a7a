"""Links to the build page: made, shown once, ended; whatever is wrong with one, the answer is the same."""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import deleting, people, photos, projects, sharing
from projects.models import Person, Project, ShareLink
from projects.printing import available
from tests import make
from tests.conftest import signed_in

FORM = {"name": "Choir secretary", "lasts": "never", **dict.fromkeys(sharing.SHOWS, "on")}
IN_PAGE = re.compile(r"/see/([\w-]+)/")


@pytest.fixture
def coat(workroom: Any) -> Project:
    return make.project()


def link(project: Project, person: Person, **values: Any) -> str:
    shows = {name: values.pop(name, True) for name in sharing.SHOWS}
    usual = {"name": "Fern", "expires_at": None, **values}
    return sharing.make_link(project=project, person=person, shows=shows, **usual)


def see(token: str) -> Any:
    return Client().get(reverse("see", args=[token]))


def alike(first: Any, second: Any) -> bool:
    same_headers = dict(first.headers) == dict(second.headers)
    return first.status_code == second.status_code and first.content == second.content and same_headers


def test_a_link_is_made_and_shown_once(coat: Project, maker_page: Client) -> None:
    where = reverse("share", args=[coat.pk])
    posted = {**FORM, "op": "2f1b2f9e-53a4-4bb1-a7f3-0b9a2d6c9a01"}
    answer = maker_page.post(where, posted)
    token = IN_PAGE.search(answer.content.decode()).group(1)
    assert answer.status_code == 200 and b"Shown once; copy it now" in answer.content
    assert b"data:image/svg+xml" in answer.content and see(token).status_code == 200
    again = maker_page.post(where, posted, follow=True)
    assert token.encode() not in again.content and b"shown only once" in again.content
    assert token.encode() not in maker_page.get(where).content and coat.links.count() == 1


def test_a_link_is_random_and_only_its_hash_is_kept(coat: Project, maker: Person) -> None:
    tokens = {link(coat, maker) for _ in range(20)}
    assert len(tokens) == 20 and all(len(token) >= 43 for token in tokens)  # 43 letters of 6 bits: 256
    kept = str(list(ShareLink.objects.values()))
    assert not [token for token in tokens if token in kept]
    assert {people.hash_of(token) for token in tokens} == set(
        ShareLink.objects.values_list("token_hash", flat=True)
    )


def test_the_link_is_on_the_studios_public_address(coat: Project, maker_page: Client) -> None:
    where = reverse("share", args=[coat.pk])
    answer = maker_page.post(where, FORM)
    assert b"http://testserver/see/" in answer.content and b"only where testserver can be" in answer.content
    make.workroom(public_address="https://studio.example/")
    answer = maker_page.post(where, FORM)
    assert b"https://studio.example/see/" in answer.content and b"can be reached" not in answer.content


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"lasts": "for ever"}, "lasts"),
        ({"lasts": "date"}, "until"),
        ({"lasts": "date", "until": "2020-01-01"}, "until"),
        ({"lasts": "date", "until": "soon"}, "until"),
        ({"lasts": "date", "until": "9999-01-01"}, "until"),
    ],
)
def test_what_can_not_be_read_is_said_and_kept(
    coat: Project, maker_page: Client, typed: dict[str, str], field: str
) -> None:
    answer = maker_page.post(reverse("share", args=[coat.pk]), {**FORM, **typed})
    assert answer.status_code == 422 and not ShareLink.objects.exists()
    assert answer.context["form"].errors.keys() == {field}
    if "name" not in typed:
        assert b"Choir secretary" in answer.content


def test_how_long_a_link_works(coat: Project, maker_page: Client) -> None:
    make.workroom(time_zone="Pacific/Auckland")
    where, zone = reverse("share", args=[coat.pk]), make.workroom().zone
    today = timezone.localdate(timezone=zone)
    last = today + timedelta(days=3)
    for lasts, until, ends in (
        ("never", "", None),
        ("days", "", today + timedelta(days=30)),
        ("date", last.isoformat(), last),
        ("date", today.isoformat(), today),
    ):
        maker_page.post(where, {**FORM, "lasts": lasts, "until": until})
        expires = coat.links.latest("pk").expires_at
        assert (expires and expires.astimezone(zone).replace(tzinfo=None)) == (
            ends and datetime(ends.year, ends.month, ends.day, 23, 59, 59)
        )


def test_a_switch_left_out_is_off(coat: Project, maker_page: Client) -> None:
    maker_page.post(reverse("share", args=[coat.pk]), {"name": "Fern", "lasts": "never", "show_cloth": "on"})
    made = coat.links.get()
    assert {name for name in sharing.SHOWS if getattr(made, name)} == {"show_cloth"}


def test_too_many_open_links_are_refused(
    coat: Project, maker: Person, maker_page: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sharing, "MOST_OPEN", 2)
    link(coat, maker)
    link(coat, maker, expires_at=timezone.now() - timedelta(days=1))
    link(coat, maker)
    with pytest.raises(ValidationError):
        link(coat, maker)
    answer = maker_page.post(reverse("share", args=[coat.pk]), FORM)
    assert answer.status_code == 422 and b"Revoke one" in answer.content


def test_every_wrong_link_has_the_same_answer(coat: Project, maker: Person) -> None:
    gone = make.project("Gone")
    over = link(coat, maker, expires_at=timezone.now() - timedelta(seconds=1))
    revoked, deleted = link(coat, maker), link(gone, maker)
    sharing.revoke(coat.links.latest("pk"))
    projects.delete_project(gone, person=maker)
    wrong = see("A" * 43)
    assert wrong.status_code == 404 and not wrong.cookies and b"This page is not here" in wrong.content
    malformed = ("x", "%00", "%F0%9F%92%A9", "..", "a" * 3000, "%25", "' OR 1=1 --")
    for token in (over, revoked, deleted, *malformed):
        for ending in ("", "page.pdf", "0" * 32 + "/page.jpg"):
            answer = Client().get(f"/see/{token}/{ending}")
            assert alike(answer, wrong), f"{token[:50]} {ending}"
    for address in ("/see/", "/see/a/b/c/", "/see/a/b/c.png", "/see/a/?x=%00"):
        assert alike(Client().get(address), wrong), address


def test_a_wrong_link_is_one_look_like_a_revoked_one(coat: Project, maker: Person) -> None:
    revoked = link(coat, maker)
    sharing.revoke(coat.links.get())

    def asked(token: str) -> list[str]:
        with CaptureQueriesContext(connection) as seen:
            see(token)
        return [query["sql"] for query in seen if "sharelink" in query["sql"]]

    assert len(asked(revoked)) == len(asked("wrong")) == 1


def test_only_reading_is_possible(coat: Project, maker: Person) -> None:
    token = link(coat, maker)
    for where in (f"/see/{token}/", f"/see/{token}/page.pdf", "/see/wrong/"):
        for method in ("post", "put", "patch", "delete"):
            answer = getattr(Client(enforce_csrf_checks=True), method)(where)
            assert answer.status_code == 405 and not answer.cookies


def test_revoking_stops_a_link_at_once_and_no_other(coat: Project, maker_page: Client, maker: Person) -> None:
    mine, theirs = link(coat, maker, name="Ash"), link(coat, maker)
    first = coat.links.order_by("pk").first()
    answer = maker_page.post(reverse("share_revoke", args=[coat.pk, first.pk]), follow=True)
    assert b"no longer works" in answer.content and b"revoked on" in answer.content
    assert see(mine).status_code == 404 and see(theirs).status_code == 200


def test_a_link_is_revoked_under_its_project_alone(coat: Project, maker_page: Client, maker: Person) -> None:
    token, other = link(coat, maker), make.project("Capelet")
    answer = maker_page.post(reverse("share_revoke", args=[other.pk, coat.links.get().pk]))
    assert answer.status_code == 404 and see(token).status_code == 200


def test_deleting_a_project_stops_its_links_and_restoring_brings_them_back(
    coat: Project, maker: Person
) -> None:
    token = link(coat, maker)
    deletion = projects.delete_project(coat, person=maker)
    assert see(token).status_code == 404
    deleting.restore(deletion)
    assert see(token).status_code == 200


def test_a_link_of_somebody_who_was_switched_off_still_works(coat: Project, maker: Person) -> None:
    token = link(coat, maker)
    Person.objects.filter(pk=maker.pk).update(is_active=False)
    assert see(token).status_code == 200


def test_photographs_answer_to_their_own_link_alone(coat: Project, maker: Person) -> None:
    other = make.project("Capelet")
    mine, theirs = link(coat, maker), link(other, maker)
    shown, private = make.photo(coat, for_client=True), make.photo(coat)
    deleted = make.photo(coat, for_client=True)
    photos.delete_photo(deleted, person=maker)
    wrong = see("wrong")

    def fetch(token: str, key: str, size: str = "page") -> Any:
        return Client().get(reverse("see_photo", args=[token, key, size]))

    assert fetch(mine, shown.key).status_code == 200
    refused = [
        fetch("wrong", shown.key), fetch(theirs, shown.key), fetch(mine, private.key),
        fetch(mine, deleted.key), fetch(mine, "f" * 32), fetch(mine, shown.key, "huge"),
        fetch(mine, shown.key.upper()), fetch(mine, ".."),
    ]  # fmt: skip
    assert all(alike(answer, wrong) for answer in refused)
    stranger = Client().get(reverse("photo_file", args=[shown.key, "page"]))
    assert stranger.status_code == 302 and "sign-in" in stranger["Location"]
    sharing.revoke(coat.links.get())
    assert alike(fetch(mine, shown.key), wrong)


def test_a_photograph_whose_file_is_lost_is_not_there(coat: Project, maker: Person) -> None:
    token, shown = link(coat, maker), make.photo(coat, for_client=True)
    photos.photo_file_path(shown, "page").unlink()
    assert alike(Client().get(reverse("see_photo", args=[token, shown.key, "page"])), see("wrong"))
    if available.pdf_available():
        assert Client().get(reverse("see_pdf", args=[token])).status_code == 200


def test_without_pango_the_page_is_there_to_print(
    coat: Project, maker: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("projects.views.see.pdf_available", lambda: False)
    token = link(coat, maker)
    where = reverse("see_pdf", args=[token])
    answer = Client().get(where)
    assert answer.status_code == 302 and answer["Location"] == reverse("see", args=[token]) + "#print"
    page = see(token).content
    assert where.encode() not in page and b"print this page" in page


def test_a_project_with_nothing_in_it_has_a_page(coat: Project, maker: Person) -> None:
    text = see(link(coat, maker)).content.decode()
    assert "Concert coat" in text and text.count("<h1") == 1
    assert all(words not in text for words in ("How far", "Photographs", "The texture", "The cloth<", "None"))


def test_hostile_words_are_only_words(coat: Project, maker: Person) -> None:
    hostile = "<script>alert(1)</script>"
    Project.objects.filter(pk=coat.pk).update(title=hostile, client_note=hostile)
    make.photo(coat, for_client=True, caption='"><img src=x>')
    text = see(link(coat, maker)).content.decode()
    assert "<script" not in text and "<img src=x>" not in text and "&lt;script&gt;" in text


def test_more_links_need_no_more_queries(coat: Project, maker_page: Client, maker: Person) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            maker_page.get(reverse("share", args=[coat.pk]))
        return len(seen)

    link(coat, maker)
    before = asked()
    for number in range(8):
        link(coat, maker, name=f"reader {number}")
    assert asked() == before


def test_date_and_note_are_written_on_the_project(coat: Project, owner: Person) -> None:
    page, where = signed_in(owner), reverse("project_edit", args=[coat.pk])
    typed = {"title": "Concert coat", "washing": "before", "revision": coat.revision}
    wrong = page.post(where, {**typed, "promised": "in spring", "client_note": "Soon"})
    assert wrong.status_code == 422 and b"in spring" in wrong.content and b"Soon" in wrong.content
    page.post(where, {**typed, "promised": "2027-04-30", "client_note": "The fronts are done."})
    coat.refresh_from_db()
    assert str(coat.promised) == "2027-04-30" and coat.client_note == "The fronts are done."
    assert b"For the client" in page.get(where).content


def test_the_project_leads_to_sharing(coat: Project, maker_page: Client) -> None:
    assert (
        reverse("share", args=[coat.pk]).encode()
        in maker_page.get(reverse("project", args=[coat.pk])).content
    )
