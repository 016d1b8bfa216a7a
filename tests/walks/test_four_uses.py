"""What a maker who joined this morning does with a phone: hours, the stash, the job sheet, a client's link.

Each walk begins at Today, the first page they ever see, and counts the taps on links and buttons it takes;
every page on the way is looked at, and nobody's prices, contacts or hours may stand on it.
"""

import io
import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect
from pypdf import PdfReader

from projects.activities import logs, stock
from projects.activities.panels import sync_panels
from projects.models import LabourLog, Person, Photo, Project, ShareLink
from projects.planning import plan_project
from projects.printing.available import pdf_available
from tests import make
from tests.browser import looks_wrong
from tests.walks.driver import Keyboard, Pointer

pytestmark = pytest.mark.django_db(transaction=True)
BOTH = pytest.mark.parametrize("way", [Pointer, Keyboard], ids=["by finger", "by keyboard"])
SECRET = (
    "choir@example.org",
    "01632 960 001",
    "4 Lantern Yard",
    "pays late",
    "73.21",
    "91.17",
    "10 h 11",
    "10 h 18",
)
"""The client's contact, a fabric's and an hour's price, the owner's hours and everybody's together."""


class Walk:
    """Steps of one walk: taps are counted, and each page is judged on arrival."""

    def __init__(self, hand: Pointer) -> None:
        self.hand, self.page, self.taps = hand, hand.page, 0
        self.page.goto("/")
        self.arrive("Today")

    def follow(self, name: str, region: str = "") -> None:
        self.taps += 1
        self.hand.follow(name, region)

    def press(self, name: str, region: str = "") -> None:
        self.taps += 1
        self.hand.press(name, region)

    def arrive(self, heading: str) -> None:
        self.hand.arrive(heading)
        self.look()

    def look(self) -> None:
        if not isinstance(self.hand, Keyboard):  # once is enough: it is the same page
            assert looks_wrong(self.page, phone=True) == [], self.page.url
        html = self.page.content()
        found = [text for text in SECRET if text in html]
        assert not found, f"{self.page.url} shows {found}"
        assert self.hand.hard_to_see == []

    def cell(self, row: str, column: str, region: str) -> str:
        """What a row says under a heading that stands beside it on a phone."""
        heading = self.hand.within(region).get_by_role("rowheader", name=row).first
        said = heading.locator("xpath=..").locator(f"td[data-label='{column}']").inner_text()
        return " ".join(said.split())


@pytest.fixture
def coat(owner: Person) -> Project:
    """A coat for the choir: tucked both ways, cloth reserved, a photograph, and the owner's 611 minutes."""
    client = make.client(telephone="01632 960 001", address="4 Lantern Yard", notes="pays late")
    coat = make.project(client=client, due=timezone.localdate() + timedelta(days=9))
    side = make.tucks(*make.GRADUATED)
    voile = make.fabric(fibre="linen", colour="chalk white", family="white", place="Shelf 2", price="73.21")
    version = make.version(of=make.content(side, side))
    sync_panels(make.piece(coat, fabric=voile, version=version))
    on_shelf = make.length(voile, label="V1", received=5_000 * make.MM)
    stock.reserve(row=on_shelf, project=coat, amount=1_500 * make.MM, person=owner)
    make.photo(voile, caption="The voile")
    make.photo(coat, caption="The left front", on_sheet=True, size=(900, 600))
    make.hour_rate(9117)
    logs.log_by_hand(
        person=owner,
        entered_by=owner,
        project=coat,
        stage="texture",
        on=timezone.localdate(),
        minutes=611,
        note="",
    )
    return coat


@pytest.fixture
def newcomer(coat: Project) -> Person:
    """Somebody whose invitation was taken up just now."""
    return make.person("fern", shown_name="Fern", role=Person.MAKER)


def begin(browser_page: Callable[..., Any], newcomer: Person, way: type[Pointer]) -> Walk:
    return Walk(way(browser_page(360, person=newcomer, height=780)))


@BOTH
def test_logs_hours_by_timer(
    browser_page: Callable[..., Any], newcomer: Person, coat: Project, way: type[Pointer]
) -> None:
    walk = begin(browser_page, newcomer, way)
    walk.press("Start timer for Concert coat")
    walk.hand.see("The timer runs for ")
    walk.arrive("Today")
    LabourLog.objects.filter(person=newcomer).update(started_at=timezone.now() - timedelta(minutes=25))
    walk.press("Stop the timer")
    walk.hand.see("Logged 25 min for Concert coat")
    assert walk.taps <= 3
    log = LabourLog.objects.get(person=newcomer)
    todo = plan_project(coat).next_steps()[0]
    assert (log.project, log.stage, log.step.key, log.minutes) == (coat, todo.stage, todo.key, 25)
    walk.follow("Concert coat")
    walk.arrive("Concert coat")
    assert walk.page.locator(".facts div", has_text="logged by me").locator("dd").inner_text() == "25 min"


