"""A project planned with the settings that came with its file, laid over the studio's own.

``Project.own_settings`` holds ``format`` 1, whether they are ``used``, the date they ``came``, ``settings``
and ``rates``: lengths in nm under the names of ``Workroom``, minutes by driver as decimals in text;
``learned`` what its studio's logs taught, as rows of ``LearnedRate``; ``templates`` the steps that its studio
gives projects (``own_templates.KEPT``); ``hands`` how far tucks stray by each person on each cloth
(``hands.came_with``). Those that came with older files lack the last ones. No other project is planned by it.
"""

import copy
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, NamedTuple

from projects.models import LearnedRate, Project, Workroom

from .learned_rates import Rates, curves_of, read_learned

FORMAT = 1
NAMES = (
    "units",
    "buy_step",
    "squaring",
    "seam_allowance",
    "hem_allowance",
    "border",
    "needle_lift",
    "depth_spread",
    "check_every",
    "buy_swatch",
    "bias_join",
    "bias_least",
    "spool",
)
"""The settings that the numbers of a plan rest on."""


class Basis(NamedTuple):
    """What one project is planned with: the studio's row, or a copy of it that is never saved, and minutes
    by driver where they are not the starting values."""

    workroom: Workroom
    rates: Rates


def basis_of(project: Project, workroom: Workroom, rates: Rates) -> Basis:
    """The studio's settings and rates, or those of the project's own file where it is planned with them: what
    this studio's logs taught moves those of a file not at all."""
    own = project.own_settings
    if not uses_own(project) or own is None:
        return Basis(workroom, rates)
    laid = copy.copy(workroom)
    for name, value in _known(own["settings"]).items():
        setattr(laid, name, value)
    rates = {driver: Decimal(minutes) for driver, minutes in own["rates"].items()}
    rows = [LearnedRate(**row) for row in own.get("learned", ())]
    return Basis(laid, Rates(rates, read_learned(rows), curves=curves_of(rows)))


def uses_own(project: Project) -> bool:
    """Whether a project is planned with settings of its own."""
    own = project.own_settings
    return bool(own and own.get("format") == FORMAT and own.get("used"))


def hands_of(project: Project) -> list[dict[str, Any]]:
    """How far tucks stray where its file comes from, a dict a person, technique and cloth."""
    return list((project.own_settings or {}).get("hands", ()))


def _known(settings: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in settings.items() if name in NAMES}
