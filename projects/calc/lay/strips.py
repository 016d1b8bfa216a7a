"""Strips on the bias as rectangles of a lay: one blank each, or several pieces of what the panels leave.

Both are laid, moved, pinned, cut and kept like any panel, so that nothing else has to know of strips.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

from projects.calc.binding import join_loss
from projects.calc.blanks import Asked, Blank
from projects.calc.lay.bias import Chosen, Planner, Wanted, cloth_taken, with_blanks
from projects.calc.lay.planner import plan_lay
from projects.calc.lay.request import LayError, LayPanel, LayRequest

Laid = tuple[tuple[Blank, ...], ...]
"""What each `Wanted` is cut from, in their order: one blank, or several pieces."""


@lru_cache(maxsize=64)
def strips_laid(request: LayRequest, wanted: tuple[Wanted, ...], plan: Planner = plan_lay) -> Laid:
    """What strips are cut from: blanks, or pieces of what is left where the lay with them takes less cloth.

    Pieces are trimmed to what is needed of them. Raises BindingError and LayError as `with_blanks` does.
    """
    found = with_blanks(request, wanted, plan=plan)
    if not any(one.pieces for one in found.chosen):
        return _in_order(found.chosen, wanted)
    pieces = _in_order(found.chosen, wanted)
    takes = _takes(request, wanted, pieces, plan)
    try:
        whole = with_blanks(request, wanted, odd_pieces=False, plan=plan)
    except LayError:
        if takes is None:
            raise
        return pieces
    if takes is not None and takes < cloth_taken(whole.request, whole.lay):
        return pieces
    return _in_order(whole.chosen, wanted)


def panels_of(name: str, blanks: Sequence[Blank]) -> tuple[LayPanel, ...]:
    """The rectangles as they are laid: strips at 45 degrees run alike both ways, so that each may turn."""
    if len(blanks) == 1:
        return (LayPanel(name, blanks[0].width, blanks[0].length, may_turn=True),)
    return tuple(
        LayPanel(piece_name(name, number), blank.width, blank.length, may_turn=True)
        for number, blank in enumerate(blanks, 1)
    )


def piece_name(name: str, number: int) -> str:
    """What one of several pieces is called, where a blank would be called ``name``. The number comes first,
    for drawings have little room for names."""
    return f"Piece {number}, {name[:1].lower()}{name[1:]}"


def joined(asked: Asked, blanks: Iterable[Blank]) -> int:
    """All strips of these joined to one, less what the joins take (nm)."""
    lengths = [length for blank in blanks for length in blank.strips.lengths]
    return max(0, sum(lengths) - join_loss(asked.allowance, max(0, len(lengths) - 1)))


def _takes(
    request: LayRequest, wanted: Sequence[Wanted], laid: Laid, plan: Planner
) -> tuple[int, int] | None:
    """What the lay takes with these rectangles among its panels; None where they can't be laid."""
    rows = [panel for one, blanks in zip(wanted, laid, strict=True) for panel in panels_of(one.name, blanks)]
    asked = replace(request, panels=(*request.panels, *rows))
    try:
        return cloth_taken(asked, plan(asked))
    except LayError:
        return None


def _in_order(chosen: Sequence[Chosen], wanted: Sequence[Wanted]) -> Laid:
    by_name = {one.wanted.name: one for one in chosen}
    return tuple(_rectangles(by_name[one.name]) for one in wanted)


def _rectangles(one: Chosen) -> tuple[Blank, ...]:
    """The blank; or the pieces, their sides whole steps where that is enough, the last one trimmed."""
    if one.blank is not None:
        return (one.blank,)
    asked = one.wanted.asked
    exact = [Blank(p.remnant.width, p.remnant.length, p.strips) for p in one.pieces]
    whole = [_stepped(asked, blank) for blank in exact]
    rounded = [blank for blank in whole if blank is not None]
    if len(rounded) < len(exact) or joined(asked, rounded) < asked.need:
        return tuple(exact)
    *others, last = rounded
    return (*others, _trimmed(asked, others, last))


def _stepped(asked: Asked, blank: Blank) -> Blank | None:
    width, length = (side // asked.step * asked.step for side in (blank.width, blank.length))
    return Blank(width, length, asked.cut(width, length)) if min(width, length) > 0 else None


def _trimmed(asked: Asked, others: Sequence[Blank], last: Blank) -> Blank:
    """As little of the last piece as serves, cut short at one of its sides."""

    def narrow(steps: int) -> Blank:
        side = steps * asked.step
        return Blank(side, last.length, asked.cut(side, last.length))

    def short(steps: int) -> Blank:
        side = steps * asked.step
        return Blank(last.width, side, asked.cut(last.width, side))

    def least(most: int, made: Callable[[int], Blank]) -> Blank:
        # What a piece gives never falls as it grows.
        low = 1
        while low < most:
            middle = (low + most) // 2
            if joined(asked, (*others, made(middle))) >= asked.need:
                most = middle
            else:
                low = middle + 1
        return made(most)

    tried = (least(last.length // asked.step, short), least(last.width // asked.step, narrow))
    return min(tried, key=lambda blank: blank.width * blank.length)
