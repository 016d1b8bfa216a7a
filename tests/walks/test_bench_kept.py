"""The bench page opened last is opened anew without connection, with its taps; it is nobody else's."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from projects.activities import pins
from projects.models import BenchFact, Person, Project
from tests import make
from tests.browser import looks_wrong
from tests.walks.bench import Hand, address, forgive_offline, run_of, sewn_units, tucked

pytestmark = pytest.mark.django_db(transaction=True)
PLAIN = "Object.defineProperty(window, 'isSecureContext', { value: false })"
PAGES = "caches.keys().then(names => names.filter(name => name.startsWith('bench-page/')))"
FULL = "window.own = Cache.prototype.put; Cache.prototype.put = () => Promise.reject(new Error('full')); 0"
LOADED = """() => performance.getEntriesByType('resource').map(one => new URL(one.name).pathname)
  .filter(path => path.startsWith('/static/'))"""
FILES = """caches.keys().then(names => caches.open(names.find(name => name.startsWith('bench-files/'))))
  .then(cache => cache.keys()).then(kept => kept.map(one => new URL(one.url).pathname))"""

KEPT_BETWEEN = """async address => {
  const token = document.cookie.match(/csrftoken=([^;]+)/)[1], path = location.pathname;
  const answer = await fetch(address, {
    method: 'POST', headers: { 'HX-Request': 'true', 'X-CSRFToken': token },
    body: new URLSearchParams({ pin: '4071', back: path }) });
  const names = (await caches.keys()).filter(name => name.startsWith('bench-page/'));
  await Promise.all(names.map(name => caches.delete(name)));
  const line = new MessageChannel();
  const said = new Promise(resolve => { line.port1.onmessage = event => resolve(event.data) });
  navigator.serviceWorker.controller.postMessage({ path, files: [] }, [line.port2]);
  return [answer.status, await said] }"""

@pytest.fixture
def bench(browser_page: Any, maker: Person) -> Iterator[Callable[..., Hand]]:
    run = tucked()

    def opened(person: Person = maker, script: str = "") -> Hand:
        page = browser_page(360, person=person, height=780)
        if script:
            page.add_init_script(script)
        return Hand(page, address(run, Project.objects.get().pk)).open()

    yield opened
    forgive_offline(browser_page)


def kept(hand: Hand) -> str:
    """What the page says of itself, once it knows: all files are fetched before."""
    box = hand.box("kept")
    expect(box).not_to_be_empty(timeout=30_000)
    return str(box.inner_text())


def test_opened_anew_without_connection(bench: Callable[..., Hand]) -> None:
    """Taps the studio has and taps that wait are both there; all of them arrive once, in their order."""
    hand = bench()
    assert "can be opened anew on this device" in kept(hand)
    taps = hand.sew(3)
    hand.sent()
    hand.offline()
    taps += hand.sew(2)
    hand.page.reload()
    hand.ready()
    assert hand.unit == 6 and hand.waiting() == 2
    hand.until(lambda: "No connection: 2 taps wait here." in hand.line, "says that there is none")
    assert "Stay on this page" not in hand.line and "can be opened anew" in kept(hand)
    assert looks_wrong(hand.page, phone=True) == []
    taps += hand.sew(1)
    again = Hand(hand.page.context.new_page(), hand.address).open()
    assert again.unit == 7
    taps += again.sew(2)
    hand.shows(9)
    hand.offline(False)
    hand.sent()
    for one in (hand, again):
        one.until(lambda one=one: one.line == "", "there is a connection again")
    assert sewn_units() == taps == [1, 2, 3, 4, 5, 6, 7, 8]
    assert BenchFact.objects.filter(kind="sewn").count() == len(taps)
    hand.open()
    assert hand.unit == 9, "what the studio has since comes first"


def test_a_wrong_depth_and_its_answer_without_connection(bench: Callable[..., Hand]) -> None:
    """Tuck 1 at 5 for 4 mm: the line of tuck 2 lies 2 mm nearer, and so it stays over a reload."""
    hand = bench()
    assert "can be opened anew" in kept(hand)
    hand.offline()
    hand.open_fold("Sewn at another depth")
    hand.page.get_by_label("Depth it was sewn at").fill("5")
    hand.page.get_by_role("button", name="Sewn so").click()
    hand.shows(2)
    figures = [hand.box("fold").inner_text(), hand.box("from").inner_text()]
    assert figures == ["17", "from the last seam (10 mm to the stitch line)"]
    hand.page.reload()
    hand.ready()
    assert [hand.box("fold").inner_text(), hand.box("from").inner_text()] == figures
    hand.offline(False)
    hand.sent()
    hand.page.get_by_role("heading", name="Another depth").wait_for()
    assert [hand.box("fold").inner_text(), hand.box("from").inner_text()] == figures


def test_an_answer_that_was_not_kept(bench: Callable[..., Hand]) -> None:
    """The room was full for the second of three: what came after it is asked for again with it."""
    hand = bench()
    kept(hand)
    for refused in (False, True, False):
        hand.page.evaluate(FULL if refused else "if (window.own) { Cache.prototype.put = window.own } 0")
        hand.sew(1)
        hand.sent()
    hand.offline()
    hand.page.reload()
    hand.ready()
    assert hand.unit == 2, "what is known without a gap"
    hand.offline(False)
    hand.shows(4)
    assert hand.box("open").is_hidden()


def test_a_tap_before_the_page_listens(bench: Callable[..., Hand]) -> None:
    """The device is still asked what it keeps: the tap waits for that, and for its unit."""
    hand = bench()
    hand.page.add_init_script("CacheStorage.prototype.has = () => new Promise(() => null)")
    hand.page.reload()
    hand.page.evaluate("window.stays = true")
    hand.box("sewn").click()
    assert hand.box("device").get_attribute("hidden") is not None, "nothing listens yet"
    hand.ready()
    hand.shows(2)
    hand.sent()
    assert sewn_units() == [1] and hand.page.evaluate("window.stays") is True


def test_it_says_nothing_twice(bench: Callable[..., Hand], owner: Person) -> None:
    """What was said when the page was opened is not said again when the device opens it."""
    pins.set_pin(owner, pin="4071")
    hand = bench()
    hand.page.get_by_role("link", name="Change to Wren").click()
    hand.page.locator("[name=pin]:focus").wait_for()
    hand.page.keyboard.type("4071")
    hand.page.keyboard.press("Enter")
    hand.page.get_by_text("Taps and timer are Wren’s now.").wait_for()
    assert "can be opened anew" in kept(hand)
    hand.offline()
    hand.page.reload()
    hand.ready()
    assert hand.page.get_by_text("Taps and timer are Wren’s now.").count() == 0
    hand.offline(False)


def test_what_is_kept_takes_no_words_away(bench: Callable[..., Hand], owner: Person) -> None:
    """The worker fetches a page while another person's is on its way: that one still says so."""
    pins.set_pin(owner, pin="4071")
    hand = bench()
    kept(hand)
    assert hand.page.evaluate(KEPT_BETWEEN, f"/bench/person/{owner.pk}/") == [204, True]
    hand.page.reload()
    hand.page.get_by_text("Taps and timer are Wren’s now.").wait_for()


