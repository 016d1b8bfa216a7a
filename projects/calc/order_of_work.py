"""In what order the tucks of one direction are sewn: as stretches, each begun at one of its ends."""

from __future__ import annotations

from typing import NamedTuple

from projects.calc.checks import runs_of
from projects.calc.columns import Axis


class Stretch(NamedTuple):
    """Tucks sewn one after the other: their places (from 0, counted from the first edge) in the order of
    sewing, and whether they are measured from the far edge."""

    places: tuple[int, ...]
    from_far: bool


def stretches(axis: Axis) -> tuple[Stretch, ...]:
    """The stretches of a direction, in the order they are sewn; all of them together hold each tuck once."""
    return tuple(
        Stretch(tuple(range(high - 1, low - 1, -1) if far else range(low, high)), far)
        for low, high, far in runs_of(axis)
        if high > low
    )


def sewing_sequence(axis: Axis) -> tuple[int, ...]:
    """Every tuck's place in the order of sewing."""
    return tuple(place for stretch in stretches(axis) for place in stretch.places)
