"""The device at the bench: keys, taps that wait and whose they are, what it says when something is wrong."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from projects.calc.bench_state import Fact, fold
from projects.calc.lengths import System
from projects.models import BenchFact, Person, Project
from projects.planning.bench_now import now_of
from projects.views.bench_words import Words
from tests import make
from tests.browser import looks_wrong
from tests.make import MM
from tests.walks.bench import Hand, address, forgive_offline, run_of, sewn_units, tucked

pytestmark = pytest.mark.django_db(transaction=True)
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') }"
DUE = """(check => [check.near_nm, check.far_nm])(
  JSON.parse(document.getElementById('bench-data').textContent).checks[0])"""
BANNER = "main => main.insertAdjacentHTML('afterbegin', '<ul class=messages><li>Kept before.</li></ul>')"
PLAIN = "Object.defineProperty(window, 'isSecureContext', { value: false })"


@pytest.fixture
def bench(browser_page: Any, maker: Person) -> Iterator[Callable[..., Hand]]:
    """``bench(person, script)`` opens the run of 36 tucks; ``script`` runs before the page's own."""
    run = tucked()

    def opened(person: Person = maker, script: str = "") -> Hand:
        page = browser_page(360, person=person, height=780)
        if script:
            page.add_init_script(script)
        return Hand(page, address(run, Project.objects.get().pk)).open()

    yield opened
    forgive_offline(browser_page)


def test_keys_of_a_page_turner(bench: Callable[..., Hand]) -> None:
    hand = bench()
    keys = hand.page.keyboard
    for key in ("Space", "PageDown", "ArrowRight", "Enter"):
        keys.press(key)
    hand.shows(5)
    keys.down("PageDown")
    keys.down("PageDown")  # held: the browser repeats it
    keys.up("PageDown")
    hand.shows(6)  # a key held down is one tap; what was sewn is counted at the end
    keys.press("PageUp")
    expect(hand.page.get_by_role("dialog")).to_contain_text("Take back: Tuck 5")
    assert looks_wrong(hand.page, phone=True) == []
    keys.press("PageDown")
    expect(hand.page.get_by_role("dialog")).to_be_hidden()  # forwards leaves it
    assert hand.unit == 6
    keys.press("PageUp")
    keys.press("PageUp")
    hand.shows(5)
    hand.open_fold("A note or photograph here")
    hand.page.get_by_label("Note at this tuck").press("Space")
    assert hand.unit == 5, "in a field a key is a letter"
    hand.page.get_by_label("Note at this tuck").fill("thread changed")
    hand.button("Keep the note").click()
    for _ in range(4):
        keys.press("Space")
    hand.box("check").wait_for()
    keys.press("Space")
    expect(hand.box("verdict")).to_contain_text("Measure first")
    assert hand.unit == 9
    keys.press("Space")
    hand.sent()
    assert sewn_units() == [1, 2, 3, 4, 5, 5, 6, 7, 8, 9]
    assert BenchFact.objects.get(kind="note").text == "thread changed"
    assert BenchFact.objects.filter(kind="undo").count() == 1


def test_two_taps_of_one_finger_are_one(bench: Callable[..., Hand]) -> None:
    hand = bench()
    hand.page.evaluate("document.getElementById('bench').dataset.pause = '300'")
    hand.button("Sewn").dblclick()
    hand.sent()
    assert sewn_units() == [1] and hand.unit == 2


