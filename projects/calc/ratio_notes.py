"""What deserves a line beside a panel worked by ratio."""

from __future__ import annotations

from fractions import Fraction

from projects.calc.notes import Note
from projects.calc.ratio import ByRatio, starting_ratio
from projects.calc.side import SidePlan
from projects.calc.sizes import Under
from projects.calc.under import lacking


def ratio_notes(
    recipe: ByRatio, across: SidePlan, along: SidePlan, under: tuple[Under, ...] = ()
) -> tuple[Note, ...]:
    """Starting values, whole squares that fall short or run over, and what layers leave out."""
    return (
        *(
            Note("unsampled", text, side.name)
            for side in (across, along)
            for text in _unsampled(recipe, side)
        ),
        *(Note("layers", text) for text in _layers(recipe, under)),
    )


def _unsampled(recipe: ByRatio, side: SidePlan) -> list[str]:
    if side.ratio is None or side.ratio.basis != "none" or not recipe.draws(side.name):
        return []
    if side.ratio.ratio == 1:
        return ["No sample yet: how much it draws the cloth in is taken as nothing, give or take."]
    started = side.ratio.ratio == Fraction(starting_ratio(recipe.technique, side.name))
    rests = "is a starting value" if started else "was typed, not measured"
    return [f"{float(side.ratio.ratio):.4g} times as much flat cloth {rests}: sew a sample."]


def _layers(recipe: ByRatio, under: tuple[Under, ...]) -> list[str]:
    missing = lacking(recipe.technique, under)
    to_choose = " and ".join(role for role in missing if role != "filling")
    found = []
    if to_choose:
        found.append(
            f"No {to_choose.replace(' and ', ' or ')} is chosen, so none is counted in cloth, cost, layers, "
            "thickness or weight. Choose it on the piece."
        )
    if "filling" in missing:
        found.append("Filling isn't counted in thickness or weight; name it among the notions.")
    return found
