"""From photographs and notes of a unit straight back to the bench at that unit."""

from typing import Any

import pytest
from django.test import Client

from projects.models import Person, Photo, Piece, Step
from projects.planning.run_source import run_for
from projects.views.bench_ways import unit_said
from tests import make
from tests.bench_page.runs import fact, key_of, page_of, piece, send, sew
from tests.bench_page.test_page import text_of
from tests.photos import pictures


@pytest.fixture
def front(db: None) -> Piece:
    make.workroom()
    return piece()


def photos_of(row: Piece, unit: object = "") -> str:
    return f"/projects/{row.project_id}/photos/?step={key_of(row)}&unit={unit}"


def test_a_photograph_from_the_bench_leads_straight_back(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, *range(1, 7))
    shown = maker_page.get(page_of(front)).content.decode()
    assert photos_of(front, 7).replace("&", "&amp;").replace(":", "%3A") in shown
    page = maker_page.get(photos_of(front, 7))
    assert page.context["form"].initial["caption"] == "Tuck 7 across"
    assert "Back to tuck 7 at the bench" in text_of(page)
    given = {"photos": pictures.upload(pictures.jpeg()), "caption": "Tuck 7 across", "step": key_of(front)}
    answer = maker_page.post(photos_of(front, 7), given)
    assert answer["Location"] == f"{page_of(front)}?to=7#bench"
    kept = Photo.objects.get()
    assert f'href="{page_of(front)}?to=7#bench"' in maker_page.get(f"/photos/{kept.pk}/").content.decode()


@pytest.mark.parametrize("unit", ["", "0", "99", "x", "7" * 40, "-1"])
def test_without_a_unit_it_is_the_bench_alone(unit: str, maker_page: Client, front: Piece) -> None:
    page = maker_page.get(photos_of(front, unit))
    assert page.status_code == 200 and "Back to the bench" in text_of(page)
    given = {"photos": pictures.upload(pictures.jpeg()), "caption": "", "step": key_of(front)}
    assert "/photos/" in maker_page.post(photos_of(front, unit), given)["Location"]


@pytest.mark.parametrize(
    ("said", "unit"),
    [
        ("Tuck 7 across", 7),
        ("tuck 7: puckers", 7),
        ("Tuck 77", None),
        ("Stuck 7", None),
        ("Tuck 7a", None),
        ("", None),
    ],
)
def test_the_unit_a_caption_begins_with(said: str, unit: int | None, front: Piece) -> None:
    assert unit_said(run_for(front.project, key_of(front)), said) == unit


def test_steps_without_a_run_have_no_way_there(maker_page: Client, front: Piece) -> None:
    key = key_of(front, kind="mark")
    assert "the bench" not in text_of(maker_page.get(f"/projects/{front.project_id}/photos/?step={key}"))
    photo = make.photo(front.project, caption="Tuck 7")
    assert "at the bench" not in text_of(maker_page.get(f"/photos/{photo.pk}/"))


def test_a_note_on_the_page_of_its_panel_leads_to_its_unit(
    maker_page: Client, maker: Person, front: Piece
) -> None:
    sew(maker_page, front, 1, 2, 3)
    assert not send(maker_page, front, fact("note", 4, minute=9, text="a slub here")).json()["refused"]
    shown = maker_page.get(f"/pieces/{front.pk}/").content.decode()
    assert f'<a href="{page_of(front)}?to=4#bench">Tuck 4: a slub here</a>' in shown


def test_a_unit_that_is_sewn_says_what_happened_at_it(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1, 2, 3)
    send(maker_page, front, fact("note", 2, minute=9, text="a slub here"))
    page = maker_page.get(f"{page_of(front)}?to=2")
    assert [one["text"] for one in page.context["at_told"]] == ["Tuck 2: note, a slub here", "Tuck 2: sewn"]
    assert "Tuck 2 is sewn." in text_of(page)


def test_the_link_follows_the_unit_in_hand(browser_page: Any, maker: Person, front: Piece) -> None:
    page = browser_page(360, person=maker)
    page.goto(page_of(front))
    page.get_by_role("button", name="Sewn", exact=True).click()
    page.locator("[data-bench=number]", has_text="2").wait_for()
    page.locator("[data-bench=photos][href$='&unit=2']").wait_for(state="attached")
    assert not Step.objects.filter(key=key_of(front), state="done").exists()