def test_jumping_asks_for_those_between(bench: Callable[..., Hand]) -> None:
    hand = bench()
    hand.sew(2)

    def jump(to: str) -> None:
        hand.open_fold("I am at another tuck")
        hand.page.get_by_label("Number of the tuck").fill(to)
        hand.button("Go there").click()

    jump("99")
    assert "no tuck 99" in hand.page.locator("form[data-form=jump]").inner_text()
    jump("2")
    assert "is sewn" in hand.page.locator("form[data-form=jump]").inner_text()
    jump("6")
    assert "Are tucks 3, 4 and 5 sewn?" in hand.page.get_by_role("dialog").inner_text()
    hand.button("Yes, sewn as asked").click()
    hand.shows(6)
    hand.sent()
    jump("8")
    hand.button("No, not yet").click()
    hand.shows(8)
    assert "from the seam of tuck 5" in hand.box("from").inner_text(), "tucks 6 and 7 have no seam yet"
    hand.open()
    hand.shows(8)
    hand.sew()
    hand.sent()
    assert sewn_units() == [1, 2, 3, 4, 5, 8] and BenchFact.objects.filter(kind="sewn").count() == 4
    assert hand.unit == 9


def test_left_open_in_a_jump_with_nothing_drawn(bench: Callable[..., Hand]) -> None:
    """The figure is from the nearest seam that is sewn; what lies open behind is said, with the way to it."""
    hand = bench()
    with hand.page.expect_navigation():
        hand.page.evaluate(PLACE_BY)
    hand.ready()
    hand.sew(1)
    hand.sent()
    hand.offline()
    # Of the two beside one another one is open, so that one is opened by its own tap.
    hand.page.evaluate("document.querySelectorAll('details:not(.bench-other)').forEach(e => e.open = true)")
    hand.open_fold("I am at another tuck")
    hand.page.locator("#jump-to").fill("4")
    hand.page.get_by_role("button", name="Go there").click()
    hand.button("No, not yet").click()
    hand.shows(4)
    # Tucks 2 and 3 (12 + 14, 12 + 20) lie flat between seam 1 and tuck 4: its fold is 12 + 7 further on.
    assert hand.box("fold").inner_text() == "77"
    assert hand.box("from").inner_text() == "from the seam of tuck 1 (70 mm to the stitch line)"
    assert "drawn" not in hand.page.locator(".bench-figures").inner_text()
    hand.sew(1)
    assert hand.unit == 5 and "Tucks 2 and 3 are still open." in hand.box("open").inner_text()
    assert looks_wrong(hand.page, phone=True) == []
    hand.box("open-go").click()
    hand.shows(2)
    assert not hand.box("open").is_visible() and hand.box("fold").inner_text() == "19"
    hand.sew(1)
    hand.offline(False)
    hand.sent()
    assert sewn_units() == [1, 4, 2]
    assert hand.unit == 3, "the next that is open"


def test_a_check_without_connection(bench: Callable[..., Hand]) -> None:
    """The device judges by the band; what to do about it is asked for once there is a connection."""
    hand = bench()
    hand.sew(8)
    hand.sent()
    hand.box("check").wait_for()
    hand.offline()
    hand.page.evaluate("window.dispatchEvent(new Event('offline'))")
    due = hand.page.evaluate(DUE)
    hand.measure("about 80", "1")
    assert "can't be read" in hand.page.locator("form[data-form=check]").inner_text()
    assert hand.page.locator("form[data-form=check] [name=near]").input_value() == "about 80"
    hand.measure(f"{due[0] / 1e6 + 8:.1f}", f"{due[1] / 1e6 + 2:.1f}")
    said = hand.box("verdict").inner_text()
    assert "10 mm too long, more than" in said and "waits for the connection" in said
    assert looks_wrong(hand.page, phone=True) == []
    hand.offline(False)
    hand.page.get_by_role("heading", name="What the measures say").wait_for()
    assert hand.line == "" and not hand.box("verdict").is_visible()
    assert BenchFact.objects.get(kind="check").unit == 8


def test_a_browser_that_keeps_nothing(bench: Callable[..., Hand]) -> None:
    hand = bench(script=FULL)
    taps = hand.sew(3)
    hand.until(lambda: len(sewn_units()) == 3, "each tap is sent at once")
    assert sewn_units() == taps and "keeps nothing on the device" in hand.line
    hand.offline()
    taps += hand.sew(2)
    assert "2 taps wait here" in hand.line and "only until this page is closed" in hand.line
    assert looks_wrong(hand.page, phone=True) == []
    hand.offline(False)
    hand.until(lambda: len(sewn_units()) == 5, "sent from memory")
    assert sewn_units() == taps