@BOTH
def test_logs_hours_by_hand(
    browser_page: Callable[..., Any], newcomer: Person, coat: Project, way: type[Pointer]
) -> None:
    walk = begin(browser_page, newcomer, way)
    walk.follow("Log hours for Concert coat")
    walk.arrive("Log hours")
    walk.hand.choose("Stage", "Sew the texture")
    walk.hand.type("Time", "1h20")
    walk.press("Log")
    walk.arrive("Hours of this project")
    assert walk.taps <= 3
    assert "1 h 20 min" in walk.hand.row("Sew the texture", "By stage")
    log = LabourLog.objects.get(person=newcomer)
    assert (log.project, log.stage, log.minutes) == (coat, "texture", 80)
    walk.follow("Concert coat")
    walk.arrive("Concert coat")
    assert walk.cell("Sew the texture", "Logged", "Time") == "1 h 20 min"


@pytest.fixture
def stash(coat: Project) -> Project:
    """More to choose from, and a jacket to be begun next: in a linen of which there is too little."""
    wool = make.fabric("Wool challis", fibre="wool", colour="bottle green", family="green", price="73.21")
    make.length(wool, label="C1", received=900 * make.MM, place="Shelf 4")
    buttons = make.notion(colour="white", family="white", place="Drawer 3")
    stock.reserve(row=buttons, project=coat, amount=7_000, person=make.anybody())
    jacket = make.project("Reading jacket", due=timezone.localdate() + timedelta(days=30))
    sync_panels(make.piece(jacket, fabric=wool, across=600 * make.MM, along=1_400 * make.MM))
    return jacket


VOILE = {
    "Kept at": "Shelf 2",
    "Free": "3.50 m",
    "On the shelf": "5.00 m",
    "Reserved for": "Concert coat 1.50 m",
}
BUTTONS = {
    "Kept at": "Drawer 3",
    "Free": "5 pieces",
    "On the shelf": "12 pieces",
    "Reserved for": "Concert coat 7 pieces",
}


def lists(walk: Walk, group: str, *names: str) -> None:
    """Wait until the group lists exactly these, in this order."""
    expect(walk.hand.within(group).get_by_role("rowheader").get_by_role("link")).to_have_text(names)


@BOTH
def test_finds_cloth_and_notions(
    browser_page: Callable[..., Any], newcomer: Person, stash: Project, way: type[Pointer]
) -> None:
    walk = begin(browser_page, newcomer, way)
    walk.follow("Cloth")
    walk.arrive("Cloth")
    assert walk.taps <= 2
    walk.hand.type("Words", "chall")
    lists(walk, "Fabrics", "Wool challis")
    lists(walk, "Lengths", "C1")
    walk.look()
    walk.hand.type("Words", "")
    walk.hand.choose("Colour family", "White and cream")
    lists(walk, "Fabrics", "Linen voile")
    lists(walk, "Notions", "Shell buttons, 15 mm")
    for group, name, says in (
        ("Fabrics", "Linen voile", VOILE),
        ("Notions", "Shell buttons, 15 mm", BUTTONS),
    ):
        assert {column: walk.cell(name, column, group) for column in says} == says
    picture = walk.hand.within("Fabrics").locator("img.thumb")
    picture.scroll_into_view_if_needed()
    walk.page.wait_for_function("document.querySelector('img.thumb').naturalWidth > 0")
    walk.hand.choose("Colour family", "Any colour")
    lists(walk, "Fabrics", "Linen voile", "Wool challis")
    walk.hand.type("Cloth free, at least, m", "2")
    lists(walk, "Fabrics", "Linen voile")


def test_holds_the_next_projects_needs_against_the_stash(
    browser_page: Callable[..., Any], newcomer: Person, stash: Project
) -> None:
    walk = begin(browser_page, newcomer, Pointer)
    walk.follow("Cloth")
    walk.follow("what a project needs")
    walk.hand.choose("For the project", f"{stash.number}: Reading jacket")
    walk.press("Show its needs")
    walk.page.get_by_role("heading", level=3, name="Reading jacket").wait_for()
    walk.look()
    assert walk.page.get_by_role("heading", name="What a project needs").bounding_box()["y"] < 780, "in sight"
    has = {
        name: walk.cell("Wool challis", name, "What a project needs") for name in ("Reserved for it", "Free")
    }
    assert has == {"Reserved for it": "none", "Free": "0.90 m"}
    assert walk.cell("Wool challis", "To buy", "What a project needs") != "nothing"
    walk.hand.see("Would serve instead of Wool challis")
    assert walk.cell("V1", "Free", "What a project needs") == "3.50 m"
    walk.follow("Reading jacket", "What a project needs")
    walk.arrive("Reading jacket")
    walk.follow("Look through the stash for it")
    walk.page.get_by_role("heading", level=3, name="Reading jacket").wait_for()


SIZE = re.compile(r"[\d.]+ cm × [\d.]+ cm")


