"""In which units strips are ruled: an accepted lay keeps those it was accepted in."""

import re

from projects.calc.lengths import System
from projects.models import KeptLay

_SAID = re.compile(r"lank for .* (mm|in) strips")
"""What the name of a blank for strips says; its units are kept nowhere else."""
_SYSTEMS = {"mm": System.METRIC, "in": System.INCH}


def ruled_in(kept: KeptLay | None, studio: System) -> System:
    """The units that strips cut from a fabric are ruled in: those of its accepted lay where it has a blank
    for strips, so that it stays as it was accepted when the studio changes its units; else the studio's.

    Strips and sides of blanks are whole steps of a ruler, so they differ a little from units to units.
    """
    if kept is None:
        return studio
    found = (_SAID.search(panel["name"]) for panel in kept.inputs["panels"])
    return next((_SYSTEMS[said[1]] for said in found if said), studio)