def test_taps_stay_their_persons(bench: Callable[..., Hand], browser_page: Any, owner: Person) -> None:
    """Signed out and in as somebody else, they wait; their own person's page sends them."""
    hand = bench()
    hand.sew(1)
    hand.sent()
    own = hand.page.context.cookies()
    hand.offline()
    hand.sew(2)
    hand.page.context.clear_cookies()
    hand.offline(False)
    hand.until(lambda: "signed out" in hand.line, "says that it is signed out")
    assert "2 taps wait here" in hand.line and hand.waiting() == 2
    assert hand.page.get_by_role("link", name="Sign in again").is_visible()
    assert looks_wrong(hand.page, phone=True) == []
    hand.page.context.add_cookies([browser_page._session_of(owner)])
    hand.page.evaluate("window.dispatchEvent(new Event('online'))")
    hand.until(lambda: "somebody else's" in hand.line, "says whose they are")
    assert hand.waiting() == 2
    hand.open()
    assert "2 taps wait here" in hand.box("others").inner_text()
    assert hand.unit == 2 and looks_wrong(hand.page, phone=True) == []
    hand.sew(1)
    hand.until(lambda: len(sewn_units()) == 2, "the other's own tap is sent")
    hand.until(lambda: hand.waiting() == 2, "those of somebody else stay")
    hand.page.context.add_cookies(own)
    hand.open()
    hand.sent()
    assert sorted(BenchFact.objects.values_list("unit", "person__shown_name")) == [
        (1, "Moss"), (2, "Moss"), (2, "Wren"), (3, "Moss"),
    ]  # fmt: skip


def test_a_tap_that_is_refused_stays_with_its_reason(bench: Callable[..., Hand]) -> None:
    hand = bench()
    hand.open_fold("Sewn at another depth")
    form = hand.page.locator("form[data-form=depth]")
    form.get_by_label("Depth it was sewn at").fill("60")
    form.get_by_role("button", name="Sewn so").click()
    expect(form).to_contain_text("60 is far from the 4 mm planned")
    assert hand.unit == 1
    assert form.locator("[name=depth]").input_value() == "60"
    hand.sew(1)
    hand.sent()
    hand.open()
    hand.open_fold("Measure now, at a seam")
    form = hand.page.locator("form[data-form=check-own]")
    form.locator("[name=near]").fill("99999")
    form.get_by_role("button", name="Measured").click()
    expect(form).to_contain_text("99999 is longer than the panel, which is")
    assert form.locator("[name=near]").input_value() == "99999" and hand.waiting() == 0
    form.locator("[name=near]").fill("20")
    form.locator("summary").click()
    hand.page.locator("#own-far-end").fill("30")
    form.get_by_role("button", name="Measured").click()
    refused = hand.box("refused")
    refused.wait_for()
    assert "Tuck 1, measured" in refused.inner_text()
    assert hand.box("call").inner_text() == "A measure was not taken: see why"
    assert looks_wrong(hand.page, phone=True) == []
    hand.open()
    refused.wait_for()
    hand.sew(1)
    hand.page.get_by_role("button", name="Drop Tuck 1").click()
    refused.wait_for(state="hidden")
    hand.sent()
    assert sewn_units() == [1, 2]


PLACE_BY = """() => {
  const form = document.querySelector('form[action$="/placing/"]');
  const choice = form.elements.placing;
  if (choice.tagName === 'SELECT') { choice.value = 'last'; }
  else { Array.from(choice).find(one => one.value === 'last').checked = true; }
  form.submit() }"""
PRESSED = """() => {
  const data = JSON.parse(document.getElementById('bench-data').textContent), order = data.order;
  const model = new Bench.Model(data, new Bench.Outbox(0, 'none', () => {}));
  return [null, ...order].map((unit, place) => model.pressing(unit, order[place] || null)) }"""


