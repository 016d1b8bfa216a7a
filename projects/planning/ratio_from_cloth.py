"""From the cloth owned, for a texture by ratio: how large, how full, or how many, one direction at a time.

As in ``recipe_backwards`` every answer is found by trying panels as they are planned for pieces.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from projects.calc.backwards import BackwardsError
from projects.calc.errors import CalcError
from projects.calc.lengths import Rounding, System, rounded, rounded_up
from projects.calc.ratio import LEAST_RATIO, MOST_RATIO
from projects.calc.ratio_backwards import part_in, unit_of
from projects.calc.ratio_samples import RatioUps
from projects.calc.side import SidePlan

from .recipe_backwards import from_cloth, largest
from .recipe_trial import Trial

HUNDREDTHS: Final = 100
"""Ratios are answered to two decimals, as they are shown."""


@dataclass(frozen=True, slots=True)
class RatioAnswer:
    """What the cloth gives this way. ``find`` is what was asked: "finished", "ratio" or "number". Lengths nm;
    ``left`` is flat cloth over. ``count`` is None where nothing is counted; ``of`` is how many would fill the
    finished size, where the cloth gives fewer."""

    find: str
    finished: int
    left: int
    ratio: Fraction
    count: int | None = None
    of: int = 0


def ratio_from_cloth(
    trial: Trial, name: str, *, flat: int, find: str, finished: int | None, system: System
) -> RatioAnswer:
    """Solve one direction. Raises BackwardsError naming "flat" or "finished" when nothing fits, and saying
    what would."""
    if find == "finished":
        found = from_cloth(trial, name, flat=flat, find=find, finished=None, system=system)
        return _answer(find, trial, name, trial.side(name, found.finished), found.finished, found.left)
    if finished is None:
        raise BackwardsError("finished", "Nothing", "the finished size it should have", "Type it.")
    if finished > flat:
        given, most = (rounded(nm, Rounding.PANEL, system) for nm in (finished, flat))
        expected = f"no more than the {most} of flat cloth"
        raise BackwardsError("finished", given, expected, "Finish it smaller, or take more cloth.")
    if find == "ratio":
        return _ratio(trial, name, flat, finished, system)
    side = trial.side(name, finished)
    recipe = trial.recipe.ratio
    unit = unit_of(recipe, name) if recipe else 0
    if not unit:
        raise BackwardsError("flat", "Nothing", "something that is counted this way", "Ask how large.")
    count, left = part_in(side, unit, flat, system)
    whole = side.textured // unit
    ratio = side.ratio.ratio if side.ratio else Fraction(1)
    return RatioAnswer(find, finished, left, ratio, count, whole if count < whole else 0)


def _ratio(trial: Trial, name: str, flat: int, finished: int, system: System) -> RatioAnswer:
    """The fullest that still fits, where it is drawn up to the size: then how full is a choice."""

    def fits(hundredths: int) -> bool:
        try:
            return _as_full(trial, name, hundredths).side(name, finished).flat <= flat
        except CalcError:
            return False

    most = largest(LEAST_RATIO * HUNDREDTHS, MOST_RATIO * HUNDREDTHS, fits)
    if most is None:
        least = _as_full(trial, name, HUNDREDTHS).side(name, finished).flat
        given, need = rounded(flat, Rounding.PANEL, system), rounded_up(least, Rounding.PANEL, system)
        raise BackwardsError("flat", given, f"at least {need}", "Finish it smaller, or take more cloth.")
    tried = _as_full(trial, name, most)
    side = tried.side(name, finished)
    return _answer("ratio", tried, name, side, finished, flat - side.flat)


def _as_full(trial: Trial, name: str, hundredths: int) -> Trial:
    """The same trial, one direction this many hundredths of its finished size flat."""
    known = trial.shared.ratios
    if known is None:
        raise BackwardsError("flat", "Nothing", "a texture by ratio", "Choose one.")
    ups = {each: known.of(each) for each in ("across", "along")}
    ups[name] = replace(ups[name], ratio=Fraction(hundredths, HUNDREDTHS))
    return replace(trial, shared=replace(trial.shared, ratios=RatioUps(**ups)))


def _answer(find: str, trial: Trial, name: str, side: SidePlan, finished: int, left: int) -> RatioAnswer:
    recipe = trial.recipe.ratio
    unit = unit_of(recipe, name) if recipe else 0
    ratio = side.ratio.ratio if side.ratio else Fraction(1)
    return RatioAnswer(find, finished, left, ratio, side.textured // unit if unit else None)
