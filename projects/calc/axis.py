"""One direction of a tucked or pleated panel: where seams lie, what they swallow, what they cover.

Every length is whole nanometres. A panel's first edge (top, or left on the face) is finished 0 and
flat 0. A tuck with its seam at finished x swallows q of flat cloth, lying flat between a = x + (all q
before it) and b = a + q; its fold is at a + q/2 and its stitch lines at the fold +/- its depth.

The columns of an `Axis` are tuples of equal length: thousands of tucks are planned at once and only a
few are ever listed, so a `Fold` is made when somebody asks for it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate
from operator import add
from typing import TypeVar

from projects.calc.columns import Axis
from projects.calc.errors import CalcError, millimetres
from projects.calc.folds import Fold, Pressing, Tuck, even, take_up_of
from projects.calc.gaps import (
    NARROWEST_GAP,
    GapNote,
    gap_notes,
    visible_gaps,
    widest_gap_phase,
)

__all__ = [
    "NARROWEST_GAP",
    "Axis",
    "AxisError",
    "Fold",
    "GapNote",
    "Pressing",
    "Tuck",
    "count_within",
    "even",
    "gap_notes",
    "place",
    "place_at",
    "place_in_flat",
    "repeat_flat",
    "repeat_of",
    "take_up_of",
    "visible_gaps",
    "widest_gap_phase",
]


class AxisError(CalcError):
    """Numbers that no strip of cloth can be folded by."""


def repeat_of(tucks: Sequence[Tuck]) -> int:
    """R: finished length of one repeat."""
    return sum(t.space for t in tucks)


def repeat_flat(tucks: Sequence[Tuck], extra: int = 0) -> int:
    """Flat cloth one repeat takes, the same at every phase."""
    return repeat_of(tucks) + sum(take_up_of(t.depth, extra) for t in tucks)


def place(
    tucks: Sequence[Tuck],
    *,
    length: int,
    extra: int = 0,
    phase: int | None = None,
    pressing: Pressing = Pressing.ON,
    turns_at_centre: bool = False,
    centre: int | None = None,
    reach: int | None = None,
    tightest: int | None = None,
) -> Axis:
    """Repeat `tucks` over a finished `length`: seams at c(i) + k R - phase with 0 < x <= length.

    `extra` is e, what the cloth adds to every tuck (may be negative). `phase` None means the middle of
    the widest visible gap. With `turns_at_centre` tucks beyond `centre` (None: the middle of the
    length) are pressed the other way and one on the line is opened. `reach` replaces the depth as the
    width covered, `tightest` is the smallest visible gap of the repeat where it is known. Raises AxisError
    for a length or a space that is not above 0.
    """
    _check(tucks, length)
    repeat = repeat_of(tucks)
    if phase is None:
        phase = widest_gap_phase(tucks, pressing, reach)
    phase %= repeat
    lines = tuple(accumulate(t.space for t in tucks))
    every = [c + base for base in range(-phase, length + 1, repeat) for c in lines]
    low, high = bisect_right(every, 0), bisect_right(every, length)
    seams = tuple(every[low:high])
    depths = _tiled([t.depth for t in tucks], low, high)
    return Axis(
        length=length,
        seams=seams,
        depths=depths,
        take_ups=_tiled([take_up_of(t.depth, extra) for t in tucks], low, high),
        marks=_tiled([t.mark for t in tucks], low, high),
        pressings=_pressings(seams, pressing, _centre(length, centre) if turns_at_centre else None),
        reaches=depths if reach is None else (reach,) * len(seams),
        numbers=tuple(range(1, len(seams) + 1)),
        placed=len(seams),
        repeat=repeat,
        phase=phase,
        tightest=None if turns_at_centre or len(seams) <= len(tucks) else tightest,
    )


def _check(tucks: Sequence[Tuck], length: int) -> None:
    if length <= 0:
        raise AxisError("length", millimetres(length), "a length above 0", "Give a finished size.")
    if not tucks:
        raise AxisError("tucks", "No tuck", "at least one tuck", "Add a tuck.")
    for number, tuck in enumerate(tucks):
        if tuck.space <= 0:
            raise AxisError(
                f"tucks.{number}.space", millimetres(tuck.space), "a space above 0", "Widen the space."
            )


T = TypeVar("T")


def _tiled(column: list[T], low: int, high: int) -> tuple[T, ...]:
    """`column` repeated endlessly, from index `low` up to `high`."""
    return tuple((column * (high // len(column) + 1))[low:high])


def _centre(length: int, centre: int | None) -> int:
    return length // 2 if centre is None else centre


def _pressings(seams: Sequence[int], pressing: Pressing, centre: int | None) -> tuple[Pressing, ...]:
    if centre is None or pressing.turned is pressing:
        return (pressing,) * len(seams)
    before = bisect_right(seams, centre - 1)
    after = bisect_right(seams, centre)
    return (
        (pressing,) * before
        + (Pressing.OPENED,) * (after - before)
        + (pressing.turned,) * (len(seams) - after)
    )


def place_at(
    seams: Sequence[int],
    depths: Sequence[int],
    take_ups: Sequence[int],
    marks: Sequence[str],
    *,
    length: int,
    pressings: Pressing | Sequence[Pressing] = Pressing.ON,
    reaches: Sequence[int] | None = None,
) -> Axis:
    """An axis from seams already known, 0 <= x <= length in rising order (pleats may share a seam)."""
    if any(later < earlier for earlier, later in zip(seams, seams[1:], strict=False)):
        raise AxisError("seams", "Seams out of order", "seams from the first edge on", "Sort the seams.")
    if seams and (seams[0] < 0 or seams[-1] > length):
        raise AxisError(
            "seams",
            f"A seam at {millimetres(seams[0] if seams[0] < 0 else seams[-1])}",
            f"seams within {millimetres(length)}",
            "Make the panel longer or the texture shorter.",
        )
    several = (pressings,) * len(seams) if isinstance(pressings, Pressing) else tuple(pressings)
    return Axis(
        length=length,
        seams=tuple(seams),
        depths=tuple(depths),
        take_ups=tuple(take_ups),
        marks=tuple(marks),
        pressings=several,
        reaches=tuple(depths if reaches is None else reaches),
        numbers=tuple(range(1, len(seams) + 1)),
        placed=len(seams),
    )


def place_in_flat(
    tucks: Sequence[Tuck],
    *,
    flat: int,
    extra: int = 0,
    phase: int | None = None,
    pressing: Pressing = Pressing.ON,
) -> Axis:
    """The axis a cut panel of `flat` cloth gives: a tuck whose [a, b] does not fit is left out."""
    whole = place(tucks, length=flat, extra=extra, phase=phase, pressing=pressing)
    ends = tuple(map(add, whole.starts, whole.take_ups))
    fitting = bisect_right(ends, flat)
    cut = whole.without(range(fitting, whole.count))
    return replace(cut, length=flat - cut.take_up, placed=fitting)


def count_within(tucks: Sequence[Tuck], length: int, phase: int) -> int:
    """Seams in (0, length] at this phase, without placing them."""
    lines = tuple(accumulate(t.space for t in tucks))
    return _lines_up_to(lines, length + phase) - _lines_up_to(lines, phase)


def _lines_up_to(lines: tuple[int, ...], coordinate: int) -> int:
    repeats, rest = divmod(coordinate, lines[-1])
    return repeats * len(lines) + bisect_right(lines, rest)
