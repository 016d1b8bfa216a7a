"""Deletions come back whole, for thirty days, by owners and makers."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.models import Deletion, Person, Piece, Project
from tests import make


@pytest.fixture
def gone(owner: Person) -> Deletion:
    """A project and its piece that went together; another piece went before."""
    project = make.project()
    earlier = make.piece(project, name="Yoke")
    make.deletion(earlier, by=owner, what="piece Yoke")
    return make.deletion(project, make.piece(project), by=owner)


def test_the_page_says_who_when_what_and_how_long(maker_page: Client, gone: Deletion) -> None:
    make.deletion(what="old thing", days_ago=31)
    make.deletion(what="last call", days_ago=29)
    page = maker_page.get("/deleted/").content.decode()
    assert "project Concert coat" in page and "Wren" in page and ">29<" in page
    assert "last call" in page and "less than a day" in page and "old thing" not in page


def test_an_empty_page_says_what_it_is_for(maker_page: Client) -> None:
    assert b"Nothing was deleted" in maker_page.get("/deleted/").content


@pytest.mark.parametrize("who", ["owner_page", "maker_page"])
def test_what_went_together_comes_back_together(
    who: str, gone: Deletion, request: pytest.FixtureRequest
) -> None:
    page = request.getfixturevalue(who)
    answer = page.post(f"/deleted/{gone.pk}/restore/", HTTP_REFERER="http://testserver/projects/")
    assert (answer.status_code, answer["Location"]) == (303, "http://testserver/projects/")
    assert Project.objects.live().count() == 1
    assert [piece.name for piece in Piece.objects.live()] == ["Front"]
    gone.refresh_from_db()
    assert gone.restored_at


def test_never_led_out_of_the_studio(owner_page: Client, gone: Deletion) -> None:
    answer = owner_page.post(f"/deleted/{gone.pk}/restore/", HTTP_REFERER="https://example.org/")
    assert answer["Location"] == "/deleted/"


def test_twice_is_as_good_as_once(owner_page: Client, gone: Deletion) -> None:
    owner_page.post(f"/deleted/{gone.pk}/restore/")
    Project.objects.update(title="Changed since")
    answer = owner_page.post(f"/deleted/{gone.pk}/restore/", follow=True)
    assert b"Back already" in answer.content and Project.objects.get().title == "Changed since"


def test_after_thirty_days_it_is_too_late(owner_page: Client) -> None:
    old = make.deletion(make.project(), days_ago=31)
    answer = owner_page.post(f"/deleted/{old.pk}/restore/", follow=True)
    assert b"Too late" in answer.content and not Project.objects.live().exists()


def test_the_list_asks_as_often_for_many_as_for_few(maker_page: Client, owner: Person) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            maker_page.get("/deleted/")
        return len(queries)

    make.deletion(by=owner)
    few = count()
    for _ in range(20):
        make.deletion(by=owner)
    assert count() == few


def test_hours_that_were_removed_are_listed_and_put_back(owner_page, maker_page, owner, maker):
    coat = make.project()
    mine = make.log(maker, coat, note="my own tucks", removed_at=timezone.now())
    make.log(owner, coat, note="cutting with the owner", removed_at=timezone.now())
    make.log(maker, coat, note="of long ago", removed_at=timezone.now() - timedelta(days=40))
    page = maker_page.get(reverse("deleted")).content.decode()
    assert "my own tucks" in page and "Nothing was deleted" not in page
    assert "cutting with the owner" not in page and "of long ago" not in page
    assert "cutting with the owner" in owner_page.get(reverse("deleted")).content.decode()
    maker_page.post(reverse("log_delete", args=[mine.pk]), {"back": "1"})
    assert "my own tucks" not in maker_page.get(reverse("deleted")).content.decode()
