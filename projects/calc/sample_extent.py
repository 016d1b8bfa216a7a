"""What samples of every technique share: how many units at least, the cloth round them, and one direction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from projects.calc.units import NM_PER_MM

LEAST_TUCKS: Final = 12
LEAST_REPEATS: Final = 2
EDGE: Final = 25 * NM_PER_MM  # plain cloth on every side, outside the points measured
PLAIN: Final = 200 * NM_PER_MM  # how far seams run where a direction has no tucks; a starting value


@dataclass(frozen=True, slots=True)
class SampleExtent:
    """One direction of the sample: cloth to cut, the flat part to measure, what it should become; all nm.

    `cut` is `flat` and a plain edge at both ends. `tucks` counts tucks, pleats, dots, rows, squares or lines;
    where nothing is counted it is 0.
    """

    cut: int
    flat: int
    finished: int
    repeats: int
    tucks: int
