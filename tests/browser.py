"""A real browser under the real content security policy; it remembers everything that went wrong."""

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from functools import wraps
from pathlib import Path
from typing import Any

from django.test import Client

KEPT = Path(__file__).resolve().parent.parent / ".pytest_cache" / "screenshots"
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
ANSWERS_OF_FORMS = re.compile(r"status of (403|409|422|429) ")
# A window without a head still loads the address bar's own pages unless told otherwise, which takes longer
# than most of the pages under test. The last list given holds, so the driver's own comes before these.
SWITCHED_OFF = (
    "AvoidUnnecessaryBeforeUnloadCheckSync,DestroyProfileOnBrowserClose,HttpsUpgrades,"
    "HttpsFirstBalancedModeAutoEnable,LensOverlay,MediaRouter,PaintHolding,ThirdPartyStoragePartitioning,"
    "AvoidCorsURLLoaderRestartOnRedirect,OptimizationHints,NetworkTimeServiceQuerying,AimEnabled,PreconnectToSearch,"
    "WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup,PreloadTopChromeWebUI"
)
PATIENCE = 30_000
"""How many ms a page may take to show what is waited for: only a failure takes so long, however busy the
machine is."""
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def find_chromium() -> str | None:
    """The variable CHROMIUM, else the first known name on the path, else the driver's own (None)."""
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)


@contextmanager
def start_chromium() -> Iterator[Any]:
    from playwright.sync_api import Locator, expect, sync_playwright

    expect.set_options(timeout=PATIENCE)
    for name in ACTIONS:
        method = getattr(Locator, name)
        if not hasattr(method, "__wrapped__"):
            setattr(Locator, name, _once_read(method))
    flags = ["--disable-gpu", "--disable-background-networking", f"--disable-features={SWITCHED_OFF}"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        flags.append("--no-sandbox")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=find_chromium(), args=flags)
        yield browser
        browser.close()


ACTIONS = (
    "check", "click", "fill", "press", "press_sequentially", "select_option", "set_input_files", "uncheck",
)


def _once_read(act: Any) -> Any:
    """``act`` on a page that is read to its end: what a click led to shows its fields before its scripts have
    begun to listen, and what is chosen there in between would be lost."""

    @wraps(act)
    def acting(locator: Any, *args: Any, **named: Any) -> Any:
        locator.first.wait_for(state="attached")
        locator.page.wait_for_load_state("domcontentloaded")
        return act(locator, *args, **named)

    return acting


class Browsing:
    """Opens pages on the live server. ``problems`` are console errors, page errors and 5xx answers."""

    def __init__(self, chromium: Any, address: str) -> None:
        self.chromium, self.address = chromium, address
        self.contexts: list[Any] = []
        self.pages: list[Any] = []
        self.problems: list[str] = []

    def __call__(
        self, width: int = 1280, *, person: Any = None, javascript: bool = True, height: int = 900
    ) -> Any:
        """A fresh page, ``width`` px wide, signed in as ``person`` when one is given."""
        context = self.chromium.new_context(
            base_url=self.address, viewport={"width": width, "height": height},
            java_script_enabled=javascript, has_touch=width < 760,
        )
        context.set_default_timeout(PATIENCE)
        if person is not None:
            context.add_cookies([self._session_of(person)])
        page = context.new_page()
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.problems.append(f"page error: {error}"))
        page.on("response", self._answered)
        self.contexts.append(context)
        self.pages.append(page)
        return page

    def _session_of(self, person: Any) -> dict[str, str]:
        client = Client()
        client.force_login(person)
        return {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": self.address}

    def _heard(self, message: Any) -> None:
        if message.type == "error" and not ANSWERS_OF_FORMS.search(message.text):
            self.problems.append(f"console: {message.text}")

    def _answered(self, response: Any) -> None:
        if response.status >= 500:
            self.problems.append(f"{response.status} from {response.url}")

    def close(self, keep_as: str = "") -> None:
        """Close everything; with a name, keep a picture of each page."""
        for number, page in enumerate(self.pages):
            if keep_as and not page.is_closed():
                KEPT.mkdir(parents=True, exist_ok=True)
                name = re.sub(r"[^\w.-]+", "-", keep_as)[-120:]
                page.screenshot(path=KEPT / f"{name}-{number}.png", full_page=True)
        for context in self.contexts:
            context.close()


def axe_problems(page: Any) -> list[str]:
    """What axe-core finds on the page, one line a rule with the places it was found."""
    from axe_playwright_python.base import AXE_SCRIPT

    # A click returns when the next document has begun, not when it has arrived.
    page.wait_for_load_state()
    page.evaluate(AXE_SCRIPT)
    # Only what is wrong comes out of the browser: a whole answer lists every element that passed, and takes
    # twice as long as the search itself.
    options = {"runOnly": {"type": "tag", "values": RULES}, "resultTypes": ["violations"], "preload": False}
    found = page.evaluate(JUDGED, options)
    return [f"{rule['id']}: {rule['help']} at {'; '.join(rule['places'])}" for rule in found]


JUDGED = """options => axe.run(options).then(answer => answer.violations.map(rule => ({
  id: rule.id, help: rule.help, places: rule.nodes.slice(0, 5).map(node => String(node.target)) })))"""
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
SMALL = """() => [...document.querySelectorAll(
  ['a', 'button', 'input', 'select', 'textarea', 'summary'].map(tag => 'main ' + tag).join(','))]
.filter(e => { const b = (e.closest('label') || e).getBoundingClientRect();
  const inText = getComputedStyle(e).display === 'inline';
  return e.type !== 'hidden' && !inText && b.width && b.height && b.height < 43.5 })
.map(e => e.outerHTML.slice(0, 120))"""


def looks_wrong(page: Any, *, phone: bool = False) -> list[str]:
    """axe-core, one h1, no sideways scrolling; on a phone also touch targets lower than 44 px."""
    problems = axe_problems(page)
    if page.locator("h1").count() != 1:
        problems.append(f"{page.locator('h1').count()} h1")
    if page.evaluate(WIDER) > 0:
        problems.append(f"wider than the screen by {page.evaluate(WIDER)} px")
    if phone:
        problems += [f"lower than 44 px: {html}" for html in page.evaluate(SMALL)]
    return problems
