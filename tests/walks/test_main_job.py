"""The main job, from an empty studio to the sheet: by mouse, by keyboard on a phone, without JavaScript.

The sizes are worked out here by hand from the typed numbers; pages, sheet and PDF must all say the same.
"""

import hashlib
import io
import math
import re
from collections.abc import Callable
from datetime import date
from math import sqrt
from typing import Any

import pytest
from pypdf import PdfReader

from tests import make
from tests.browser import WIDER, looks_wrong
from tests.walks.driver import Keyboard, Pointer

CODE = "k7mpx2hdq4wn"
pytestmark = pytest.mark.django_db(transaction=True)

# Sample: 16 tucks each way between the points measured.
#   across  42.4 cm flat, 24 cm finished; twice the depths 8 x 2 (4 + 7) = 176 mm;
#           the cloth adds (424 - 240 - 176) / 16 = 0.5 mm to each
#   along   41.2 cm flat, 28 cm finished; twice the depths 8 x 2 (5 + 3) = 128 mm;
#           the cloth adds (412 - 280 - 128) / 16 = 0.25 mm to each
# Standard error of what is added, one sample: v = 4 x 0.8^2 / 4 = 0.64; sqrt(0.64 / 16 + 0.15^2) = 0.25 mm.
# Margin, checked every 10 tucks, both ways: 2.58 sqrt(4 x 0.4^2 x 10 + 0.5^2 + (10 x 0.25)^2) = 9.2665 mm.
MARGIN = 2.58 * sqrt(4 * 0.4**2 * 10 + 0.5**2 + (10 * 0.25) ** 2)
# The repeat starts in the middle of its widest gap, after the second tuck:
#   across  18 then 12, 4 and 7 deep: gap from 30 + 7 to 30 + 18, middle 42.5, 12.5 into the repeat of 30;
#           first seams at 18 - 12.5 = 5.5 and 30 - 12.5 = 17.5
#   along   20 then 15, 5 and 3 deep: gap from 35 + 3 to 35 + 20, middle 46.5, 11.5 into the repeat of 35;
#           first seams at 20 - 11.5 = 8.5 and 35 - 11.5 = 23.5
ACROSS = (30, ((5.5, 2 * 4 + 0.5), (17.5, 2 * 7 + 0.5)))
ALONG = (35, ((8.5, 2 * 5 + 0.25), (23.5, 2 * 3 + 0.25)))


