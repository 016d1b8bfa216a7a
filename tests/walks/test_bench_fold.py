"""What the device works out by itself, it works out as the studio does; which unit a tap meant."""

import random
import uuid
from typing import Any

import pytest

from projects.calc.bench_state import Fact, fold, in_another_order
from projects.calc.lengths import LengthError, parse
from projects.views.bench_numbers import listed
from tests.walks.bench import script

pytestmark = pytest.mark.browser
KINDS = ("sewn", "sewn", "sewn", "undo", "undo", "resew", "absorb", "check", "note")
ROUNDS = 300
FOLDED = """lists => lists.map(facts => { const state = Bench.fold(facts); return {
  sewn: Object.fromEntries([...state.sewn].map(([unit, fact]) => [unit, fact.op])),
  absorbed: [...state.absorbed].sort((a, b) => a - b), live: state.live.map(fact => fact.op),
  checks: state.checks.map(fact => fact.op), notes: state.notes.map(fact => fact.op),
  last: state.last && state.last.op } })"""


def some_facts(chance: random.Random) -> list[dict[str, Any]]:
    """Up to 16 facts on six units; some at the same moment, some undone, some undos in a ring, some twice."""
    names = [str(uuid.UUID(int=chance.getrandbits(128), version=4)) for _ in range(chance.randint(0, 16))]
    facts = []
    for op in names:
        kind = chance.choice(KINDS)
        at = f"2026-03-02T09:0{chance.randint(0, 3)}:00.{chance.choice((0, 5, 123_456)):06d}Z"
        fact = {"op": op, "kind": kind, "at": at, "unit": None, "also": [], "undoes": None}
        if kind == "undo":
            fact["undoes"] = chance.choice([*names, str(uuid.UUID(int=7))])
        else:
            fact["unit"] = chance.randint(1, 6)
            fact["also"] = chance.sample(range(1, 7), chance.randint(0, 2))
        facts.append(fact)
    return chance.sample(facts, len(facts)) + chance.sample(facts, min(1, len(facts)))


def worked_out(chromium: Any, name: str, expression: str, given: Any) -> Any:
    """What a script makes of ``given`` in a blank page."""
    page = chromium.new_page()
    try:
        page.add_script_tag(content=script(name))
        return page.evaluate(expression, given)
    finally:
        page.close()


def as_python(facts: list[dict[str, Any]]) -> dict[str, Any]:
    state = fold(Fact(**{**fact, "also": tuple(fact["also"])}) for fact in facts)
    return {
        "sewn": {str(unit): fact.op for unit, fact in state.sewn.items()},
        "absorbed": sorted(state.absorbed),
        "live": [fact.op for fact in state.live],
        "checks": [fact.op for fact in state.checks],
        "notes": [fact.op for fact in state.notes],
        "last": state.last.op if state.last else None,
    }


def test_both_fold_alike(chromium: Any) -> None:
    chance = random.Random(5)
    lists = [some_facts(chance) for _ in range(ROUNDS)]
    found = worked_out(chromium, "bench-fold.js", FOLDED, lists)
    expected = [as_python(facts) for facts in lists]
    assert sum(bool(one["sewn"]) for one in expected) > ROUNDS / 2, "the lists must say something"
    assert sum(len(one["live"]) < len(facts) for one, facts in zip(expected, lists, strict=True)) > ROUNDS / 2
    assert found == expected


ORDERED = "lists => lists.map(([order, sewn]) => Bench.inAnotherOrder(order, new Set(sewn)))"


def test_both_tell_alike_that_the_order_was_another(chromium: Any) -> None:
    chance, given = random.Random(7), []
    for _ in range(ROUNDS):
        numbers = sorted(chance.sample(range(1, 15), chance.randint(1, 9)))
        ways = (numbers, numbers[::-1], [*numbers[::2], *numbers[1::2]])
        begun = list(chance.choice(ways)[: chance.randint(0, len(numbers))])
        given.append((chance.choice(ways), begun if chance.random() < 0.7 else begun[1:]))
    expected = [in_another_order(*one) for one in given]
    assert ROUNDS / 20 < sum(expected) < ROUNDS / 2
    assert worked_out(chromium, "bench-fold.js", ORDERED, given) == expected


READ = """lists => lists.map(([text, unit]) => Bench.readLength(text, unit))"""
USUAL = {
    "mm": ("246", "246.5", "246,5", " 7 ", "7,", ".5", "24.6 cm", "0.246 m", "9 11/16 in", "0", "246 mm"),
    "in": ("9 11/16", "9-11/16", "9½", "9 ¹¹⁄₁₆", "11/16", "9.5", "9,5", "246 mm", '9"', "9 in", "1/3"),
}
NO_LENGTHS = ("", "abc", "1,250", "7 17/16", "1/0", "4 5", "-3", "24 6 mm", "9 stone", "1..2", "1e3")


