"""Facts from a device: kept once, each judged by itself, told to the others."""

import json
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from projects.models import BenchFact, Panel, Person, Piece, Run, Workroom
from tests import make
from tests.bench_page.runs import fact, key_of, page_of, piece, send, sew
from tests.conftest import signed_in


@pytest.fixture
def front(db: None) -> Piece:
    make.workroom()
    return piece()


def test_a_tap_says_which_unit_and_the_next_is_told(maker_page: Client, front: Piece) -> None:
    now = sew(maker_page, front, 1)["now"]
    assert (now["number"], now["mark"], now["deep"], now["fold"]) == (2, "B", "7", "19")
    assert now["from"] == "from the last seam (12 mm to the stitch line)"
    assert now["then"].startswith("C 10, B 7, A 4")
    assert Run.objects.get().panel == Panel.objects.get(piece=front)


def test_the_same_fact_again_is_one(maker_page: Client, front: Piece) -> None:
    one = fact(unit=1)
    for _ in range(2):
        answer = send(maker_page, front, one, one).json()
    assert not answer["refused"] and BenchFact.objects.count() == 1
    assert len(answer["facts"]) == 1


def test_others_hear_only_what_is_new(maker_page: Client, front: Piece) -> None:
    seq = sew(maker_page, front, 1, 2)["seq"]
    sew(maker_page, front, 3, start=3)
    heard = maker_page.get(f"{page_of(front)}facts/?after={seq}").json()
    assert [f["unit"] for f in heard["facts"]] == [3] and heard["now"]["number"] == 4


WRONG = [
    ({"op": "no id"}, "no id of its own"),
    ({"kind": "danced"}, "nothing that is done"),
    ({"unit": None}, "by its number"),
    ({"unit": 999}, "There is no tuck 999"),
    ({"unit": True}, "by its number"),
    ({"also": [1, 999]}, "is not in this run"),
    ({"also": "2,3"}, "is not in this run"),
    ({"depth": "deep"}, "deep"),
    ({"depth": "70"}, "far from the"),
    ({"depth": 7}, "as it was typed"),
    ({"kind": "check", "near": ""}, "first reading"),
    ({"kind": "check", "near": "99999"}, "99999"),
    ({"kind": "check", "near": "100", "far_end": "3"}, "first reading too"),
    ({"kind": "undo", "undoes": "x"}, "was not named"),
    ({"kind": "undo", "undoes": "8c6a1c2e-0000-4000-8000-000000000000"}, "is not here"),
    ({"kind": "note", "text": ""}, "empty"),
    ({"kind": "note", "text": "a\x00b"}, "can't be kept"),
    ({"kind": "note", "text": "n" * 301}, "301"),
    ({"kind": "note", "text": "a\ud800b"}, "can't be kept"),
    ({"kind": "guide"}, "did not come along"),
    ({"kind": "guide", "asked": {"guide": -2_000_001}}, "can't be read"),
    ({"kind": "correct", "asked": {"steps": [1], "spaces": {}}}, "can't be read"),
    ({"kind": "correct", "asked": {"steps": {}}}, "can't be read"),
    ({"kind": "guide", "asked": {"guide": 10**9}}, "can't be read"),
    ({"kind": "correct", "asked": {"steps": {"999": 500_000}}}, "not in this run"),
]


@pytest.mark.parametrize(("change", "why"), WRONG)
def test_what_can_t_be_taken_is_refused_alone(
    change: dict[str, object], why: str, maker_page: Client, front: Piece
) -> None:
    answer = send(maker_page, front, fact(unit=1), {**fact(unit=2), **change}, fact(unit=3))
    told = answer.json()
    assert answer.status_code == 200 and len(told["refused"]) == 1 and why in told["refused"][0]["why"]
    assert sorted(BenchFact.objects.values_list("unit", flat=True)) == [1, 3]


@pytest.mark.parametrize("body", ["", "[1]", '{"facts": 3}', '{"facts": [' + "[" * 9_000, "null", '"x"'])
def test_what_is_no_list_of_facts_is_a_plain_400(body: str, maker_page: Client, front: Piece) -> None:
    answer = maker_page.post(f"{page_of(front)}facts/", body, content_type="application/json")
    assert answer.status_code == 400 and answer.json()["why"]


