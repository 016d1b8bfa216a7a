"""Two ways of using a page, by what can be seen or heard of it: visible labels, roles and names.

``Pointer`` clicks and fills. ``Keyboard`` never touches a mouse: it tabs to the control it wants, looks
whether the focus can be seen there, and types.
"""

import re
from datetime import date
from typing import Any

MOST_TABS = 260
HERE = "e => e === document.activeElement"
BEFORE = """e => document.activeElement !== document.body && document.activeElement.isConnected &&
!!(e.compareDocumentPosition(document.activeElement) & Node.DOCUMENT_POSITION_FOLLOWING)"""
# The focus must be marked, and the control must not lie under the bar at the foot of a phone.
UNSEEN = """e => {
  const style = getComputedStyle(e), box = e.getBoundingClientRect();
  if (style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2) return 'no outline';
  const x = box.left + box.width / 2, y = box.top + Math.min(box.height, innerHeight) / 2;
  const top = document.elementFromPoint(x, y);
  if (!top || e.contains(top) || top.contains(e) || [...(e.labels || [])].includes(top)) return '';
  return 'under ' + top.outerHTML.slice(0, 80);
}"""
OPTIONS = "e => [e.selectedIndex, [...e.options].map(option => option.label.trim())]"


class Pointer:
    """A mouse and a keyboard, or a finger."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.hard_to_see: list[str] = []

    def within(self, region: str) -> Any:
        """The section whose heading begins with ``region``; the whole page when it is empty."""
        if not region:
            return self.page
        return self.page.get_by_role("region", name=re.compile("^" + re.escape(region)))

    def control(self, role: str, name: str, region: str = "") -> Any:
        return self.within(region).get_by_role(role, name=name, exact=True).first

    def field(self, label: str, region: str = "") -> Any:
        return self.within(region).get_by_label(label, exact=True).first

    def see(self, text: str) -> None:
        """Wait until ``text`` can be read on the page."""
        self.page.get_by_text(text).first.wait_for()

    def arrive(self, heading: str) -> None:
        """Wait for the page with this heading."""
        self.page.get_by_role("heading", level=1, name=heading, exact=True).wait_for()

    def row(self, name: str, region: str = "") -> str:
        """What a row of a table says, by its heading; white space as single spaces."""
        heading = self.within(region).get_by_role("rowheader", name=name).first
        return " ".join(heading.locator("xpath=..").inner_text().split())

    def follow(self, name: str, region: str = "") -> None:
        self._act(self.control("link", name, region), "Enter")

    def press(self, name: str, region: str = "") -> None:
        self._act(self.control("button", name, region), "Space")

    def tick(self, label: str) -> None:
        self._act(self.field(label), "Space")

    def type(self, label: str, text: str, region: str = "") -> None:
        self.field(label, region).fill(text)

    def type_date(self, label: str, day: date) -> None:
        self.field(label).fill(day.isoformat())

    def choose(self, label: str, option: str, region: str = "") -> None:
        self.field(label, region).select_option(option)

    def _act(self, control: Any, key: str) -> None:
        control.click()


class Keyboard(Pointer):
    """Tab, Shift+Tab, Enter, Space, arrows and typing; nothing else."""

    def reach(self, control: Any) -> None:
        """Tab until ``control`` has the focus, forwards or backwards, whichever is nearer."""
        control.wait_for(state="attached")
        self.page.wait_for_load_state("domcontentloaded")
        for _ in range(MOST_TABS):
            if control.evaluate(HERE):
                self._look(control)
                return
            self.page.keyboard.press("Shift+Tab" if control.evaluate(BEFORE) else "Tab")
        raise AssertionError(f"{control} is not reached in {MOST_TABS} tabs")

    def _look(self, control: Any) -> None:
        wrong = control.evaluate(UNSEEN)
        if wrong:
            self.hard_to_see.append(
                f"{self.page.url}: {control.evaluate('e => e.outerHTML.slice(0, 90)')}: {wrong}"
            )

    def _act(self, control: Any, key: str) -> None:
        self.reach(control)
        self.page.keyboard.press(key)

    def type(self, label: str, text: str, region: str = "") -> None:
        self.reach(self.field(label, region))
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text) if text else self.page.keyboard.press("Delete")

    def type_date(self, label: str, day: date) -> None:
        self.reach(self.field(label))
        self.page.keyboard.type(f"{day:%m%d%Y}")

    def choose(self, label: str, option: str, region: str = "") -> None:
        control = self.field(label, region)
        self.reach(control)
        now, options = control.evaluate(OPTIONS)
        steps = options.index(option) - now
        if abs(steps) > 20:
            self.page.keyboard.type(option)
        else:
            for _ in range(abs(steps)):
                self.page.keyboard.press("ArrowDown" if steps > 0 else "ArrowUp")
        now, options = control.evaluate(OPTIONS)
        assert options[now] == option, f"{label}: {options[now]} instead of {option}"