def test_the_device_reads_what_is_usual_as_the_studio_does(chromium: Any) -> None:
    """It may leave a text to the studio, but never reads one as another length."""
    usual = [(text, unit) for unit, texts in USUAL.items() for text in texts]
    odd = [(text, unit) for unit in USUAL for text in NO_LENGTHS]
    found = worked_out(chromium, "bench-lengths.js", READ, usual + odd)
    assert found[: len(usual)] == [parse(text, unit).nm for text, unit in usual]
    for (text, unit), nm in zip(odd, found[len(usual) :], strict=True):
        with pytest.raises(LengthError):
            parse(text, unit)
        assert nm is None, text


LISTED = "lists => lists.map(numbers => Bench.listed(numbers))"


def test_both_shorten_numbers_alike(chromium: Any) -> None:
    chance = random.Random(7)
    lists = [sorted(chance.sample(range(1, 60), chance.randint(0, 20))) for _ in range(ROUNDS)]
    lists += [list(range(7, 7 + n * step, step)) for step in (1, 2, 3, 7) for n in range(1, 15)]
    expected = [listed(numbers) for numbers in lists]
    assert sum(" to " in text for text in expected) > 40 and sum(" more" in text for text in expected) > 40
    assert worked_out(chromium, "bench-numbers.js", LISTED, lists) == expected


MEANT = """() => {
  let now = 1e12; Date.now = () => now;
  const taken = [], model = { facts: new Map(), jump() {} }, outbox = { add: fact => taken.push(fact.unit) };
  const taps = new Bench.Taps(model, outbox, () => 300, () => {});
  taps.showing(17, false);
  now += 1000; taps.showing(18, true); now += 200; taps.sewn(18, {}, false);
  now += 100; taps.sewn(18, {}, false);
  now += 1000; taps.sewn(18, {}, false);
  now += 1000; taps.press(18); taps.showing(19, true); now += 600; taps.sewn(19, {}, true);
  now += 1000; taps.sewn(19, {}, true);
  return taken }"""


def test_a_tap_is_for_the_unit_that_was_seen(chromium: Any) -> None:
    """Somebody else's tap moves the page on while the finger is on its way, or already down."""
    texts = script("bench-outbox.js") + script("bench-taps.js")
    page = chromium.new_page()
    try:
        page.add_script_tag(content=texts)
        # 17: shown a fifth of a second before; one of two quick taps; 18: seen long enough, and pressed; 19.
        assert page.evaluate(MEANT) == [17, 18, 18, 19]
    finally:
        page.close()


STANDING = """() => {
  const advice = { lines: ["x"], guide: { text: "g" }, correct: { text: "c" } }, wrong = { unit: 4 };
  const left = (...waiting) => { const found = Bench.standing(advice, waiting);
    return found && [!!found.guide, !!found.correct]; };
  const open = (kind, unit) => Boolean(Bench.unanswered(wrong, [{ kind, unit }]));
  return [left(), left({ kind: "sewn", unit: 5 }), left({ kind: "guide" }),
    left({ kind: "guide", refused: true }), left({ kind: "guide" }, { kind: "correct" }),
    left({ kind: "check" }), left({ kind: "sewn", depth: "5" }), open("absorb", 3), open("resew", 4)] }"""


def test_what_a_waiting_tap_answered_is_not_asked_again(chromium: Any) -> None:
    """Corrections are reckoned with the guide moved: where that is refused they are reckoned anew."""
    found = worked_out(chromium, "bench-waiting.js", STANDING, None)
    assert found[:4] == [[True, True], [True, True], [False, True], None]
    assert found[4:] == [None, None, None, True, False]


OLD = """() => {
  const asked = { asked: { steps: { 7: 500000 } } };
  const advice = { lines: ["x"], guide: null, correct: asked };
  const said = { lines: ["x"], guide: null, correct: null };
  const left = (given, late, ...waiting) => { const found = Bench.standing(given, waiting, late);
    return found && [found.lines[0] === "x", !!found.correct] };
  const sewn = (unit, also) => ({ kind: "sewn", unit, also });
  return [left(advice, false, sewn(5)), left(advice, true), left(advice, true, sewn(5)),
    left(advice, false, sewn(7)), left(advice, false, sewn(6, [7])), left(advice, true, { kind: "check" }),
    left(said, true, sewn(5)), left(advice, true, { kind: "correct" })] }"""


def test_an_offer_goes_once_a_tap_makes_it_old(chromium: Any) -> None:
    """At once where what it names is sewn, else where no answer came; what waits is said in its place."""
    found = worked_out(chromium, "bench-waiting.js", OLD, None)
    assert found[:3] == [[True, True], [True, True], [False, False]]
    assert found[3:6] == [[False, False]] * 3
    assert found[6:] == [[True, False], None]
