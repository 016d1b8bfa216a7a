"""Where the next unit is folded and sewn, by what the run is placed by, and what stays open behind it."""

import json
from typing import Any

import pytest
from django.test import Client

from projects.models import BenchFact, Piece, Workroom
from tests import make
from tests.bench_page.runs import fact, page_of, piece, send, sew, tap


@pytest.fixture
def front(db: None) -> Piece:
    """Tucks of 4, 7, 10 and 7 mm, 12 mm apart."""
    make.workroom()
    return piece()


def place_by(page: Client, row: Piece, placing: str) -> None:
    assert page.post(page_of(row) + "placing/", {"placing": placing}).status_code == 303


def data_of(page: Client, row: Piece, to: int | None = None) -> dict[str, Any]:
    data: dict[str, Any] = page.get(page_of(row) + (f"?to={to}" if to else "")).context["data"]
    return data


def now(page: Client, row: Piece, to: int | None = None) -> tuple[str, str]:
    """The large figure and, of what stands below it, how far it is to the stitch line."""
    said = data_of(page, row, to)["now"]
    return said["fold"], said["seam"]


CORRECTED = '{"steps": {"2": -500000}, "spaces": {}}'


@pytest.mark.parametrize(
    ("placing", "fold", "seam"),
    [("lines", "18.5", "12 mm"), ("folds", "19", "12.5 mm"), ("last", "18.5", "12 mm")],
)
def test_a_correction(placing: str, fold: str, seam: str, maker_page: Client, front: Piece) -> None:
    """Tuck 2 at 6.5 for 7: a line that is drawn stays (12), a fold that is drawn does (19)."""
    place_by(maker_page, front, placing)
    sew(maker_page, front, 1)
    tap(maker_page, front, "correct", asked=CORRECTED)
    assert now(maker_page, front) == (fold, seam)
    said = data_of(maker_page, front)["now"]
    assert said["deep"] == "6.5" and seam in said["from"]


@pytest.mark.parametrize("placing", ["lines", "folds", "last"])
def test_a_moved_guide_moves_no_fold(placing: str, maker_page: Client, front: Piece) -> None:
    place_by(maker_page, front, placing)
    tap(maker_page, front, "guide", asked='{"guide": 500000}')
    sew(maker_page, front, 1)
    assert now(maker_page, front) == ("19", "12 mm")
    assert data_of(maker_page, front)["now"]["deep"] == "7.5"


@pytest.mark.parametrize(
    ("placing", "fold", "seam"),
    [("lines", "17", "10 mm"), ("folds", "18", "11 mm"), ("last", "19", "12 mm")],
)
@pytest.mark.parametrize("waits", [True, False])
def test_after_a_wrong_depth(
    placing: str, fold: str, seam: str, waits: bool, maker_page: Client, front: Piece
) -> None:
    """Tuck 1 at 5 for 4: what is drawn after it lies 2 mm nearer to its seam, or 1 where its fold was."""
    place_by(maker_page, front, placing)
    tap(maker_page, front, "sewn", unit="1", depth="5")
    if not waits:
        tap(maker_page, front, "absorb", unit="1")
    assert now(maker_page, front) == (fold, seam)
    sew(maker_page, front, 2)
    assert now(maker_page, front) == ("22", "12 mm"), "one tuck further it is as planned"


def test_after_a_wrong_depth_with_the_guide_moved(maker_page: Client, front: Piece) -> None:
    """Asked at 4.5 and sewn so, it is the 4 mm planned; at 5.5 it is 1 mm deeper."""
    tap(maker_page, front, "guide", asked='{"guide": 500000}')
    tap(maker_page, front, "sewn", unit="1", depth="4.5")
    assert now(maker_page, front) == ("19", "12 mm")
    tap(maker_page, front, "resew", unit="1", depth="5.5")
    assert now(maker_page, front) == ("17", "10 mm")
    tap(maker_page, front, "resew", unit="1")
    assert now(maker_page, front) == ("19", "12 mm")


