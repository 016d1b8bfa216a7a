"""Cap ease: how much longer a sleeve's cap seam is than its armhole, and between which notches it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.calc.errors import CalcError


class EaseError(CalcError):
    """Seams whose sections can't be matched."""


@dataclass(frozen=True, slots=True)
class CapEase:
    """`ease` in all (nm; below 0 the cap is too short) and `sections`, one for each pair of notches."""

    ease: int
    sections: tuple[int, ...]


def cap_ease(cap: Sequence[int], armhole: Sequence[int]) -> CapEase:
    """Cap seam less armhole seam, each given section by section from notch to notch (nm), in the same order.

    Raises EaseError where the notches do not match. Source: arithmetic.
    """
    if len(cap) != len(armhole) or not cap:
        raise EaseError(
            "cap", f"{len(cap)} sections", f"as many as the armhole has, {len(armhole)}", "Count the notches."
        )
    for name, seam in (("cap", cap), ("armhole", armhole)):
        if min(seam) <= 0:
            raise EaseError(name, min(seam), "sections above 0", "Measure from notch to notch.")
    sections = tuple(there - here for there, here in zip(cap, armhole, strict=True))
    return CapEase(sum(sections), sections)