def test_what_to_press_is_said_without_connection_too(browser_page: Any, maker: Person) -> None:
    """Knife pleats that turn at the centre: each is pressed before the next, and they change sides once."""
    pleats = make.Direction("knife", width=20 * MM, depth=30 * MM, turns_at_centre=True)
    piece = make.piece(fabric=make.fabric(), version=make.version(of=make.content(pleats)), across=300 * MM)
    run = run_of(piece)
    hand = Hand(browser_page(360, person=maker, height=780), address(run, Project.objects.get().pk)).open()
    said, words = hand.page.evaluate(PRESSED), Words(run, System.METRIC)
    for sewn in range(run.count):
        facts = [fact(number, place) for place, number in enumerate(list(run.places)[:sewn])]
        assert said[sewn] == list(words.pressing(now_of(run, fold(facts)))), sewn
    assert run.overlapping and len({text for texts in said for text in texts}) > run.count


def fact(number: int, place: int) -> Fact:
    return Fact(f"{place:03}", "sewn", f"2026-03-02T09:{place:02}:00.000000Z", number)


def test_answers_that_get_lost(bench: Callable[..., Hand], browser_page: Any) -> None:
    """The studio has the taps, the device does not know: it sends them again, and they stay one each."""
    hand, lost = bench(), []

    def lose(route: Any) -> None:
        if route.request.method != "POST" or len(lost) >= 2:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    hand.page.route("**/facts/", lose)
    taps = hand.sew(3)
    hand.sent()
    assert lost == [200, 200] and sewn_units() == taps == [1, 2, 3]
    browser_page.problems[:] = [text for text in browser_page.problems if "ERR_FAILED" not in text]


def test_leaving_without_connection_is_asked_about(bench: Callable[..., Hand]) -> None:
    hand = bench()
    hand.offline()
    hand.sew(1)
    hand.until(lambda: "No connection: 1 tap waits here" in hand.line)
    hand.page.get_by_role("link", name="Hours").click()
    expect(hand.page.get_by_role("dialog")).to_contain_text("can't be opened again")
    assert looks_wrong(hand.page, phone=True) == []
    hand.button("Stay here").click()
    hand.offline(False)
    hand.sent()
    hand.until(lambda: hand.line == "", "the line goes away by itself")
    hand.page.get_by_role("link", name="Hours").click()
    hand.page.wait_for_url("**/hours/")


def test_two_tabs_of_one_device(bench: Callable[..., Hand]) -> None:
    hand = bench()
    tab = Hand(hand.page.context.new_page(), hand.address).open()
    hand.offline()
    taps = hand.sew(2)
    tab.shows(3)
    taps += tab.sew(2)
    hand.shows(5)
    assert hand.waiting() == 4
    hand.offline(False)
    hand.sent()
    for one in (hand, tab):
        one.until(lambda one=one: one.line == "")
    assert sewn_units() == taps == [1, 2, 3, 4]


def test_a_screen_that_can_not_be_kept_on(bench: Callable[..., Hand]) -> None:
    plain = bench(script=PLAIN)
    expect(plain.box("awake-said")).to_contain_text("TLS")
    assert not plain.page.get_by_label("Keep the screen on").is_visible()
    hand = bench()
    kept = hand.page.get_by_label("Keep the screen on")
    expect(kept).to_be_checked()
    expect(hand.box("awake-said")).to_be_hidden()
    kept.click()
    expect(kept).not_to_be_checked()
    hand.open()
    expect(kept).not_to_be_checked()  # it is remembered


def test_a_device_that_slept(bench: Callable[..., Hand], browser_page: Any, maker: Person) -> None:
    hand = bench()
    hand.page.clock.install()
    hand.open()
    hand.page.clock.fast_forward("40:00")
    hand.until(lambda: hand.box("slept").is_visible())
    assert "The timer went on" in hand.box("slept").inner_text()
    assert looks_wrong(hand.page, phone=True) == []


