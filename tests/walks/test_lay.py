"""A lay from its first sight to the last cut: planned on a wide screen, cut on a phone, the plan changed."""

import re
import time
from collections.abc import Callable
from typing import Any

import pytest

from projects.activities import balances
from projects.models import ClothLength, LayDraft, Panel, Person, Project
from tests import make
from tests.browser import looks_wrong
from tests.walks.driver import Pointer
from tests.walks.hangings import COUNT, FABRIC, PROJECT, RECIPE, SHELF, hangings
from tests.walks.test_main_job import without_script

pytestmark = pytest.mark.django_db(transaction=True)
HELD, LAY = "Hanging 5", f"Lay of {FABRIC}"
PATIENCE_S = 60


class Walk:
    """The wide screen at the desk and the phone at the table; ``check`` looks whether a page is sound."""

    def __init__(self, browse: Callable[..., Any], person: Person, javascript: bool) -> None:
        self.javascript = javascript
        pages = [browse(width, person=person, javascript=javascript, height=780) for width in (1280, 360)]
        for page in pages:
            page.set_default_timeout(PATIENCE_S * 1_000)
        self.desk, self.phone = map(Pointer, pages)
        self.wrong: list[str] = []

    def check(self, hands: Pointer) -> None:
        page = hands.page
        found = looks_wrong(page, phone=hands is self.phone) if self.javascript else without_script(page)
        self.wrong.extend(f"{page.url}: {text}" for text in found)

    def open(self, hands: Pointer) -> None:
        hands.page.goto("/projects/")
        hands.follow(PROJECT)
        hands.arrive(PROJECT)
        hands.follow(LAY)
        hands.arrive(LAY)

    def plan(self) -> None:
        self.open(self.desk)
        self.check(self.desk)

    def improve(self, button: str, stopped: str) -> None:
        """Watch until the shelf serves; with JavaScript the page changes by itself."""
        hands = self.desk
        if self.javascript:
            hands.page.evaluate("window.stayed = true")
        hands.press(button)
        hands.control("button", "Stop and keep the best").wait_for()
        self._until(hands, "Nothing to buy so far.")
        assert LayDraft.objects.get().process, "a process of its own is at work"
        self.check(hands)
        hands.press("Stop and keep the best")
        hands.page.get_by_role("heading", name=stopped).wait_for()
        assert not self.javascript or hands.page.evaluate("window.stayed")
        for label in SHELF:
            heading = hands.page.get_by_role("heading", level=3, name=label)
            drawn = hands.page.get_by_role("group", name=label)
            used = re.search(r"used (\d+\.\d\d m)", drawn.text_content())
            assert used and used[1] in heading.inner_text(), "the drawing and its heading say the same"
        self.check(hands)

    def _until(self, hands: Pointer, text: str) -> None:
        if self.javascript:
            hands.see(text)
            return
        end = time.monotonic() + PATIENCE_S
        while not hands.page.get_by_text(text).count() and time.monotonic() < end:
            time.sleep(0.3)
            hands.follow("Look again")
        hands.see(text)

    def pin_and_improve(self) -> None:
        hands = self.desk
        before = self._place()
        hands.press(f"Pin {HELD}")
        hands.control("button", f"Unpin {HELD}").wait_for()
        self.improve("Improve around it", "Improve around what is pinned")
        assert self._place() == before, "what is pinned stays"

    def _place(self) -> str:
        heading = self.desk.page.locator("#places").get_by_role("rowheader", name=HELD)
        cells = heading.locator("xpath=..").locator("td:not(.do)")
        return " ".join(cells.all_inner_texts())

    def accept(self) -> None:
        hands, project = self.desk, Project.objects.get()
        hands.press("Accept this lay")
        hands.page.get_by_role("heading", name="This lay is accepted").wait_for()
        self.check(hands)
        for label in SHELF:
            row = ClothLength.objects.get(label=label)
            held = balances.reserved_for(row, project)
            assert held == project.lays.get().lengths.get(cloth=row).used > 0
            hands.follow(label)
            hands.arrive(label)
            said = hands.within("Reserved for").get_by_role("listitem").inner_text()
            assert PROJECT in said and f"{held / 10**9:.2f} m" in said
            self.check(hands)
            self.open(hands)

    def cut(self) -> str:
        """Tick cuts until the first that leaves something worth keeping; its name."""
        hands = self.phone
        self.open(hands)
        self.check(hands)
        hands.follow("Cut at the table")
        hands.arrive(f"At the table: {FABRIC}")
        self.check(hands)
        over, number = hands.within("Left over so far").get_by_role("link"), 1
        while not over.count() or not Panel.objects.exclude(cut_at=None).exists():
            hands.press(f"Cut {number} is made")
            hands.see(f"Cut {number} is made.")
            number += 1
        self.check(hands)
        assert 0 < Panel.objects.exclude(cut_at=None).count() < COUNT
        return str(over.first.inner_text())

    def find(self, remnant: str) -> None:
        hands = self.phone
        hands.follow("Cloth")
        hands.arrive("Cloth")
        hands.type("Words", "remnant")
        if not self.javascript:
            hands.press("Find")
        row = ClothLength.objects.get(label=remnant)
        hands.page.locator("#found").get_by_role("link", name="Bolt 3", exact=True).wait_for(state="detached")
        assert "nobody" in hands.row(remnant)
        self.check(hands)
        hands.page.locator("#found").get_by_role("link", name=remnant, exact=True).click()
        hands.arrive(remnant)
        assert row.shelf > 0 and any(label in hands.page.content() for label in SHELF)
        hands.see("Left over from")
        self.check(hands)

    def change(self) -> None:
        hands = self.desk
        hands.follow("Recipes")
        hands.follow(RECIPE)
        hands.arrive(RECIPE)
        hands.type("Depth of tuck 1 across, mm", "6")
        hands.press("Save as version 2")
        hands.arrive("Save as version 2")
        boxes = hands.page.get_by_role("checkbox")
        assert boxes.count() == COUNT
        for box in boxes.all():
            box.check()
        self.check(hands)
        hands.press("Save as version 2")
        hands.arrive(RECIPE)
        self.open(hands)
        hands.see("The plan has changed since")
        wider = hands.page.get_by_role("listitem").filter(has_text=" wider.").all_inner_texts()
        cut = set(Panel.objects.exclude(cut_at=None).values_list("name", flat=True))
        assert len(wider) == COUNT - len(cut), "each panel that is not cut"
        assert not any(text.startswith(f"{name} is") for text in wider for name in cut)
        self.check(hands)
        self.phone.page.goto(self.desk.page.url + "cut/")
        self.phone.see("before anything more is cut")
        assert not self.phone.page.get_by_role("button", name=" is made").count()
        self.check(self.phone)


@pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without JavaScript"])
def test_from_the_first_lay_to_a_changed_plan(browser_page: Callable[..., Any], javascript: bool) -> None:
    make.workroom()
    wren = make.person("wren", shown_name="Wren", role=Person.OWNER)
    hangings(wren)
    walk = Walk(browser_page, wren, javascript)
    walk.plan()
    walk.improve("Improve", "Stopped, the best is kept")
    walk.pin_and_improve()
    walk.accept()
    walk.find(walk.cut())
    walk.change()
    assert walk.wrong == []
