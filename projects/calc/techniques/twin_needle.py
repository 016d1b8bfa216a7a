"""Twin-needle tucks: a ridge between two rows sewn at once. Placed and measured as corded tucks are."""

from __future__ import annotations

from projects.calc.direction import Direction
from projects.calc.techniques.corded import place_corded, starting_take_up
from projects.calc.techniques.technique import Technique


def sew_note(direction: Direction) -> str:
    if direction.cord:
        return "Sew along the fold line with the twin needle, the cord led under it."
    return "Sew along the fold line with the twin needle, upper thread a little tighter; sew a sample first."


TWIN_NEEDLE = Technique(
    "twin_needle", "Twin-needle tucks", "tuck", True, place_corded, starting_take_up, sew_note
)
