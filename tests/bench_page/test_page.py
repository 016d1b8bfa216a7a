"""The page by plain forms: a run from the first tuck to the tick, whatever goes wrong on the way."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import pins
from projects.models import BenchFact, LabourLog, Panel, Person, Piece, Run, Step, Workroom
from tests import make
from tests.bench_page.runs import fact, key_of, page_of, piece, send, sew, tap


@pytest.fixture
def front(db: None) -> Piece:
    make.workroom()
    return piece()


def text_of(answer: object) -> str:
    """What the page says, without its tags."""
    body = answer.content.decode()  # type: ignore[attr-defined]
    return " ".join(re.sub(r"<[^>]+>", " ", body).split())


def test_a_run_from_beginning_to_end(maker_page: Client, front: Piece) -> None:
    run = maker_page.get(page_of(front)).context["run"]
    for number in [unit.number for unit in run.units]:
        page = maker_page.get(page_of(front))
        assert page.context["data"]["now"]["number"] == number and f"Tuck {number} of" in text_of(page)
        answer = tap(maker_page, front, "sewn", unit=str(number))
        assert answer.status_code == 303 and answer["Location"].startswith(page_of(front))
    over = maker_page.get(page_of(front))
    assert f"All {run.count} tucks are sewn" in text_of(over)
    assert "flaps lie towards the right" in text_of(over)
    assert not Step.objects.filter(key=key_of(front), state="done").exists()
    maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key_of(front)})
    assert "ticked as done" in text_of(maker_page.get(page_of(front)))


def test_a_unit_taken_back_does_not_untick_and_says_so(maker_page: Client, front: Piece) -> None:
    run = maker_page.get(page_of(front)).context["run"]
    sew(maker_page, front, *[unit.number for unit in run.units])
    maker_page.post(reverse("step_tick", args=[front.project_id]), {"key": key_of(front)})
    last = BenchFact.objects.order_by("-pk").first()
    assert tap(maker_page, front, "undo", undoes=str(last.op)).status_code == 303
    assert "not all tucks are sewn here" in text_of(maker_page.get(page_of(front)))
    assert Step.objects.get(key=key_of(front)).state == "done"


def test_the_same_form_twice_is_one_tap(maker_page: Client, front: Piece) -> None:
    op = "8c6a1c2e-0000-4000-8000-000000000000"
    for _ in range(2):
        assert tap(maker_page, front, "sewn", unit="1", op=op).status_code == 303
    assert BenchFact.objects.count() == 1


def test_another_depth_says_what_it_does_and_offers_both_ways(maker_page: Client, front: Piece) -> None:
    tap(maker_page, front, "sewn", unit="1", depth="5,5")
    said = text_of(maker_page.get(page_of(front)))
    assert "Tuck 1 is 5.5 mm deep where 4 mm was asked: it makes the panel 3 mm short" in said
    assert "the new line first, then unpick the old one" in said
    tap(maker_page, front, "resew", unit="1")
    assert "makes the panel" not in text_of(maker_page.get(page_of(front)))


def test_another_depth_waits_for_its_answer(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    tap(maker_page, front, "sewn", unit="1", depth="5,5")
    sew(maker_page, front, *range(2, check.tuck), start=99_999)
    assert "Tuck 1 is 5.5 mm deep" in text_of(maker_page.get(page_of(front)))
    sew(maker_page, front, check.tuck, start=100_999)
    tap(maker_page, front, "check", unit=str(check.tuck), near=f"{check.to_seam / make.MM:.3f}")
    assert "Tuck 1 is 5.5 mm deep" not in text_of(maker_page.get(page_of(front))), "the check knows of it"


def test_leaving_it_ends_the_question(maker_page: Client, front: Piece) -> None:
    tap(maker_page, front, "sewn", unit="1", depth="5,5")
    tap(maker_page, front, "absorb", unit="1")
    assert "makes the panel" not in text_of(maker_page.get(page_of(front)))


@pytest.mark.parametrize(
    ("kind", "fields", "kept"),
    [
        ("sewn", {"unit": "1", "depth": "7 metres"}, 'value="7 metres"'),
        ("check", {"unit": "1", "near": "23o", "far": "490"}, 'value="23o"'),
        ("note", {"unit": "1", "text": "n" * 400}, "n" * 400),
    ],
)
def test_what_was_typed_wrongly_stays(
    kind: str, fields: dict[str, str], kept: str, maker_page: Client, front: Piece
) -> None:
    answer = tap(maker_page, front, kind, **fields)
    assert answer.status_code == 422 and kept in answer.content.decode() and not BenchFact.objects.exists()


def test_jumping_asks_whether_those_between_are_sewn(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1)
    page = maker_page.get(page_of(front) + "?to=5")
    assert page.context["data"]["now"]["number"] == 5 and "Between lie 3 tucks" in text_of(page)
    assert 'data-bench="open" hidden' in page.content.decode()
    tap(maker_page, front, "sewn", unit="2", also="3,4")
    assert maker_page.get(page_of(front)).context["data"]["now"]["number"] == 5


@pytest.mark.parametrize(
    ("to", "said"), [("1", "is sewn"), ("99", "There is no tuck 99"), ("x", "Tuck 2 of")]
)
def test_jumping_nowhere(to: str, said: str, maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1)
    assert said in text_of(maker_page.get(f"{page_of(front)}?to={to}"))


def test_from_the_last_seam_after_a_jump_counts_what_lies_flat(maker_page: Client, front: Piece) -> None:
    """Tucks 2 and 3 (12 + 14, 12 + 20) lie flat between seam 1 and tuck 4: its fold is 12 + 7 further on."""
    sew(maker_page, front, 1)
    now = maker_page.get(page_of(front) + "?to=4").context["data"]["now"]
    assert now["fold"] == "77" and now["from"].startswith("from the seam of tuck 1 (70 mm")


def test_close_tucks_are_tapped_in_fives(maker_page: Client, db: None) -> None:
    make.workroom()
    close = piece(version=make.version(of=make.content(make.tucks((2, 1)))))
    page = maker_page.get(page_of(close))
    assert page.context["data"]["fives"] and "The next 5 sewn" in text_of(page)
    tap(maker_page, close, "sewn", unit="1", also="2,3,4,5")
    assert maker_page.get(page_of(close)).context["data"]["now"]["number"] == 6


def test_a_check_is_asked_for_and_judged(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    page = maker_page.get(page_of(front))
    due = page.context["data"]["now"]["due"]
    assert due["after"] == check.tuck and (due["near_nm"], due["far_nm"]) == (check.to_seam, check.to_edge)
    near, far = (nm / make.MM for nm in (check.to_seam, check.to_edge - 8 * make.MM))
    tap(maker_page, front, "check", unit=str(check.tuck), near=f"{near:.3f}", far=f"{far:.3f}")
    after = maker_page.get(page_of(front))
    assert "Both readings together are 8 mm too short" in text_of(after)
    assert after.context["data"]["now"]["due"] is None


def test_a_check_that_was_passed_is_said_until_a_later_one_is_made(maker_page: Client, front: Piece) -> None:
    first = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, first.tuck + 1))
    page = maker_page.get(page_of(front))
    assert page.context["data"]["now"]["missed"] is None and "Sewn, without measuring" in text_of(page)
    last = first.tuck + 3
    now = sew(maker_page, front, *range(first.tuck + 1, last + 1), start=20)["now"]
    assert (now["due"], now["missed"]) == (None, first.tuck)
    assert f"Not measured after tuck {first.tuck} ." in text_of(maker_page.get(page_of(front)))


def test_what_is_left_open_can_be_gone_to_or_said_to_be_sewn(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1, 2, 3, 4)
    third = BenchFact.objects.get(unit=3)
    tap(maker_page, front, "undo", undoes=str(third.op))
    sew(maker_page, front, 5, start=9)
    page = maker_page.get(page_of(front))
    assert "Tuck 3 is still open." in text_of(page)
    assert f"{page_of(front)}?to=3#bench" in page.content.decode()
    tap(maker_page, front, "sewn", unit="3", also="")
    assert "still open" not in text_of(maker_page.get(page_of(front)))


def test_somebody_elses_timer_is_said(owner_page: Client, owner: Person, maker: Person, front: Piece) -> None:
    make.log(owner, front.project, minutes=None, started_at=timezone.now())
    maker.pin = "x"
    maker.save()
    session = owner_page.session
    until = (timezone.now() + timedelta(hours=1)).timestamp()
    session["bench_person"] = {"person": maker.pk, "until": until, "mark": pins.mark(maker)}
    session.save()
    assert f"{owner}’s timer still runs, since" in text_of(owner_page.get(page_of(front)))
    where = reverse("step_tick", args=[front.project_id])
    owner_page.post(where, {"key": key_of(front), "bench": "1"})
    assert Step.objects.get(key=key_of(front)).done_by == maker


def test_without_the_second_reading_it_says_what_can_t_be_told(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    tap(maker_page, front, "check", unit=str(check.tuck), near=f"{check.to_seam / make.MM + 4:.3f}")
    said = text_of(maker_page.get(page_of(front)))
    assert "can't be told" in said.replace("&#x27;", "'") and "The seam sits 4 mm farther on" in said


def test_a_correction_taken_up_changes_the_depths_shown(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    send(
        maker_page, front,
        fact("check", check.tuck, 40, near=f"{check.to_seam / make.MM:.3f}",
             far=f"{check.to_edge / make.MM - 6:.3f}"),
    )  # fmt: skip
    advice = maker_page.get(page_of(front)).context["data"]["advice"]
    kinds = [kind for kind in ("guide", "correct") if advice[kind]]
    assert kinds
    for kind in kinds:
        tap(maker_page, front, kind, asked=advice[kind]["asked_json"])
    data = maker_page.get(page_of(front)).context["data"]
    number = data["now"]["number"]
    assert data["now"]["why"] and not any((data["advice"] or {}).get(kind) for kind in kinds)
    tap(maker_page, front, "sewn", unit=str(number))
    beyond = BenchFact.objects.order_by("-pk").first().asked["beyond"][str(number)]
    assert beyond < 0, "too short: the next ones are shallower"


def test_refused_advice_does_not_come_again(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    far = f"{check.to_edge / make.MM - 6:.3f}"
    send(maker_page, front, fact("check", check.tuck, 40, near=f"{check.to_seam / make.MM:.3f}", far=far))
    for kind in ("guide", "correct"):
        tap(maker_page, front, kind, refused="1")
    data = maker_page.get(page_of(front)).context["data"]
    assert not data["now"]["why"] and not any((data["advice"] or {}).get(k) for k in ("guide", "correct"))


def test_what_stays_is_said_once_the_guide_is_left_where_it_is(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    far = f"{check.to_edge / make.MM - 8:.3f}"
    send(maker_page, front, fact("check", check.tuck, 40, near=f"{check.to_seam / make.MM:.3f}", far=far))
    before = maker_page.get(page_of(front)).context["data"]["advice"]
    assert before["guide"] and not before["correct"]
    assert before["stays"].startswith("With the guide moved ")
    tap(maker_page, front, "guide", refused="1")
    page = maker_page.get(page_of(front))
    after = page.context["data"]["advice"]
    assert after["guide"] is None and after["correct"]
    assert after["stays"].startswith("With the guide where it is and these corrections ")
    assert after["stays"] in text_of(page)
    tap(maker_page, front, "correct", refused="1")
    assert "With the guide where it is " in text_of(maker_page.get(page_of(front)))


def test_askew_is_said(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    near = check.to_seam / make.MM
    tap(maker_page, front, "check", unit=str(check.tuck), near=f"{near:.3f}", near_end=f"{near + 5:.3f}")
    assert "runs askew: at its other end it sits 5 mm farther" in text_of(maker_page.get(page_of(front)))


def test_placing_can_be_chosen(maker_page: Client, front: Piece) -> None:
    where = page_of(front) + "placing/"
    assert maker_page.post(where, {"placing": "last"}).status_code == 303
    assert Run.objects.get().placing == "last"
    assert maker_page.post(where, {"placing": "guessed"}).status_code == 422


def test_from_the_last_seam_a_correction_moves_the_fold(maker_page: Client, front: Piece) -> None:
    """Tuck 2: 12 and half of 14 make 19; 1 mm less space and half a millimetre deeper make 18.5, and 19.5
    where its line is drawn."""
    sew(maker_page, front, 1)
    tap(maker_page, front, "correct", asked='{"steps": {"2": 500000}, "spaces": {"2": -1000000}}')
    assert maker_page.get(page_of(front)).context["data"]["now"]["fold"] == "19.5"
    maker_page.post(page_of(front) + "placing/", {"placing": "last"})
    now = maker_page.get(page_of(front)).context["data"]["now"]
    assert (now["deep"], now["fold"], now["seam"]) == ("7.5", "18.5", "11 mm")


def test_a_mirrored_panel_is_counted_from_its_own_edge(maker_page: Client, db: None) -> None:
    make.workroom()
    pair = piece(count=2, mirrored=True)
    left, right = (maker_page.get(page_of(pair, key_of(pair, n))) for n in (1, 2))
    assert "drawn" in text_of(left) and "from the left edge" in text_of(left)
    assert "from the right edge" in text_of(right)
    assert "lie towards the right" in text_of(left) and "lie towards the left" in text_of(right)
    assert left.context["data"]["order"] == right.context["data"]["order"]


def test_overlapping_tucks_are_sewn_from_the_far_edge_and_pressed_each(maker_page: Client, db: None) -> None:
    make.workroom()
    over = piece(version=make.version(of=make.content(make.tucks((10, 14)))))
    run = maker_page.get(page_of(over)).context["run"]
    order = [unit.number for unit in run.units]
    assert order == sorted(order, reverse=True)
    first = maker_page.get(page_of(over))
    assert "from the right edge" in first.context["data"]["now"]["from"]
    sew(maker_page, over, order[0])
    page = maker_page.get(page_of(over))
    assert page.context["data"]["now"]["number"] == order[1]
    assert f"Press tuck {order[0]} towards the right edge before the next" in text_of(page)
    # 10 between the seams and half of what it takes up: 14.
    assert page.context["data"]["now"]["fold"] == "24"


def test_a_run_no_longer_in_the_plan_keeps_what_happened(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1)
    Piece.objects.filter(pk=front.pk).update(version=None, revision=7)
    page = maker_page.get(page_of(front))
    assert page.status_code == 200 and "no longer in the plan" in text_of(page)
    assert "no longer in the plan" in send(maker_page, front, fact(unit=2)).json()["refused"][0]["why"]
    assert tap(maker_page, front, "undo", undoes=str(BenchFact.objects.get().op)).status_code == 303


def test_other_work_begun_is_one_tap_away(maker_page: Client, front: Piece) -> None:
    other = piece(of=front.project, name="Back")
    sew(maker_page, other, 1)
    page = maker_page.get(page_of(front))
    assert f'href="{page_of(other)}#bench"' in page.content.decode()
    make.step(front.project, key=key_of(other), state="done")
    assert f'href="{page_of(other)}#bench"' not in maker_page.get(page_of(front)).content.decode()


def test_the_list_of_runs(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1, 2)
    where = f"/projects/{front.project_id}/bench/"
    page = maker_page.get(where)
    count = page.context["rows"][0]["run"].count
    assert f"Front, across 2 of {count} tucks sewn, begun" in text_of(page)
    step = make.step(front.project, key=key_of(front), state="done")
    assert f"done, 2 of {count} tucks sewn here" in text_of(maker_page.get(where))
    for one in BenchFact.objects.all():
        tap(maker_page, front, "undo", undoes=str(one.op))
    assert f"Front, across {count} tucks, done" in text_of(maker_page.get(where))
    Step.objects.filter(pk=step.pk).update(state="open")
    assert f"Front, across {count} tucks, to do" in text_of(maker_page.get(where))


def test_the_panel_s_page_keeps_what_was_asked_and_done(maker_page: Client, front: Piece) -> None:
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    sew(maker_page, front, *range(1, check.tuck + 1))
    tap(maker_page, front, "check", unit=str(check.tuck), near="100", far="250")
    tap(maker_page, front, "note", unit="3", text="Anna's thread NO. 80 broke")
    tap(maker_page, front, "guide", asked='{"guide": -500000}')
    assert "Guide 0.5 mm shallower than planned" in text_of(maker_page.get(page_of(front)))
    said = text_of(maker_page.get(reverse("piece", args=[front.pk])))
    assert f"{check.tuck} of" in said and "Guide 0.5 mm shallower" in said
    assert "Tuck 3: Anna&#x27;s thread NO. 80 broke" in said
    Workroom.objects.update(units="inch")
    assert "9 ²⁷⁄₃₂ in" in text_of(maker_page.get(reverse("piece", args=[front.pk])))


def test_the_timer_starts_from_the_bench_as_rework_too(maker_page: Client, front: Piece) -> None:
    where = page_of(front) + "time/"
    assert maker_page.post(where).status_code == 303
    assert "Stop the timer" in maker_page.get(page_of(front)).content.decode()
    assert maker_page.post(where, {"rework": "1"}).status_code == 303
    log = front.project.labour.get(ended_at=None, minutes=None)
    assert log.rework and log.step.key == key_of(front)


@pytest.mark.parametrize("kind", ["resew", "absorb"])
def test_sewn_again_the_timer_goes_on_as_ordinary_work(kind: str, maker_page: Client, front: Piece) -> None:
    where = page_of(front) + "time/"
    maker_page.post(where)
    tap(maker_page, front, "sewn", unit="1", depth="5,5")
    page = maker_page.get(page_of(front))
    assert page.context["data"]["now"]["wrong"]["again"] == where and "I sew it again now" in text_of(page)
    maker_page.post(where, {"rework": "1"})
    assert maker_page.get(page_of(front)).context["data"]["now"]["wrong"]["again"] == ""
    front.project.labour.update(started_at=timezone.now() - timedelta(minutes=20))
    tap(maker_page, front, kind, unit="1")
    assert "The timer goes on as ordinary work" in text_of(maker_page.get(page_of(front)))
    now, before = front.project.labour.order_by("-pk")[:2]
    assert (before.rework, now.rework, now.ended_at) == (True, False, None)
    assert before.ended_at == now.started_at and now.step == before.step


def test_a_device_is_told_that_the_timer_goes_on(maker_page: Client, front: Piece) -> None:
    maker_page.post(page_of(front) + "time/")
    assert send(maker_page, front, fact(unit=1, depth="5.5"), fact("resew", 1)).json()["said"] == []
    maker_page.post(page_of(front) + "time/", {"rework": "1"})
    assert "ordinary work" in send(maker_page, front, fact("resew", 1)).json()["said"][0]
    assert send(maker_page, front, fact("resew", 1)).json()["said"] == []


def test_a_check_is_made_after_a_unit_that_is_sewn(maker_page: Client, front: Piece) -> None:
    sew(maker_page, front, 1, 2)
    answer = tap(maker_page, front, "check", unit="9", near="90")
    assert answer.status_code == 422 and "Tuck 9 is not sewn yet" in text_of(answer)
    assert 'value="90"' in answer.content.decode()
    told = send(maker_page, front, fact("check", 3, near="30"), fact(unit=3), fact("check", 3, near="30"))
    assert [one["why"][:6] for one in told.json()["refused"]] == ["Tuck 3"]


def asked(page: Client, where: str) -> int:
    page.get(where)
    with CaptureQueriesContext(connection) as seen:
        assert page.get(where).status_code == 200
    return len(seen)


def test_many_units_and_many_runs_ask_as_often_as_few(maker_page: Client, front: Piece) -> None:
    where, listed = page_of(front), f"/projects/{front.project_id}/bench/"
    sew(maker_page, front, 1, 2)
    sew(maker_page, piece(of=front.project, name="Cuff"), 1)
    few = asked(maker_page, where), asked(maker_page, listed), asked(maker_page, where + "facts/")
    many = piece(of=front.project, count=20, across=3_000 * make.MM, name="Back")
    for number in range(1, 21):
        sew(maker_page, many, 1, key=key_of(many, number))
    order = maker_page.get(page_of(many)).context["data"]["order"]
    assert len(order) > 200
    sew(maker_page, many, *order[1:200])
    where = page_of(many)
    more = asked(maker_page, where), asked(maker_page, listed), asked(maker_page, where + "facts/")
    assert more == few


def test_many_taps_in_one_post_ask_as_often_as_a_few(maker_page: Client, front: Piece) -> None:
    counts = []
    for units in (range(1, 3), range(3, 13)):
        facts = [fact(unit=unit, minute=unit) for unit in units]
        with CaptureQueriesContext(connection) as seen:
            assert not send(maker_page, front, *facts).json()["refused"]
        counts.append(len(seen))
    # The first makes the run's row.
    assert counts[1] <= counts[0]
    assert Panel.objects.count() == 1


def test_notes_of_the_unit_in_hand(maker_page: Client, front: Piece) -> None:
    tap(maker_page, front, "note", unit="1", text="thread changed")
    assert "Noted at tuck 1: thread changed" in text_of(maker_page.get(page_of(front)))
    sew(maker_page, front, 1)
    assert "Noted at tuck" not in text_of(maker_page.get(page_of(front)))


def test_the_clock_of_a_forgotten_timer_stands(maker_page: Client, maker: Person, front: Piece) -> None:
    maker_page.post(f"{page_of(front)}time/")
    assert "data-since" in maker_page.get(page_of(front)).content.decode()
    begun = timezone.now() - timedelta(hours=9)
    LabourLog.objects.update(started_at=begun, seen_at=begun + timedelta(hours=1))
    page = maker_page.get(page_of(front))
    assert "data-since" not in page.content.decode() and "since " in text_of(page)