def test_taps_in_fives(browser_page: Any, maker: Person) -> None:
    """Pin tucks lie too close to be tapped one by one."""
    pins = make.version(of=make.content(make.tucks((2, 1))))
    run = run_of(make.piece(fabric=make.fabric(), version=pins, across=100 * MM, along=80 * MM))
    assert run.fives and run.count > 12
    hand = Hand(browser_page(360, person=maker, height=780), address(run, Project.objects.get().pk)).open()
    hand.sew(1)
    hand.button("The next 5 sewn").click()
    hand.shows(7)
    hand.open_fold("What happened")
    hand.page.get_by_role("button", name="Take back: Tucks 2 to 6").click()
    hand.button("Take it back").last.click()
    hand.shows(2)
    hand.button("The next 5 sewn").click()
    hand.sent()
    assert looks_wrong(hand.page, phone=True) == []
    assert sewn_units() == [1, 2, 3, 4, 5, 6, 2, 3, 4, 5, 6] and BenchFact.objects.count() == 4


def test_what_was_said_goes_with_the_next_tap(bench: Callable[..., Hand]) -> None:
    """A note says where it was kept and stands at its unit; a wrong field says what would be right."""
    hand = bench()
    hand.page.locator("main").evaluate(BANNER)
    hand.open_fold("A note or photograph here")
    hand.page.get_by_label("Note at this tuck").fill("thread changed")
    hand.button("Keep the note").click()
    expect(hand.page.locator("form[data-form=note]")).to_contain_text("Kept, at tuck 1.")
    expect(hand.box("notes")).to_have_text("Noted at tuck 1: thread changed")
    assert hand.page.locator(".messages").count() == 0
    first, second = (hand.page.locator("summary.button").nth(place) for place in (0, 1))
    first.click()
    expect(hand.page.locator("#other-depth")).to_be_focused()
    second.click()
    expect(hand.page.locator("#jump-to")).to_be_focused()
    expect(hand.page.locator("#other-depth")).to_be_hidden()
    assert first.bounding_box()["y"] == second.bounding_box()["y"], "they stay beside one another"
    assert looks_wrong(hand.page, phone=True) == []
    hand.page.keyboard.type("abc")
    hand.page.keyboard.press("Enter")
    form = hand.page.locator("form[data-form=jump]")
    expect(form).to_contain_text("There is no tuck abc in this run. Type a number from 1 to 36.")
    hand.sew(1)
    expect(form).not_to_contain_text("abc")
    expect(hand.page.locator("form[data-form=note]")).not_to_contain_text("Kept")
    expect(hand.box("notes")).to_be_hidden()


def test_the_latest_of_what_happened(bench: Callable[..., Hand]) -> None:
    hand = bench()
    hand.sew(12)
    hand.open_fold("What happened")
    expect(hand.box("done").locator("li")).to_have_count(10)
    hand.open_fold("Before that: 2")
    expect(hand.page.locator("[data-bench=done-before] li")).to_have_count(2)
    hand.page.get_by_role("button", name="Take back: Tuck 2, sewn").click()
    hand.button("Take it back").click()
    expect(hand.page.locator("[data-bench=done-before] li")).to_have_count(1)
    hand.sent()


def test_a_button_that_needs_the_connection(bench: Callable[..., Hand]) -> None:
    """It says so in a question of its own: words in the head would push away what is read."""
    hand = bench()
    hand.offline()
    hand.sew(1)
    hand.until(lambda: "No connection" in hand.line)
    before = hand.box("sewn").bounding_box()
    hand.button("Start the timer").click()
    expect(hand.page.get_by_role("dialog")).to_contain_text("This needs the connection, and there is none")
    hand.button("Close").click()
    assert hand.box("sewn").bounding_box() == before
    hand.offline(False)
    hand.sent()
