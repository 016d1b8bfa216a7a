"""What the walks at the bench share: runs to work on, taps, and what the studio has of them."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from projects.calc.ratio import STARTING_RATIOS, ByRatio
from projects.calc.recipe import Recipe
from projects.models import BenchFact, Piece
from projects.planning.run_source import runs_by_key
from projects.planning.runs import RunPlan
from tests import make
from tests.browser import Browsing
from tests.make import MM

SCRIPTS = Path(__file__).resolve().parent.parent.parent / "static" / "js"
OFFLINE = "ERR_INTERNET_DISCONNECTED"
PATIENCE = 30.0
"""Seconds within which devices with a connection must agree, and anything else must happen."""


def script(name: str) -> str:
    """One of the bench's scripts, as text."""
    return (SCRIPTS / name).read_text(encoding="utf-8")


def tucked() -> RunPlan:
    """A front with 36 tucks across, to be measured after 8, 17, 25 and 33 of them."""
    piece = make.piece(fabric=make.fabric(), version=make.version(), across=424 * MM, along=500 * MM)
    return run_of(piece)


def lattice_bag() -> RunPlan:
    """A bag's body in lattice: rows of squares, none with a depth."""
    across, along = STARTING_RATIOS["lattice"]
    numbers = {"spacing": 30 * MM, "row": 12 * MM, "rows": 2}
    recipe = Recipe(ratio=ByRatio("lattice", across=across, along=along, **numbers))
    piece = make.piece(
        make.project("Velvet bag"), name="Body", fabric=make.fabric("Silk velvet"),
        version=make.version(of=recipe), across=240 * MM, along=200 * MM,
    )  # fmt: skip
    return run_of(piece)


def run_of(piece: Piece) -> RunPlan:
    runs = [run for run in runs_by_key(piece.project).values() if run.count > 4]
    assert len(runs) == 1, [(run.key, run.count) for run in runs]
    return runs[0]


def sewn_units() -> list[int]:
    """Every unit of every fact of a tap, in the order in which they arrived."""
    rows = BenchFact.objects.filter(kind="sewn").order_by("pk").values_list("unit", "also")
    return [unit for first, also in rows for unit in (first, *also)]


class Hand:
    """Somebody with the bench page open. ``quick`` polls and retries often, so that a test need not wait."""

    def __init__(self, page: Any, address: str) -> None:
        self.page, self.address = page, address

    def open(self) -> "Hand":
        self.page.goto(self.address)
        self.ready()
        return self

    def ready(self) -> None:
        self.page.locator("[data-bench=device]").wait_for(state="attached")
        self.until(lambda: not self.page.evaluate("document.querySelector('[data-bench=device]').hidden"))
        # Two taps of one finger are told from two taps by time; a test's finger is quicker than any.
        self.page.evaluate("document.getElementById('bench').dataset.pause = '0'")

    def box(self, name: str) -> Any:
        return self.page.locator(f"[data-bench={name}]").first

    @property
    def unit(self) -> int:
        return int(self.box("number").inner_text())

    @property
    def line(self) -> str:
        box = self.box("connection")
        return box.inner_text() if box.is_visible() else ""

    def button(self, name: str) -> Any:
        return self.page.get_by_role("button", name=name, exact=True)

    def sew(self, count: int = 1) -> list[int]:
        """Tap the large button so often; the units that were shown when it was tapped."""
        units = []
        for _ in range(count):
            units.append(self.unit)
            self.box("sewn").click()
        return units

    def until(self, holds: Callable[[], bool], what: str = "") -> None:
        """The page's own wait needs eval, which the policy forbids."""
        end = time.monotonic() + PATIENCE
        while not holds():
            assert time.monotonic() < end, what or f"not within {PATIENCE} s: {self.page.url}"
            self.page.wait_for_timeout(50)

    def shows(self, unit: int) -> None:
        self.until(lambda: self.box("number").inner_text() == str(unit), f"shows {self.unit}, not {unit}")

    def sent(self) -> None:
        """Wait until nothing waits on this device."""
        self.until(lambda: self.waiting() == 0, "taps still wait on the device")

    def waiting(self) -> int:
        count = "Object.keys(localStorage).filter(name => name.startsWith('bench/')).length"
        return int(self.page.evaluate(count))

    def offline(self, yes: bool = True) -> None:
        self.page.context.set_offline(yes)

    def open_fold(self, text: str) -> None:
        fold = self.page.locator("main summary").filter(has_text=text).first
        if fold.evaluate("e => !e.parentElement.open"):
            fold.click()

    def measure(self, near: str, far: str) -> None:
        form = self.page.locator("form[data-form=check]")
        form.locator("[name=near]").fill(near)
        form.locator("[name=far]").fill(far)
        form.get_by_role("button", name="Measured").click()


def forgive_offline(browsing: Browsing) -> None:
    """The browser itself writes each attempt without a connection to its console."""
    browsing.problems[:] = [text for text in browsing.problems if OFFLINE not in text]


def address(run: RunPlan, project: int) -> str:
    return f"/projects/{project}/bench/{run.key}/"
