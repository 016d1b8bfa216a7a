"""A photograph moved to another row: project, step, sample, fabric or notion, with nothing uploaded again."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.activities import photos
from projects.activities.photos import photo_file_path
from projects.activities.revising import Stale
from projects.models import Photo, Project, Step
from projects.planning import plan_project
from tests import make


@pytest.fixture
def shown(maker: Any) -> Photo:
    return make.photo(caption="The yoke", for_client=True, on_sheet=True)


def move(page: Client, photo: Photo, to: str, revision: int | None = None) -> Any:
    revision = photo.revision if revision is None else revision
    return page.post(reverse("photo_move", args=[photo.pk]), {"to": to, "revision": revision})


@pytest.mark.parametrize("kind", ["project", "sample", "fabric", "notion"])
def test_it_is_then_of_that_row_alone(kind: str, shown: Photo, maker_page: Client) -> None:
    row = getattr(make, kind)()
    file = photo_file_path(shown, "full").read_bytes()
    answer = move(maker_page, shown, f"{kind}:{row.pk}")
    assert answer.status_code == 303
    moved = Photo.objects.get()
    assert [p.pk for p in photos.photos_of(row)] == [moved.pk] and moved.revision == shown.revision + 1
    linked = [name for name in ("project", "step", "sample", "fabric", "notion") if getattr(moved, name)]
    assert linked == [kind] and photo_file_path(moved, "full").read_bytes() == file
    assert b"The yoke" in maker_page.get(reverse(kind, args=[row.pk])).content


def test_what_a_client_saw_of_one_project_no_other_client_sees(shown: Photo, maker_page: Client) -> None:
    other = make.project("Lantern gown")
    move(maker_page, shown, f"project:{other.pk}")
    moved = Photo.objects.get()
    assert moved.project == other and not moved.for_client and not moved.on_sheet


def test_within_its_project_it_stays_shown(shown: Photo, maker_page: Client) -> None:
    make.piece(shown.project, version=make.version(), fabric=make.fabric())
    key = plan_project(shown.project).steps[0].key
    page = maker_page.get(reverse("photo_move", args=[shown.pk]) + f"?project={shown.project_id}").content
    assert f'value="step:{shown.project_id}:{key}"'.encode() in page
    move(maker_page, shown, f"step:{shown.project_id}:{key}")
    moved = Photo.objects.get()
    assert moved.step == Step.objects.get() and moved.project == shown.project
    assert moved.for_client and moved.on_sheet
    move(maker_page, moved, f"project:{shown.project_id}")
    moved.refresh_from_db()
    assert moved.step is None and moved.for_client


@pytest.mark.parametrize(
    "to",
    ["", "project:", "project:x", "client:1", "fabric:999999", "step:1", "step:999999:p", f"notion:{10**30}"],
)
def test_a_row_that_is_not_there_is_not_found(to: str, shown: Photo, maker_page: Client) -> None:
    assert move(maker_page, shown, to).status_code == 404
    assert Photo.objects.get().project == shown.project


def test_a_deleted_row_is_no_choice(shown: Photo, maker_page: Client) -> None:
    fabric = make.fabric("Silk organza")
    make.deletion(fabric)
    assert move(maker_page, shown, f"fabric:{fabric.pk}").status_code == 404
    page = maker_page.get(reverse("photo_move", args=[shown.pk]) + "?q=organza").content
    assert b"Nothing with photographs" in page


def test_whoever_saved_first_is_not_overwritten(shown: Photo, maker_page: Client) -> None:
    fabric = make.fabric()
    photos.change_photo(shown, revision=shown.revision, changes={"caption": "The collar"})
    answer = move(maker_page, shown, f"fabric:{fabric.pk}")
    assert answer.status_code == 409 and b"The collar" in answer.content
    with pytest.raises(Stale):
        photos.move_photo(shown, revision=shown.revision, to=fabric)
    assert move(maker_page, shown, f"fabric:{fabric.pk}", shown.revision + 1).status_code == 303


def test_a_move_that_is_refused_makes_no_step(shown: Photo, maker_page: Client) -> None:
    make.piece(shown.project, version=make.version(), fabric=make.fabric())
    key = plan_project(shown.project).steps[0].key
    answer = move(maker_page, shown, f"step:{shown.project_id}:{key}", shown.revision - 1)
    assert answer.status_code == 409 and not Step.objects.exists()


def test_rows_are_found_by_words(shown: Photo, maker_page: Client) -> None:
    make.fabric("Silk organza")
    make.notion("Organza ribbon", kind="other")
    where = reverse("photo_move", args=[shown.pk])
    whole = maker_page.get(where + "?q=organza")
    assert b"Silk organza" in whole.content and b"Organza ribbon" in whole.content
    part = maker_page.get(where + "?q=organza", headers={"HX-Request": "true"})
    assert b"<html" not in part.content and b"Silk organza" in part.content
    assert b"Concert coat" in maker_page.get(where).content


def test_the_page_asks_as_often_for_many_rows(shown: Photo, maker_page: Client) -> None:
    where = reverse("photo_move", args=[shown.pk]) + "?q=o"

    def asked() -> int:
        with CaptureQueriesContext(connection) as found:
            assert maker_page.get(where).status_code == 200
        return len(found)

    make.fabric("Organza"), make.notion("Bobbin"), make.project("Lantern gown")
    asked()
    few = asked()
    for number in range(12):
        make.fabric(f"Organza {number}"), make.notion(f"Bobbin {number}")
        make.project(f"Gown, Doric {number}")
    assert asked() == few
    assert Project.objects.count() > 10