@pytest.mark.parametrize("odd", [None, 3, "x", [], {}])
def test_an_odd_fact_among_good_ones(odd: object, maker_page: Client, front: Piece) -> None:
    told = send(maker_page, front, odd, fact(unit=1)).json()
    assert len(told["refused"]) == 1 and told["now"]["number"] == 2


def test_a_tap_of_another_run_is_refused(maker_page: Client, front: Piece) -> None:
    other, one = piece(of=front.project), fact(unit=1)
    send(maker_page, front, one)
    assert "another run" in send(maker_page, other, one).json()["refused"][0]["why"]


def test_a_clock_ahead_does_not_hold_for_ever(maker_page: Client, front: Piece) -> None:
    ahead = {**fact(unit=1, depth="5"), "at": "2099-01-01T00:00:00Z"}
    send(maker_page, front, ahead)
    later = {**fact(unit=1, depth="4.5"), "at": timezone.now().isoformat()}
    told = send(maker_page, front, later).json()
    assert BenchFact.objects.order_by("pk").first().device_at.year == 2099
    assert max(told["facts"], key=lambda f: f["at"])["depth"] == 4_500_000


@pytest.mark.parametrize("at", [None, "", "yesterday", 3, "0001-01-01T00:00:00+14:00"])
def test_a_time_that_can_t_be_read_is_now(at: object, maker_page: Client, front: Piece) -> None:
    assert not send(maker_page, front, {**fact(unit=1), "at": at}).json()["refused"]


def test_taps_of_somebody_else_wait(maker_page: Client, maker: Person, front: Piece) -> None:
    answer = send(maker_page, front, fact(unit=1), person=maker.pk + 1)
    assert answer.status_code == 409 and answer.json()["person"] == maker.pk
    assert not BenchFact.objects.exists()
    assert send(maker_page, front, fact(unit=1), person=maker.pk).status_code == 200


def test_signed_out_is_said_as_json(front: Piece) -> None:
    answer = send(Client(), front, fact(unit=1))
    assert answer.status_code == 403 and "Sign in" in answer.json()["why"] and not BenchFact.objects.exists()


def test_a_unit_taken_back_is_next_again(maker_page: Client, front: Piece) -> None:
    one = fact(unit=1)
    send(maker_page, front, one)
    undo = fact("undo", minute=1, undoes=one["op"])
    assert send(maker_page, front, undo).json()["now"]["number"] == 1
    assert send(maker_page, front, fact("undo", minute=2, undoes=undo["op"])).json()["now"]["number"] == 2


def test_the_hour_log_sees_the_tap(maker: Person, front: Piece) -> None:
    log = make.log(maker, front.project, minutes=None, started_at=timezone.now())
    sew(signed_in(maker), front, 1)
    log.refresh_from_db()
    assert log.seen_at is not None


def test_a_batch_of_a_clock_ahead_keeps_its_order(maker_page: Client, front: Piece) -> None:
    """Taps, the guide and a check in one post, all dated an hour ahead: the check knows all eight."""
    check = maker_page.get(page_of(front)).context["run"].checks[0]
    far = {"near": f"{check.to_seam / make.MM:.3f}", "far": f"{check.to_edge / make.MM:.3f}"}
    ahead = (timezone.now() + timedelta(hours=1)).isoformat()
    facts = [fact("guide", asked={"guide": -500_000}), *(fact(unit=n) for n in range(1, check.tuck + 1))]
    facts.append(fact("check", check.tuck, **far))
    told = send(maker_page, front, *({**one, "at": ahead} for one in facts)).json()
    kept = BenchFact.objects.get(kind="check").asked
    assert (kept["near"], kept["far"]) == (check.to_seam, check.to_edge)
    sewn = BenchFact.objects.filter(kind="sewn").order_by("pk")
    assert [one.asked["beyond"] for one in sewn] == [{str(one.unit): -500_000} for one in sewn]
    order = [one["op"] for one in sorted(told["facts"], key=lambda one: (one["at"], one["op"]))]
    assert order == [one["op"] for one in facts]