def flat(pattern: float, allowances: float, repeat: float, tucks: tuple[tuple[float, float], ...]) -> float:
    """Flat extent in mm: pattern, allowances, squaring of 10 mm at each end, margin, each seam's take-up."""
    need = pattern + allowances + 20 + MARGIN
    return need + sum((int((need - first) // repeat) + 1) * takes for first, takes in tucks)


def cm(mm: float) -> str:
    """As panels are written: to a whole millimetre, in centimetres."""
    return f"{int(mm + 0.5) / 10:.1f}"


# Allowances: 15 mm at each side and at the top, 20 mm hem.
FRONT = (flat(400, 30, *ACROSS), flat(500, 35, *ALONG))
SLEEVE = (flat(300, 30, *ACROSS), flat(400, 35, *ALONG))
BACK = (400 + 30 + 20, 500 + 35 + 20)
# 140 cm of cloth, 1 % narrower once washed. Front (81.3) and a sleeve (63.5) never lie side by side, two
# sleeves do, and the back (45.0) goes beside the front: no lay is shorter than front + sleeve.
LAID = FRONT[1] + SLEEVE[1]
# 80 cm on the shelf, 4 % shorter once washed, serve the sleeves, not the front: its length is bought.
BOUGHT = FRONT[1] / 0.96


def test_the_sums_by_hand() -> None:
    """The front once more, each number written out."""
    assert (cm(MARGIN * 10), cm(FRONT[0]), cm(FRONT[1])) == ("9.3", "81.3", "82.8")
    assert FRONT[0] == pytest.approx(459.2665 + 16 * 8.5 + 15 * 14.5, abs=0.001)
    assert FRONT[1] == pytest.approx(564.2665 + 16 * 10.25 + 16 * 6.25, abs=0.001)
    assert SLEEVE[0] == pytest.approx(359.2665 + 12 * 8.5 + 12 * 14.5, abs=0.001)
    assert SLEEVE[1] == pytest.approx(464.2665 + 14 * 10.25 + 13 * 6.25, abs=0.001)
    assert (cm(LAID), f"{BOUGHT / 1000:.2f}") == ("151.7", "0.86")


def whole_cm(mm: float) -> int:
    """Up to the next centimetre (mm), as cloth that is needed is shown."""
    return math.ceil(mm / 10 - 1e-9) * 10


class Walk:
    """One walk; ``hands`` use the page, ``check`` looks whether it is sound."""

    def __init__(self, hands: Pointer, check: Callable[[], None]) -> None:
        self.hands, self.check = hands, check

    def claim(self) -> None:
        hands = self.hands
        hands.page.goto("/")
        hands.arrive("Claim this studio")
        for label, text in (
            ("One-time code", CODE),
            ("Name of the studio", "Larkfield Workroom"),
            ("Currency", "GBP"),
        ):
            hands.type(label, text)
        hands.choose("Time zone", "London")
        for label, text in (
            ("Your name", "Wren"),
            ("User name", "wren"),
            ("Password", make.PASSWORD),
            ("The same password again", make.PASSWORD),
        ):
            hands.type(label, text)
        self.check()
        hands.press("Claim the studio")
        hands.arrive("Today")
        hands.see("Larkfield Workroom is yours")
        self.check()

    def fabric(self) -> None:
        hands = self.hands
        hands.follow("Cloth")
        hands.follow("New fabric")
        hands.arrive("New fabric")
        for label, text in (
            ("Name", "Linen voile"),
            ("Made of", "linen"),
            ("Usable width, cm", "140"),
            ("Weight, g/m²", "92"),
            ("Thickness, mm", "0,25"),
            ("Shrinkage along, %", "4"),
            ("Shrinkage across, %", "1"),
        ):
            hands.type(label, text)
        self.check()
        hands.press("Save")
        hands.arrive("Linen voile")
        hands.follow("Add a length")
        hands.arrive("New length of Linen voile")
        hands.type("Label", "Bolt 7")
        hands.type("Dye lot", "A 12")
        hands.type("How much there is, m", "80 cm")
        self.check()
        hands.press("Save")
        hands.arrive("Bolt 7")
        self.check()

    def recipe(self) -> None:
        hands = self.hands
        hands.follow("Recipes")
        hands.follow("New recipe")
        hands.arrive("New recipe")
        hands.type("Name", "Crossing tucks")
        self._tuck(1, "across", "4", "18")
        hands.press("Add a tuck", "Tucks across")
        self._tuck(2, "across", "7", "12")
        hands.press("Tucks along: the same")
        self._tuck(1, "along", "5", "20")
        self._tuck(2, "along", "3", "15")
        self.check()
        hands.press("Save the recipe")
        hands.arrive("Crossing tucks")
        hands.see("is kept as version 1")

    def _tuck(self, number: int, way: str, depth: str, space: str) -> None:
        self.hands.type(f"Depth of tuck {number} {way}, mm", depth)
        self.hands.type(f"From last seam to tuck {number} {way}, mm", space)

    def sample(self) -> None:
        hands = self.hands
        hands.follow("Write down a sample")
        hands.arrive("Write down a sample")
        hands.choose("On which cloth", "Linen voile")
        for way, flat_cm, finished in (("across", "42.4", "24"), ("along", "41,2", "280 mm")):
            hands.type(f"Flat, {way}, cm", flat_cm)
            hands.type(f"Finished, {way}, cm", finished)
            hands.type(f"Tucks {way}, between the points", "16")
        self.check()
        hands.press("Save the sample")
        hands.arrive("Crossing tucks")
        hands.see("across: 1.77 to 1, the cloth adds 0.50 mm to each of 16 tucks")
        hands.see("along: 1.47 to 1, the cloth adds 0.25 mm to each of 16 tucks")
        self.check()

    def project(self) -> None:
        hands = self.hands
        hands.follow("Projects")
        hands.follow("New project")
        hands.arrive("New project")
        hands.type("Title", "Concert coat")
        hands.type("Or a new client's name", "Quayside Choir")
        hands.type_date("Due date", date(2031, 5, 30))
        self.check()
        hands.press("Save")
        hands.arrive("Concert coat")
        hands.press("In hand", "State")
        hands.see("in hand now")

    def pieces(self) -> None:
        hands = self.hands
        tucked, plain = "Crossing tucks, version 1, newest", "Plain: no tucks or pleats"
        self._piece("Front", "40", "50", tucked)
        self._check_piece("Front", FRONT)
        self._back_to_project()
        self._piece("Sleeve", "30", "400 mm", tucked, pair=True)
        self._check_piece("Sleeve", SLEEVE)
        for hand in ("left", "right"):
            assert f"{cm(SLEEVE[0])} cm × {cm(SLEEVE[1])} cm" in hands.row(f"Sleeve, {hand}", "Panels")
        self._back_to_project()
        self._piece("Back", "40", "50", plain)
        self._check_piece("Back", BACK)
        self._back_to_project()
        for name, size in (("Front", FRONT), ("Sleeve", SLEEVE), ("Back", BACK)):
            assert f"{cm(size[0])} cm × {cm(size[1])} cm" in hands.row(name, "Pieces")
        self.check()

    def _piece(self, name: str, across: str, along: str, recipe: str, *, pair: bool = False) -> None:
        hands = self.hands
        hands.follow("Add a piece")
        hands.arrive("New piece")
        hands.type("Name", name)
        hands.type("Finished size across, cm", across)
        hands.type("Finished size along, cm", along)
        if pair:
            hands.type("How many", "2")
            hands.tick("A pair: half of them mirrored")
        hands.choose("Recipe", recipe)
        hands.choose("Fabric", "Linen voile")
        self.check()
        hands.press("Save")

    def _check_piece(self, name: str, size: tuple[float, float]) -> None:
        hands = self.hands
        hands.arrive(name)
        hands.see(f"{cm(size[0])} cm × {cm(size[1])} cm")
        self.check()

    def _back_to_project(self) -> None:
        self.hands.follow("Concert coat")
        self.hands.arrive("Concert coat")

    def buy(self) -> None:
        hands = self.hands
        hands.follow("What to buy, and why")
        hands.arrive("What to buy")
        for why, mm in (
            ("Panels as laid", whole_cm(LAID)),
            ("Shrinkage in the wash", whole_cm(LAID / 0.96 - LAID)),
            ("On hand", whole_cm(BOUGHT - LAID / 0.96)),
            ("To buy", 900),
        ):
            said = hands.row(why, "Linen voile").replace("−", "-")
            assert f"{mm / 1000:.2f} m" in said, f"{why}: {said}"
        self.check()
        self._back_to_project()
        assert "0.90 m" in hands.row("Linen voile", "Materials")

    def steps(self) -> None:
        hands = self.hands
        hands.follow("Steps")
        hands.arrive("Steps")
        ticks = hands.page.get_by_role("button", name=re.compile("^To do: "))
        before = ticks.count()
        name = ticks.first.get_attribute("aria-label")
        assert before > 10 and name
        hands.press(name)
        hands.page.get_by_role("button", name=name.replace("To do", "Done")).wait_for()
        assert ticks.count() == before - 1
        hands.see(f"1 done or skipped, {before - 1} to do")
        self.check()

    def hours(self) -> None:
        hands = self.hands
        hands.follow("Hours")
        hands.arrive("Hours")
        self._log("Concert coat", "1h20")
        hands.see("Logged 1 h 20 min for Concert coat")
        hands.choose("Project", "Concert coat", "Timer")
        hands.press("Start the timer")
        hands.see("The timer runs for Concert coat")
        self.check()
        hands.press("Stop the timer")
        hands.see("Less than half a minute for Concert coat: nothing was logged.")

    def _log(self, project: str, time: str) -> None:
        hands, region = self.hands, "Log hours by hand"
        option = hands.field("Project", region).get_by_role("option", name=project, exact=False)
        hands.choose("Project", option.first.inner_text().strip(), region)
        hands.choose(
            "Stage", hands.field("Stage", region).get_by_role("option").nth(1).inner_text().strip(), region
        )
        hands.type("Time", time, region)
        hands.press("Log", region)

    def sheet(self) -> None:
        hands = self.hands
        hands.follow("Projects")
        hands.follow("Concert coat")
        hands.arrive("Concert coat")
        hands.see("1 h 20 min")
        link = hands.control("link", "Print the job sheet")
        address = link.get_attribute("href")
        answer = hands.page.context.request.get(address, timeout=60_000)
        body = answer.body()
        assert answer.headers["content-type"] == "application/pdf" and body.startswith(b"%PDF")
        words = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(body)).pages).split())
        hands.page.goto(address.replace(".pdf", "/"))
        hands.arrive("Concert coat")
        self.check()
        for name, size in (("Front", FRONT), ("Sleeve", SLEEVE), ("Back", BACK)):
            metric = f"{cm(size[0])} cm × {cm(size[1])} cm"
            assert metric in hands.row(name) and metric in words
        # 812.77 mm are 31.998 in, 828.27 mm are 32.609 in: to the nearest sixteenth.
        assert "32 in × 32 ⁵⁄₈ in" in hands.row("Front")
        assert "LEFT" in words and "RIGHT" in words
        hands.follow("Back to the project")
        hands.arrive("Concert coat")


