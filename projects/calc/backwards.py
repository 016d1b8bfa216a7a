"""From the cloth owned: given its flat extent and all but one of depth, spacing, number and finished size,
solve for that one.

Even tucks of depth d at spacing s take flat = finished + n (2 d + e); n of them need n s <= finished, so
that a repeat goes on. Lengths are whole nm. `recipe_from_cloth` does the same for a recipe of any tucks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.calc.axis import Axis, place, place_in_flat, repeat_flat, repeat_of
from projects.calc.direction import DEEPEST_TUCK, SHALLOWEST, WIDEST_SPACE
from projects.calc.errors import CalcError, millimetres
from projects.calc.folds import Pressing, Tuck, even, take_up_of

UNKNOWNS = ("depth", "spacing", "number", "finished")


class BackwardsError(CalcError):
    """Nothing fits; `remedy` says what would."""


@dataclass(frozen=True, slots=True)
class Solution:
    """All four numbers, which of them was solved for, and the flat cloth left over (nm)."""

    solved: str
    depth: int
    spacing: int
    number: int
    finished: int
    left: int

    @property
    def gap(self) -> int:
        """Visible between the tucks when pressed to one side; negative means they overlap."""
        return self.spacing - self.depth


def solve(
    flat: int,
    *,
    depth: int | None = None,
    spacing: int | None = None,
    number: int | None = None,
    finished: int | None = None,
    extra: int = 0,
    plain: int = 0,
) -> Solution:
    """Solve for the one of the four left out.

    `extra` is e, `plain` what the panel needs besides (allowances, squaring, margin): both come off first.
    Raises BackwardsError naming the field, and saying what would fit, when nothing does.
    """
    given = {"depth": depth, "spacing": spacing, "number": number, "finished": finished}
    missing = [name for name, value in given.items() if value is None]
    if len(missing) != 1:
        raise BackwardsError(
            missing[0] if missing else "finished",
            f"{4 - len(missing)} of the four numbers",
            "three of depth, spacing, number and finished size",
            "Leave exactly one empty.",
        )
    _check(flat, plain, given)
    known = {name: value or 0 for name, value in given.items()}
    solver = {"depth": _depth, "spacing": _spacing, "number": _number, "finished": _finished}[missing[0]]
    found = solver(flat - plain, extra, **known)
    known[missing[0]] = found
    left = flat - plain - known["finished"] - known["number"] * take_up_of(known["depth"], extra)
    return Solution(missing[0], known["depth"], known["spacing"], known["number"], known["finished"], left)


_LEAST = {"depth": SHALLOWEST, "spacing": 1, "number": 1, "finished": 1}
_MOST = {"depth": DEEPEST_TUCK, "spacing": WIDEST_SPACE, "number": 100_000, "finished": 100_000_000_000}


def _check(flat: int, plain: int, given: dict[str, int | None]) -> None:
    if flat <= plain:
        expected = f"more than the {millimetres(plain)} for allowances and margin"
        raise BackwardsError("flat", millimetres(flat), expected, "Take more cloth.")
    for name, value in given.items():
        if value is not None and not _LEAST[name] <= value <= _MOST[name]:
            limits = (_LEAST[name], _MOST[name])
            words = [str(x) if name == "number" else millimetres(x) for x in (value, *limits)]
            raise BackwardsError(name, words[0], f"from {words[1]} to {words[2]}", "Check the unit.")


def _depth(flat: int, extra: int, *, spacing: int, number: int, finished: int, depth: int) -> int:
    _room(number, spacing, finished)
    spare = flat - finished
    found = min((spare // number - even(extra)) // 2, DEEPEST_TUCK)
    if found < SHALLOWEST:
        least = finished + number * take_up_of(SHALLOWEST, extra)
        raise _nothing("depth", flat, least, f"at most {_fewest(spare, extra)} tucks fit")
    return found


def _fewest(spare: int, extra: int) -> int:
    return max(0, spare) // max(1, take_up_of(SHALLOWEST, extra))


def _spacing(flat: int, extra: int, *, depth: int, number: int, finished: int, spacing: int) -> int:
    least = finished + number * take_up_of(depth, extra)
    if least > flat:
        shallower = max(0, ((flat - finished) // number - even(extra)) // 2)
        raise _nothing("spacing", flat, least, f"a depth of {millimetres(shallower)} would just fit")
    return finished // number


def _number(flat: int, extra: int, *, depth: int, spacing: int, finished: int, number: int) -> int:
    take_up = take_up_of(depth, extra)
    by_cloth = (flat - finished) // take_up if take_up else finished // spacing
    found = min(by_cloth, finished // spacing)
    if found >= 1:
        return found
    if finished < spacing:
        remedy = f"Close the spacing to {millimetres(finished)} or less."
        raise BackwardsError("spacing", millimetres(spacing), "a spacing within the finished size", remedy)
    raise _nothing(
        "number", flat, finished + take_up, f"{millimetres(max(0, flat - take_up))} finished would fit"
    )


def _finished(flat: int, extra: int, *, depth: int, spacing: int, number: int, finished: int) -> int:
    found = flat - number * take_up_of(depth, extra)
    if found < number * spacing:
        fitting = flat // (spacing + take_up_of(depth, extra))
        least = number * (spacing + take_up_of(depth, extra))
        raise _nothing("finished", flat, least, f"{fitting} tucks would fit")
    return found


def _room(number: int, spacing: int, finished: int) -> None:
    if number * spacing > finished:
        remedy = f"Close the spacing to {millimetres(finished // number)} or sew {finished // spacing} tucks."
        raise BackwardsError(
            "number",
            f"{number} tucks {millimetres(spacing)} apart",
            f"within {millimetres(finished)}",
            remedy,
        )


def _nothing(field: str, flat: int, least: int, instead: str) -> BackwardsError:
    return BackwardsError(
        field,
        f"{millimetres(flat)} of flat cloth",
        f"at least {millimetres(least)}",
        f"With this cloth {instead}.",
    )


@dataclass(frozen=True, slots=True)
class FromCloth:
    """What a cloth gives in a recipe: the axis, whole repeats in it, and the flat cloth they leave (nm)."""

    axis: Axis
    repeats: int
    left: int


def recipe_from_cloth(
    tucks: Sequence[Tuck],
    *,
    flat: int,
    extra: int = 0,
    plain: int = 0,
    phase: int | None = None,
    pressing: Pressing = Pressing.ON,
) -> FromCloth:
    """How large a panel `flat` gives in this recipe, a tuck that does not fit left out.

    Raises BackwardsError when not one tuck fits.
    """
    _check(flat, plain, {})
    axis = place_in_flat(tucks, flat=flat - plain, extra=extra, phase=phase, pressing=pressing)
    if not axis.count:
        least = repeat_of(tucks) + max(take_up_of(t.depth, extra) for t in tucks)
        raise _nothing("flat", flat, plain + least, "not one tuck of this recipe fits")
    repeats, left = divmod(flat - plain, repeat_flat(tucks, extra))
    return FromCloth(axis, repeats, left)


def scaled_to_cloth(tucks: Sequence[Tuck], *, flat: int, finished: int, extra: int = 0) -> tuple[Tuck, ...]:
    """The recipe with every depth changed by one amount, so that `finished` takes up `flat` or just less.

    "How deep": spaces, number and finished size stay. Raises BackwardsError when a tuck would vanish.
    """
    _check(flat, 0, {"finished": finished})
    axis = place(tucks, length=finished, extra=extra)
    if not axis.count:
        raise BackwardsError(
            "finished",
            millimetres(finished),
            f"at least {millimetres(repeat_of(tucks))}",
            "Finish it larger.",
        )
    change = (flat - axis.flat) // (2 * axis.count)
    shallowest = min(t.depth for t in tucks) + change
    if shallowest < SHALLOWEST:
        least = axis.flat - 2 * axis.count * (min(t.depth for t in tucks) - SHALLOWEST)
        raise _nothing("depth", flat, least, "the shallowest tuck would vanish")
    return tuple(Tuck(t.space, t.depth + change, t.mark) for t in tucks)