def test_leaving_a_page_that_is_kept(bench: Callable[..., Hand]) -> None:
    hand = bench()
    kept(hand)
    hand.offline()
    hand.sew(1)
    hand.until(lambda: "No connection: 1 tap waits here" in hand.line)
    hand.page.get_by_role("link", name="Hours").click()
    expect(hand.page.get_by_role("dialog")).to_contain_text("This page can, with the taps that wait.")
    hand.button("Stay here").click()


def test_another_run_is_kept_beside_it(bench: Callable[..., Hand]) -> None:
    """Two runs in hand change with one tap, without connection too."""
    hand = bench()
    hand.sew(1)
    hand.sent()
    kept(hand)
    coat = make.project("Second coat")
    run = run_of(make.piece(coat, fabric=make.fabric("Wool"), version=make.version(), across=300 * make.MM))
    other = Hand(hand.page, address(run, coat.pk)).open()
    assert "can be opened anew" in kept(other)
    paths = hand.page.evaluate("""caches.keys().then(names => Promise.all(names.filter(
      name => name.startsWith('bench-page/')).map(name => caches.open(name).then(cache => cache.keys()))))
      .then(all => all.flat().map(one => new URL(one.url).pathname))""")
    pages = [path for path in paths if path.endswith(":1/")]
    assert sorted(pages) == sorted([hand.address, other.address])
    hand.offline()
    other.sew(1)
    other.until(lambda: "No connection" in other.line)
    hand.page.locator("#others + ul a").first.click()
    hand.page.wait_for_url(f"**{hand.address}*")
    hand.ready()
    assert hand.unit == 2
    hand.offline(False)


def test_signing_out_empties_it(bench: Callable[..., Hand]) -> None:
    hand = bench()
    kept(hand)
    assert len(hand.page.evaluate(PAGES)) == 1
    hand.page.locator("details.who summary").first.click()
    hand.page.get_by_role("button", name="Sign out").click()
    hand.page.get_by_role("heading", name="Sign in").or_(hand.page.get_by_label("User name")).first.wait_for()
    hand.until(lambda: hand.page.evaluate(PAGES) == [], "nothing is kept")
    hand.offline()
    with pytest.raises(Exception, match="net::ERR_"):
        hand.page.goto(hand.address)


def test_it_is_nobody_else_s(bench: Callable[..., Hand], browser_page: Any, owner: Person) -> None:
    """Another person's session in the same browser: their first page throws it away."""
    hand = bench()
    kept(hand)
    before = hand.page.evaluate(PAGES)
    hand.page.context.clear_cookies()
    hand.page.context.add_cookies([browser_page._session_of(owner)])
    hand.page.goto("/hours/")
    hand.until(lambda: hand.page.evaluate(PAGES) == [], "nothing is kept")
    hand.open()
    assert "can be opened anew" in kept(hand)
    names = hand.page.evaluate(PAGES)
    assert len(names) == 1 and names != before


def test_every_file_of_the_page_is_kept(bench: Callable[..., Hand]) -> None:
    hand = bench()
    kept(hand)
    loaded, files = set(hand.page.evaluate(LOADED)), set(hand.page.evaluate(FILES))
    assert len(loaded) > 20 and loaded - files == set()


def test_without_tls_it_says_why_not(bench: Callable[..., Hand]) -> None:
    hand = bench(script=PLAIN)
    said = kept(hand)
    assert "can't be opened anew" in said and "TLS" in said
    assert hand.page.evaluate("navigator.serviceWorker.getRegistrations().then(all => all.length)") == 0
