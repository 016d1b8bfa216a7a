"""Check measures at the bench page: at any seam, typed wrong, measured at both ends, of a hand's own run."""

import json
import re

import pytest
from django.test import Client

from projects.activities.bench import look
from projects.calc.hand import STARTING_HAND
from projects.models import BenchFact, HandChange, Person, Piece
from projects.planning.run_checks import readings_at
from projects.planning.run_source import run_for
from projects.planning.runs import RunPlan
from projects.views.bench_advice import hand_for
from tests import make
from tests.bench_page.runs import fact, key_of, page_of, piece, send, sew, tap
from tests.exchange.test_lays_travel import bring
from tests.exchange.test_runs_travel import project_text

MM = make.MM


@pytest.fixture
def front(db: None) -> Piece:
    make.workroom()
    return piece()


def run_of(front: Piece) -> RunPlan:
    run = run_for(front.project, key_of(front))
    assert run is not None
    return run


def measured(front: Piece, number: int, excess: float = 0, minute: int = 100, **more: object) -> dict:
    """Both readings after a tuck with all before it sewn, the far one so much too long (mm)."""
    near, far = readings_at(run_of(front), number, set(range(1, number + 1)))
    values = {"near": f"{near / MM:.3f}", "far": f"{far / MM + excess:.3f}", **more}
    return fact("check", number, minute, **values)


def advice_after(page: Client, front: Piece, *facts: dict) -> dict:
    answer = send(page, front, *facts).json()
    assert not answer["refused"], answer["refused"]
    return answer["advice"] or {}


def test_measuring_at_a_seam_of_one_s_own_choice(maker_page: Client, front: Piece) -> None:
    """By an answer and by a plain form; all pages open, and it can be taken back."""
    assert 3 not in [check.tuck for check in run_of(front).checks]
    sew(maker_page, front, 1, 2, 3)
    one = measured(front, 3)
    assert send(maker_page, front, one).status_code == 200
    assert BenchFact.objects.get(kind="check").asked["band"] == 2_272_450
    for where in (page_of(front), f"/pieces/{front.pk}/"):
        assert maker_page.get(where).status_code == 200
    near, far = one["near"], one["far"]
    assert tap(maker_page, front, "check", unit="3", near=near, far=far).status_code in (200, 302, 303)
    assert sew(maker_page, front, 4, start=110)["now"]["number"] == 5
    assert send(maker_page, front, fact("undo", None, 120, undoes=one["op"])).status_code == 200
    assert BenchFact.objects.filter(kind="undo").exists()


@pytest.mark.parametrize("band", [None, 0])
def test_a_check_without_a_band_can_be_opened(band: int | None, maker_page: Client, front: Piece) -> None:
    """Kept by a device or a file of another studio."""
    sew(maker_page, front, 1, 2, 3)
    send(maker_page, front, measured(front, 3, -6))
    BenchFact.objects.filter(kind="check").update(asked={"near": None, "far": None, "band": band})
    assert "6 mm too short" in maker_page.get(page_of(front)).content.decode()
    brought = bring(project_text(front.project))
    there = brought.pieces.get()
    assert maker_page.get(page_of(there)).status_code == 200
    assert maker_page.get(f"/pieces/{there.pk}/").status_code == 200


def test_typed_wrong_and_measured_again(maker_page: Client, maker: Person, front: Piece) -> None:
    """100 mm off, then right: nothing is corrected by the first, and the next run begins as it should."""
    number = run_of(front).checks[0].tuck
    sew(maker_page, front, *range(1, number + 1))
    first = advice_after(maker_page, front, measured(front, number, 100))
    said = " ".join(first["lines"])
    assert "measure once more" in said and "nothing is corrected by it" in said
    assert not first["guide"] and not first["correct"] and not first["stays"]
    assert not HandChange.objects.exists()
    again = advice_after(maker_page, front, measured(front, number, 0, 101))
    assert again["lines"] == ["Both readings together are as planned."]
    assert not again["guide"] and not again["correct"]
    [taught] = HandChange.objects.all()
    assert taught.tucks == number and abs(taught.change) < 1_000, "as read, to a thousandth of a mm"
    following = piece(of=front.project, name="Back")
    assert "Move the guide" not in maker_page.get(page_of(following)).content.decode()


def test_confirmed_it_is_said_and_corrected(maker_page: Client, front: Piece) -> None:
    number = run_of(front).checks[0].tuck
    sew(maker_page, front, *range(1, number + 1))
    advice_after(maker_page, front, measured(front, number, -40))
    again = advice_after(maker_page, front, measured(front, number, -40.5, 101))
    assert "Measured twice, so it counts as it is; this hand is not judged by it." in again["lines"]
    assert again["correct"] and not again["guide"]
    assert not HandChange.objects.exists()