@BOTH
def test_prints_the_job_sheet(
    browser_page: Callable[..., Any], newcomer: Person, coat: Project, way: type[Pointer]
) -> None:
    walk = begin(browser_page, newcomer, way)
    walk.follow("Concert coat")
    walk.arrive("Concert coat")
    shown = walk.cell("Front", "Each flat", "Pieces")
    where = walk.hand.control("link", "Print the job sheet").get_attribute("href")
    walk.follow("The job sheet on screen")
    walk.arrive("Concert coat")
    sizes = SIZE.findall(walk.page.get_by_role("region", name="Panels to cut").inner_text())
    assert sizes == [shown], "page and sheet say the same"
    _nothing_overlaps(walk.page)
    picture = walk.page.get_by_alt_text("").and_(walk.page.locator(".pictures img"))
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 100
    if not pdf_available():
        pytest.skip("no PDF can be made on this computer")
    link = walk.hand.control("link", "Open as PDF")
    assert walk.taps + 1 <= 3 and link.get_attribute("href") == where
    printed = PdfReader(io.BytesIO(walk.page.request.get(where).body()))
    text = " ".join(" ".join(page.extract_text().split()) for page in printed.pages)
    assert set(SIZE.findall(text.partition("Panels to cut")[2].partition("Lay")[0])) == set(sizes)
    assert "The left front" in text and not [secret for secret in SECRET if secret in text]
    images = [(image.image.width, image.image.height) for page in printed.pages for image in page.images]
    assert (900, 600) in images


def _nothing_overlaps(page: Any) -> None:
    """The two sizes of each panel stand apart, and both inside the screen."""
    for row in page.locator(".cuts tbody tr").all():
        boxes = [cell.bounding_box() for cell in row.locator(".n").all()]
        assert len(boxes) == 2 and boxes[0]["y"] + boxes[0]["height"] <= boxes[1]["y"]
        assert all(cell.evaluate("e => e.scrollWidth <= e.clientWidth") for cell in row.locator(".n").all())
        assert all(box["x"] >= 0 and box["x"] + box["width"] <= 360 for box in boxes)


def shared(walk: Walk, day: Any) -> str:
    """From Today to a link: the photograph, note and date are chosen beside it."""
    walk.follow("Concert coat")
    walk.arrive("Concert coat")
    walk.follow("Share with client")
    walk.arrive("Share with client")
    walk.hand.type("Who it is for", "Choir secretary")
    walk.hand.tick("The left front")
    walk.hand.type("Note to the client", "The fronts are pressed & wait.")
    walk.hand.type_date("Promised to the client for", day)
    walk.press("Make a link")
    walk.arrive("Link for Choir secretary")
    assert walk.taps <= 4
    return str(walk.hand.field("Send this to Choir secretary").input_value())


@BOTH
def test_shares_the_build_page(
    browser_page: Callable[..., Any], newcomer: Person, coat: Project, way: type[Pointer]
) -> None:
    day = timezone.localdate() + timedelta(days=40)
    walk = begin(browser_page, newcomer, way)
    link = shared(walk, day)
    assert Photo.objects.get(caption="The left front").for_client
    for javascript in (True, False):
        client = browser_page(360, javascript=javascript)
        client.goto(link)
        assert client.get_by_role("heading", level=1).inner_text() == "Concert coat"
        _client_sees(client, f"{day:%A} {day.day} {day:%B %Y}")
        if javascript:
            assert looks_wrong(client, phone=True) == []
    walk.follow("Copied; back to Share")
    walk.arrive("Share with client")
    walk.press("Revoke the link for Choir secretary")
    walk.hand.see("no longer works")
    assert ShareLink.objects.get().revoked_at is not None
    assert client.reload().status == 404
    assert client.get_by_role("heading", level=1).inner_text() == "This page is not here"
    browser_page.problems[:] = [text for text in browser_page.problems if "404" not in text]


def _client_sees(client: Any, day: str) -> None:
    text = client.locator("body").inner_text()
    assert day in text and "The fronts are pressed & wait." in text and "How far it is" in text
    assert "The left front" in text and not [secret for secret in (*SECRET, "Wren", "Fern") if secret in text]
    picture = client.get_by_alt_text("The left front")
    picture.scroll_into_view_if_needed()
    box = picture.bounding_box()
    assert 200 < box["width"] <= 360
    assert client.context.cookies() == []


def test_words_to_the_client_are_changed_without_another_link(
    browser_page: Callable[..., Any], newcomer: Person, coat: Project
) -> None:
    """Somebody else changes them meanwhile: what is saved is said; what was typed stays, to be sent again."""
    walk = begin(browser_page, newcomer, Pointer)
    walk.page.goto(f"/projects/{coat.pk}/share/")
    walk.hand.type("Note to the client", "Cuffs by Friday")
    walk.hand.tick("The left front")
    Project.objects.filter(pk=coat.pk).update(client_note="Cuffs by Monday", revision=2)
    walk.press("Save without a link")
    walk.hand.see("Cuffs by Monday")
    walk.look()
    assert walk.hand.field("Note to the client").input_value() == "Cuffs by Friday"
    assert (
        walk.hand.field("The left front").is_checked() and not Photo.objects.filter(for_client=True).exists()
    )
    walk.press("Save without a link")
    walk.hand.see("Saved. Whoever has a link")
    coat.refresh_from_db()
    assert (coat.client_note, coat.revision, ShareLink.objects.count()) == ("Cuffs by Friday", 3, 0)
    assert Photo.objects.filter(for_client=True).count() == 1
