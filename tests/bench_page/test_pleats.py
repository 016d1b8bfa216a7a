"""Pleats sewn every other one: knife and inverted ones fold by fold, box pleats with both their folds."""

import pytest
from django.test import Client

from projects.calc.order_of_work import in_pairs, spans
from projects.models import Piece
from projects.planning.run_source import runs_by_key
from projects.planning.runs import RunPlan
from tests import make
from tests.bench_page.runs import page_of, piece, sew

MM = make.MM


def pleated(kind: str, depth: int = 10, **values: int) -> Piece:
    pleats = make.Direction(kind, width=50 * MM, depth=depth * MM)
    version = make.version(of=make.content(pleats))
    across = values.pop("across", 300) * MM
    return piece(version=version, across=across, work_order=values.pop("order", "alternate"), **values)


def run_of(row: Piece) -> RunPlan:
    return next(iter(runs_by_key(row.project).values()))


@pytest.fixture(autouse=True)
def studio(db: None) -> None:
    make.workroom()


@pytest.mark.parametrize("kind", ["knife", "inverted"])
def test_every_other_fold_then_those_between(kind: str) -> None:
    run = run_of(pleated(kind))
    count = run.count
    assert [unit.number for unit in run.units] == [*range(1, count + 1, 2), *range(2, count + 1, 2)]
    assert "every other one" in run.step.detail
    # With one between lying flat the third is measured from the first seam, over its cloth.
    units = run.by_number
    third = run.where(units[3], {1})
    assert (third.leans, third.length) == (1, units[3].at - units[1].end)
    assert run.where(units[2], set(range(1, count + 1, 2))).leans == 1


def test_box_pleats_go_by_whole_pleats() -> None:
    run = run_of(pleated("box"))
    odd = [n for first in range(1, run.count, 4) for n in (first, first + 1)]
    even = [n for first in range(3, run.count, 4) for n in (first, first + 1)]
    assert [unit.number for unit in run.units] == odd + even
    assert run.paired and "every other pleat, both its folds" in run.step.detail


def test_a_fold_that_was_dropped_leaves_its_pleat_in_order() -> None:
    axis = run_of(pleated("box")).side.axis
    for gone in range(axis.count):
        left = axis.without({gone})
        places = [place for span in spans(left) for place in span.places]
        assert in_pairs(left) and sorted(places) == list(range(left.count))
        numbers = [left.numbers[place] for place in places]
        pleats = list(dict.fromkeys((number - 1) // 2 for number in numbers))
        whole = sorted({(number - 1) // 2 for number in left.numbers})
        assert pleats == whole[::2] + whole[1::2]


def test_overlapping_pleats_and_other_wishes_keep_their_own_order() -> None:
    overlapping = run_of(pleated("knife", depth=60))
    assert [unit.number for unit in overlapping.units] == list(range(overlapping.count, 0, -1))
    assert "can't be sewn every other one first" in overlapping.step.detail
    centre = run_of(pleated("knife", order="centre"))
    assert [unit.number for unit in centre.units] == list(range(1, centre.count + 1))


def test_the_bench_says_how_each_fold_of_a_pair_lies(maker_page: Client) -> None:
    row = pleated("box")
    assert sew(maker_page, row, 1)["now"]["press"] == ["This fold’s flap lies towards the right edge."]
    last = sew(maker_page, row, *[unit.number for unit in run_of(row).units][1:], start=5)["now"]
    assert last["press"] == [
        "Press now: the flaps lie in pairs, odd numbers towards the left edge, even numbers towards the right"
        " edge."
    ]
    shown = maker_page.get(page_of(row)).content.decode()
    assert "centre line" not in shown


def test_the_piece_says_in_what_order(maker_page: Client) -> None:
    row = pleated("knife")
    shown = maker_page.get(f"/pieces/{row.pk}/").content.decode()
    assert "Every other one, then those between." in shown
    Piece.objects.update(work_order="centre")
    shown = maker_page.get(f"/pieces/{row.pk}/").content.decode()
    assert "overlap or are pleats and keep their own order" in shown


def test_another_order_in_the_middle_goes_on_at_its_first_open_pleat(maker_page: Client) -> None:
    row = pleated("knife", order="")
    sew(maker_page, row, 1, 2)
    Piece.objects.filter(pk=row.pk).update(work_order="alternate", revision=9)
    page = maker_page.get(page_of(row))
    assert page.context["now"].unit.number == 3
    said = page.context["data"]["now"]
    assert not said["open"] and said["then"].startswith("5, 4, 6: A ")
    on = sew(maker_page, row, 3, start=5)["now"]
    assert on["number"] == 5 and not on["open"]


def test_every_other_one_given_up_goes_on_at_those_between(maker_page: Client) -> None:
    row = pleated("knife", across=600)
    sew(maker_page, row, 1, 3, 5, 7)
    Piece.objects.filter(pk=row.pk).update(work_order="", revision=9)
    page = maker_page.get(page_of(row))
    assert page.context["now"].unit.number == 2 and not page.context["data"]["now"]["open"]


def test_a_jump_is_no_other_order(maker_page: Client) -> None:
    row = pleated("knife", order="")
    on = sew(maker_page, row, 1, 3)["now"]
    assert on["number"] == 4 and on["open"] == [2]


def test_many_left_open_are_said_in_a_whole_sentence(maker_page: Client) -> None:
    row = pleated("knife", across=600)
    last = run_of(row).count
    said = sew(maker_page, row, 2, 4)["now"]
    odd = last - 1 + last % 2
    assert said["open_text"] == f"Pleats still open: every other one from 1 to {odd}."