def test_a_run_s_own_checks_are_no_past_of_the_hand(maker_page: Client, maker: Person, front: Piece) -> None:
    number = run_of(front).checks[0].tuck
    sew(maker_page, front, *range(1, number + 1))
    taught = advice_after(maker_page, front, measured(front, number, -5))
    assert HandChange.objects.count() == 1
    bench = look(project=front.project, key=key_of(front))
    assert hand_for(bench, maker) == STARTING_HAND
    HandChange.objects.all().delete()
    page = maker_page.get(page_of(front)).context["data"]["advice"]
    assert json.loads(json.dumps(page)) == taught


def test_ends_that_differ_in_length_alone(maker_page: Client, front: Piece) -> None:
    """3 mm longer at one end, shorter at the other: right in the mean, and told how the ends differ."""
    number = run_of(front).checks[0].tuck
    sew(maker_page, front, *range(1, number + 1))
    one, other = measured(front, number, 3), measured(front, number, -3)
    both = {**one, "near_end": other["near"], "far_end": other["far"]}
    found = advice_after(maker_page, front, both)
    assert found["lines"] == [
        "Both readings together are as planned.",
        "At its other end the panel comes out 6 mm shorter than at this one.",
    ]
    assert not found["correct"] and not found["guide"]


def test_a_check_over_what_was_taken_back_says_so(maker_page: Client, front: Piece) -> None:
    """On the page, after an answer, and beside the panel: nothing is asked by it."""
    number = run_of(front).checks[0].tuck
    sew(maker_page, front, *range(1, number + 1))
    assert advice_after(maker_page, front, measured(front, number, -9))["guide"]
    third = BenchFact.objects.get(kind="sewn", unit=3)
    found = advice_after(maker_page, front, fact("undo", None, 101, undoes=str(third.op)))
    said = f"The measure after tuck {number} no longer counts: what it was made over was taken back."
    assert found["lines"][0].startswith(said) and not found["guide"] and not found["correct"]
    assert said in maker_page.get(page_of(front)).content.decode()
    assert "no longer counts" in maker_page.get(f"/pieces/{front.pk}/").content.decode()
    assert not HandChange.objects.exists()


def test_there_is_one_estimate_of_what_the_panel_comes_to(maker_page: Client, front: Piece) -> None:
    """What was read; what is expected with nothing changed; what with the guide moved, which is all that is
    asked at first; then what single tucks leave of that."""
    number = run_of(front).checks[0].tuck
    sew(maker_page, front, *range(1, number + 1))
    found = advice_after(maker_page, front, measured(front, number, -9))
    read, expected = found["lines"]
    assert read.startswith("Both readings together are 9 mm too short: more than the 3.5 mm")
    said = re.fullmatch(
        r"With nothing changed, the panel is expected to come out (\S+) mm too short. In this run this hand "
        r"sews about (\S+) mm too deep, and (\d+) are left.", expected,
    )  # fmt: skip
    assert said, expected
    end, bias, left = map(float, said.groups())
    assert left == run_of(front).count - number
    moved = re.match(r"With the guide moved the panel is expected to come out (\S+) mm", found["stays"])
    assert moved and found["guide"] and not found["correct"]
    assert abs(end - left * 2 * 0.5 - float(moved[1])) <= 0.5
    assert "tucks then come out less than 0.1 mm too shallow, which" in found["guide"]["text"]
    then = advice_after(maker_page, front, fact("guide", None, 101, asked=found["guide"]["asked"]))
    assert then["correct"] and not then["guide"]
    text = then["correct"]["text"]
    assert "numbers every" not in text
    done = advice_after(maker_page, front, fact("correct", None, 102, asked=then["correct"]["asked"]))
    assert done["lines"][-1].startswith("Agreed: ") and not done["correct"]
    assert done["stays"] == then["stays"].replace("With that", "With what is agreed")
    page = maker_page.get(page_of(front)).content.decode()
    assert "Agreed: " in page


def test_a_correction_says_what_it_takes_the_place_of(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1, 2)
    taken = {"asked": {"steps": {"20": 500_000}, "spaces": {}}}
    send(maker_page, front, fact("correct", None, 9, **taken))
    wrong = advice_after(maker_page, front, fact("sewn", 3, 10, depth="9"))
    assert not wrong, "it waits for its answer"
    found = advice_after(maker_page, front, fact("absorb", 3, 11))
    assert "instead of what was asked before" in found["correct"]["text"]
