"""The bench in a real browser: every state at both widths, readable from a metre, without JavaScript too."""

from typing import Any

import pytest
from playwright.sync_api import expect

from projects.models import Person, Workroom
from tests import make
from tests.bench_page.runs import fact, key_of, page_of, piece, send
from tests.browser import looks_wrong
from tests.conftest import signed_in

FROM_A_METRE = ("[data-bench=number]", "[data-bench=mark]", "[data-bench=deep]", "[data-bench=fold]")


@pytest.mark.parametrize("width", [360, 1280])
def test_states_look_right(width: int, browser_page: Any, maker: Person) -> None:
    make.workroom()
    front = piece()
    page = browser_page(width, person=maker)
    page.goto(page_of(front))
    assert looks_wrong(page, phone=width < 760) == []
    for place in FROM_A_METRE:
        size = page.locator(place).first.evaluate("box => parseFloat(getComputedStyle(box).fontSize)")
        assert size >= 40, place
    client = signed_in(maker)
    send(client, front, *(fact(unit=n, minute=n) for n in range(1, 8)), fact(unit=8, minute=9, depth="8.5"))
    Workroom.objects.update(units="inch")
    page.goto(page_of(front))
    assert looks_wrong(page, phone=width < 760) == []
    page.goto(f"/projects/{front.project_id}/bench/")
    assert looks_wrong(page, phone=width < 760) == []


def test_a_device_judges_by_the_mean_of_both_ends(browser_page: Any, maker: Person) -> None:
    make.workroom()
    page = browser_page(360, person=maker)
    page.goto(page_of(piece()))
    check = {"near_nm": 120, "far_nm": 400, "band_nm": 2}
    both = {"near": 120, "far": 403, "near_end": 122, "far_end": 395}
    judged = "([check, got]) => Bench.judge(check, got)"
    assert page.evaluate(judged, [check, both]) == {"shift": 1, "excess": 0, "fine": True}
    assert page.evaluate(judged, [check, {**both, "far_end": None}])["excess"] == 3
    assert page.evaluate(judged, [check, {"near": 121, "far": None}])["excess"] is None


@pytest.mark.parametrize("width", [360])
def test_a_tap_by_keyboard_alone_without_javascript(width: int, browser_page: Any, maker: Person) -> None:
    make.workroom()
    front = piece()
    page = browser_page(width, person=maker, javascript=False)
    page.goto(page_of(front))
    button = page.get_by_role("button", name="Sewn", exact=True)
    assert button.bounding_box()["height"] >= 70
    button.focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("[data-bench=number]")).to_have_text("2")
    assert page.url.split("#")[0].endswith(f"{key_of(front)}/")
