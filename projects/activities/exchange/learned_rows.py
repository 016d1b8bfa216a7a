"""What a studio's logs taught about time, in a file: for the studio as a whole, nobody's own rates."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from projects.calc.labour import DRIVERS, SETUP, STARTING_SETUP
from projects.calc.learned import Learned
from projects.models import LearnedRate
from projects.planning.learned_rates import CURVE, SPREADS

from . import nouns
from .errors import wrong
from .nouns import read_row
from .rows import Row

MOST_MEAN, MOST_VARIANCE = 5.0, 100.0
"""Logarithms: more than a hundred times as long, or as little, is nothing that logs taught."""


def written_learned(learned: Learned, curves: Mapping[str, float]) -> Iterator[dict[str, Any]]:
    """The factors of the studio as a whole, how far steps stray where that is known, and by stage how much
    quicker repeats are."""
    for stage, left in sorted(curves.items()):
        yield _written(CURVE, stage, left, 0.0, 1)
    rows = [row for row in learned.rows() if row.key[2] is None and row.steps]
    if not rows:
        return
    for row in rows:
        yield _written(row.key[0], row.key[1], row.mean, row.variance, row.steps)
    for driver, name in SPREADS.items():
        yield _written(driver, "", getattr(learned, name), 0.0, 1)


def _written(driver: str, technique: str, mean: float, variance: float, steps: int) -> dict[str, Any]:
    given = {"driver": driver, "technique": technique, "mean": mean, "variance": variance, "steps": steps}
    return nouns.LEARNED.write(LearnedRate(**given))


def read_learned(place: str, given: Any) -> Row:
    """Raises Unreadable."""
    row = Row(place, read_row(nouns.LEARNED, place, given))
    driver = row.values["driver"]
    if driver not in (*DRIVERS, *SPREADS, CURVE, "") and driver.removeprefix(SETUP) not in STARTING_SETUP:
        wrong(f"{place}.driver", driver, "what this program counts")
    if not abs(row.values["mean"]) <= MOST_MEAN:
        wrong(f"{place}.mean", given["mean"], f"a logarithm from {-MOST_MEAN} to {MOST_MEAN}")
    if not 0 <= row.values["variance"] <= MOST_VARIANCE:
        wrong(f"{place}.variance", given["variance"], f"a number from 0 to {MOST_VARIANCE}")
    if driver == CURVE and row.values["technique"] not in STARTING_SETUP:
        wrong(f"{place}.technique", row.values["technique"], "a stage that all studios have")
    if driver == CURVE and not 0 < row.values["mean"] <= 1:
        wrong(f"{place}.mean", given["mean"], "what is left of the time at a doubling of repeats, up to 1")
    if driver in SPREADS and row.values["mean"] < 0:
        wrong(f"{place}.mean", given["mean"], "0 or more")
    return row