@pytest.mark.parametrize("text", ["\ud800", "x\x00" * 90])
def test_a_device_of_any_name(text: str, maker_page: Client, front: Piece) -> None:
    assert not send(maker_page, front, fact(unit=1), device=text).json()["refused"]


def test_nothing_kept_leaves_no_row(maker_page: Client, front: Piece) -> None:
    send(maker_page, front)
    send(maker_page, front, fact(unit=999))
    assert not Run.objects.exists()
    send(maker_page, front, fact(unit=1), fact(unit=999))
    assert Run.objects.get().facts.count() == 1


def test_what_is_asked_leaves_a_depth(maker_page: Client, db: None) -> None:
    make.workroom()
    thin = piece(version=make.version(of=make.content(make.tucks((4, 1)))))
    steps = fact("correct", asked={"steps": {"3": -1_000_000}, "spaces": {}})
    told = send(maker_page, thin, fact("guide", asked={"guide": -1_000_000}), steps).json()
    assert ["nothing of the depth" in one["why"] for one in told["refused"]] == [True, True]
    assert not send(maker_page, thin, fact("guide", asked={"guide": -500_000})).json()["refused"]


def test_too_much_at_once_is_said_as_json(maker_page: Client, front: Piece) -> None:
    answer = send(maker_page, front, fact("note", text="n" * 3_000_000))
    assert answer.status_code == 400 and "too much" in answer.json()["why"]


def test_a_key_no_plan_knows_is_404(maker_page: Client, front: Piece) -> None:
    for key in ("never-was", f"{front.pk}.9:sew:across:1", f"{front.pk}.1:press:across:1"):
        assert send(maker_page, front, fact(unit=1), key=key).status_code == 404
    assert not Run.objects.exists()


def test_inches(maker_page: Client, front: Piece) -> None:
    Workroom.objects.update(units="inch")
    now = send(maker_page, front, fact(unit=1, depth="5/16")).json()["now"]
    assert (now["unit"], now["fold_unit"]) == ("in", "in") and "/" in now["fold"]
    assert BenchFact.objects.get().depth == 7_937_500
    assert "in short" in now["wrong"]["text"]


def test_an_uncut_panel_may_change_and_units_keep_their_numbers(maker_page: Client, front: Piece) -> None:
    before = sew(maker_page, front, 1, 2)
    Piece.objects.filter(pk=front.pk).update(across=400 * make.MM, revision=9)
    after = maker_page.get(f"{page_of(front)}facts/").json()
    assert after["plan"] != before["plan"] and after["now"]["number"] == 3
    assert after["now"]["of"] > before["now"]["of"]


def test_a_changed_plan_is_said_in_a_sentence(maker_page: Client, front: Piece) -> None:
    told = sew(maker_page, front, 1, 2)
    assert told["changed"] == ""
    Piece.objects.filter(pk=front.pk).update(name="Another front", revision=8)
    assert maker_page.get(f"{page_of(front)}facts/").json()["changed"] == ""
    Piece.objects.filter(pk=front.pk).update(across=400 * make.MM, revision=9)
    said = maker_page.get(f"{page_of(front)}facts/").json()["changed"]
    assert said.startswith("The plan has changed since this run was begun.") and "tucks keep" in said
    assert said in maker_page.get(page_of(front)).content.decode()
    for one in told["facts"]:
        send(maker_page, front, fact("undo", minute=5, undoes=one["op"]))
    assert sew(maker_page, front, 1, start=9)["changed"] == "", "begun anew by the plan of now"


def test_the_page_says_the_same_as_an_answer(maker_page: Client, front: Piece) -> None:
    told = sew(maker_page, front, 1, 2, 3)
    data = maker_page.get(page_of(front)).context["data"]
    assert json.loads(json.dumps(data["now"])) == told["now"] and data["seq"] == told["seq"]
    assert data["order"] == sorted(data["order"]) and key_of(front) == data["key"]