def test_after_a_corrected_tuck(maker_page: Client, front: Piece) -> None:
    """Tuck 2 at 7.5: the line of tuck 3 lies 1 mm nearer to its seam."""
    sew(maker_page, front, 1)
    tap(maker_page, front, "correct", asked='{"steps": {"2": 500000}, "spaces": {}}')
    tap(maker_page, front, "sewn", unit="2")
    assert now(maker_page, front) == ("21", "11 mm")


def test_a_wrong_depth_in_inches(maker_page: Client, front: Piece) -> None:
    """5/16 in (7.94 mm) for 7 mm: 1.875 mm of 12 go, 10.125 mm remain, 3/8 in and 1/32."""
    Workroom.objects.update(units="inch")
    sew(maker_page, front, 1)
    tap(maker_page, front, "sewn", unit="2", depth="5/16")
    assert now(maker_page, front)[1] == "¹³⁄₃₂ in"


def test_overlapping_tucks_are_placed_from_the_far_side(maker_page: Client, db: None) -> None:
    """14 mm deep, 10 apart, sewn from the far edge: 15 for 14 brings the next line 2 mm nearer."""
    make.workroom()
    over = piece(version=make.version(of=make.content(make.tucks((10, 14)))))
    first = data_of(maker_page, over)["order"][0]
    tap(maker_page, over, "sewn", unit=str(first), depth="15")
    assert now(maker_page, over) == ("22", "8 mm")


def test_with_nothing_drawn_no_drawn_place_is_shown(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1)
    lines = data_of(maker_page, front)
    drawn = lines["now"]["drawn"]
    assert drawn.startswith("stitch lines drawn ") and drawn.endswith(" mm from the left edge")
    one, other = (float(text) for text in drawn.split()[3:6:2])
    assert other - one == 14, "7 mm on both sides of the fold"
    place_by(maker_page, front, "folds")
    assert f"fold drawn {one + 7:g} mm" in data_of(maker_page, front)["now"]["drawn"]
    place_by(maker_page, front, "last")
    data = data_of(maker_page, front)
    assert data["now"]["drawn"] == ""
    assert "drawn" not in data_of(maker_page, front, 5)["now"]["from"]
    # 3 x 12 and 18 of space, 14 + 20 + 14 that lie flat, and its own 4.
    assert now(maker_page, front, 5) == ("106", "102 mm")


def test_nothing_drawn_and_corrections_between(maker_page: Client, front: Piece) -> None:
    """What tucks 2 and 3 are asked beyond lies flat before tuck 4: 1 mm each, and 1 mm of space less."""
    place_by(maker_page, front, "last")
    sew(maker_page, front, 1)
    asked = {"steps": {"2": 500_000, "3": 500_000}, "spaces": {"3": -1_000_000}}
    tap(maker_page, front, "correct", asked=json.dumps(asked))
    assert now(maker_page, front, 4) == ("78", "71 mm")


def test_what_is_left_open_behind_is_said_and_the_check_still_comes(maker_page: Client, front: Piece) -> None:
    run = maker_page.get(page_of(front)).context["run"]
    check = run.checks[0]
    sew(maker_page, front, 1, 2, 3, 4)
    third = BenchFact.objects.get(unit=3)
    tap(maker_page, front, "undo", undoes=str(third.op))
    said = data_of(maker_page, front)["now"]
    assert said["number"] == 5 and said["open"] == [3] and said["open_text"] == "Tuck 3 is still open."
    sew(maker_page, front, *range(5, check.tuck + 1), start=10)
    due = data_of(maker_page, front)["now"]["due"]
    # 10 mm deep: its 20 mm lie flat before the seam of the check.
    assert due["after"] == check.tuck
    assert (due["near_nm"], due["far_nm"]) == (check.to_seam + 20 * make.MM, check.to_edge)
    near, far = (str(due[name] / make.MM) for name in ("near_nm", "far_nm"))
    answer = send(maker_page, front, fact("check", check.tuck, 60, near=near, far=far)).json()
    assert not answer["refused"] and answer["now"]["due"] is None
    assert data_of(maker_page, front, 3)["now"]["open"] == []


def test_several_left_open_in_a_jump(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1, 5)
    assert data_of(maker_page, front)["now"]["open_text"] == "Tucks 2, 3 and 4 are still open."