WAYS = {
    "mouse at 1280 px": (Pointer, 1280, True),
    "keyboard at 360 px": (Keyboard, 360, True),
    "without JavaScript": (Pointer, 1280, False),
}


def without_script(page: Any) -> list[str]:
    """What can be looked at where no script runs: one h1, no sideways scrolling."""
    problems = [f"wider by {page.evaluate(WIDER)} px"] if page.evaluate(WIDER) > 0 else []
    if page.locator("h1").count() != 1:
        problems.append(f"{page.locator('h1').count()} h1")
    return problems


@pytest.mark.parametrize("way", WAYS)
def test_from_the_code_to_the_sheet(browser_page: Callable[..., Any], way: str) -> None:
    kind, width, javascript = WAYS[way]
    make.workroom(name="My workroom", claimed_at=None, claim_hash=hashlib.sha256(CODE.encode()).hexdigest())
    page = browser_page(width, javascript=javascript)
    hands, wrong = kind(page), []

    def check() -> None:
        found = looks_wrong(page, phone=width == 360) if javascript else without_script(page)
        wrong.extend(f"{page.url}: {text}" for text in found)

    walk = Walk(hands, check)
    for part in (
        walk.claim,
        walk.fabric,
        walk.recipe,
        walk.sample,
        walk.project,
        walk.pieces,
        walk.buy,
        walk.steps,
        walk.hours,
        walk.sheet,
    ):
        part()
    assert wrong + hands.hard_to_see == []
