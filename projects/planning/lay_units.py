"""In which units strips are ruled: an accepted lay keeps those it was accepted in."""

import re
from collections.abc import Mapping
from typing import Any

from projects.calc.lengths import System
from projects.models import KeptLay

_SAID = re.compile(r"lank for .* (mm|in) strips")
"""What the name of a blank for strips says."""


def ruled_in(kept: KeptLay | None, studio: System) -> System:
    """The units that strips cut from a fabric are ruled in: those of its accepted lay where it has strips,
    so that it stays as it was accepted when the studio changes its units; else the studio's.

    Strips and sides of blanks are whole steps of a ruler, so they differ a little from units to units.
    """
    if kept is None or kept.in_inches is None:
        return studio
    return System.INCH if kept.in_inches else System.METRIC


def said_in_inches(inputs: Mapping[str, Any]) -> bool | None:
    """The same of a lay from a project file, which tells it only by the names of its blanks; None where it
    has none."""
    found = (_SAID.search(panel["name"]) for panel in inputs["panels"])
    return next((said[1] == "in" for said in found if said), None)
