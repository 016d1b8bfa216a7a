"""Strips on the bias from the cloth that is laid: blanks among the panels, or what the lay leaves over.

What a blank or a remnant gives is its honest yield (`projects.calc.binding`), strip by strip. Whichever takes
less cloth is chosen: less from the roll, then less of the lengths in the stash; of equals the one with fewer
joins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import isqrt
from typing import Final

from projects.calc.binding import BindingError, Strips, join_loss
from projects.calc.blanks import Asked, Blank, bias_blank, size
from projects.calc.lay.cuts import Remnant, remnants_of
from projects.calc.lay.planner import plan_lay
from projects.calc.lay.request import Lay, LayError, LayPanel, LayRequest

MOST_WIDTHS: Final = 5
"""Widths of cloth tried for a blank; each is a search and a lay of its own."""
FEW_WIDTHS, MANY = 2, 12
"""The same for lengths of the stash and more than ``MANY`` panels, whose lays take longer."""
Planner = Callable[[LayRequest], Lay]
"""What lays a request quickly: ``plan_lay``, or what remembers its answers."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Strips on the bias: what their blank is called among the panels, and what they must give."""

    name: str
    asked: Asked


@dataclass(frozen=True, slots=True)
class Piece:
    """A remnant that strips are cut from, and what it gives."""

    remnant: Remnant
    strips: Strips


@dataclass(frozen=True, slots=True)
class Chosen:
    """Where the strips of one `Wanted` come from: a blank among the panels, or pieces that are left over.

    `gives` is all of them joined to one (nm), less what the joins take; `joins` how many there are.
    """

    wanted: Wanted
    blank: Blank | None
    pieces: tuple[Piece, ...]
    gives: int
    joins: int


@dataclass(frozen=True, slots=True)
class WithBlanks:
    """The request with the blanks chosen among its panels, its quick lay, and where each strip comes from."""

    request: LayRequest
    lay: Lay
    chosen: tuple[Chosen, ...]


def with_blanks(
    request: LayRequest, wanted: Sequence[Wanted], *, odd_pieces: bool = True, plan: Planner = plan_lay
) -> WithBlanks:
    """Choose a blank or what is left over for every `Wanted`, whichever takes less cloth.

    Blanks are the smallest rectangles for several widths, and the smallest square; each may turn, for strips
    at 45 degrees run alike both ways. First all are given blanks, the one that needs most cloth first. Then
    blanks are left out again where the lay without them leaves enough, and takes less. The rest of a length
    that isn't begun is not left over. Without ``odd_pieces`` all are blanks. Raises BindingError where a
    cloth is too narrow for the strips, and LayError like `plan_lay`.
    """
    names = [panel.name for panel in request.panels] + [one.name for one in wanted]
    for name in names:
        if names.count(name) > 1 and any(one.name == name for one in wanted):
            raise _name_taken(name)
    ordered = sorted(wanted, key=lambda one: -one.asked.need * one.asked.strip)
    lay = plan(request) if request.panels else None
    blanks: dict[str, Blank] = {}
    over: list[Wanted] = []
    for one in ordered:
        found = _best_blank(_with(request, blanks), one, lay, plan)
        if found is None:
            over.append(one)
        else:
            blanks[one.name], lay = found
    if not odd_pieces:
        if over:
            raise _nothing_serves(over[0], request)
        return _all_blanks(request, ordered, blanks, plan)
    return _without_some(request, ordered, blanks, over, plan)


def cloth_taken(request: LayRequest, lay: Lay) -> tuple[int, int]:
    """What a lay takes: length of the roll, and area of the lengths in the stash."""
    widths = {length.name: length.width for length in request.lengths}
    return lay.length, sum(widths[used.name] * used.length for used in lay.used)


def square_blank(asked: Asked, cloth: int) -> Blank | None:
    """The smallest square that gives enough, its side a whole step; None where it is wider than the cloth."""
    low, high = 1, cloth // asked.step
    if high < 1 or asked.cut(high * asked.step, high * asked.step).gives < asked.need:
        return None
    while low < high:
        middle = (low + high) // 2
        if asked.cut(middle * asked.step, middle * asked.step).gives >= asked.need:
            high = middle
        else:
            low = middle + 1
    side = high * asked.step
    return Blank(side, side, asked.cut(side, side))


def left_over(request: LayRequest, lay: Lay, asked: Asked) -> list[Remnant]:
    """What a lay leaves between and beside its panels, large enough for a strip worth keeping."""
    least = max(isqrt(max(asked.least, join_loss(asked.allowance)) ** 2 // 2), asked.strip, 1)
    ends: dict[str, int] = {}
    for placed in lay.placements:
        ends[placed.on] = max(ends.get(placed.on, 0), placed.y + placed.length)
    found = remnants_of(lay, replace(request, smallest_remnant=least))
    return [r for r in found if r.y + r.length <= ends.get(r.on, 0)]


def _without_some(
    request: LayRequest,
    wanted: Sequence[Wanted],
    blanks: dict[str, Blank],
    over: Sequence[Wanted],
    plan: Planner,
) -> WithBlanks:
    """Leave out one blank after the other where what is left over serves instead and less cloth is taken."""
    best = _served(request, wanted, blanks, plan)
    if over and best is None:
        # What no blank serves must come from what is left: its failure is the cloth's.
        raise _nothing_serves(over[0], request)
    for one in wanted:
        if one.name not in blanks or not request.panels:
            continue
        fewer = {name: blank for name, blank in blanks.items() if name != one.name}
        found = _served(request, wanted, fewer, plan)
        if found is not None and (best is None or _cost(found) < _cost(best)):
            best, blanks = found, fewer
    assert best is not None  # with a blank for each, nothing is asked of what is left
    return best


def _cost(found: WithBlanks) -> tuple[int, int, int]:
    return *cloth_taken(found.request, found.lay), sum(one.joins for one in found.chosen)


def _all_blanks(
    request: LayRequest, wanted: Sequence[Wanted], blanks: dict[str, Blank], plan: Planner
) -> WithBlanks:
    found = _served(request, wanted, blanks, plan)
    assert found is not None  # with a blank for each, nothing is asked of what is left
    return found


def _served(
    request: LayRequest, wanted: Sequence[Wanted], blanks: dict[str, Blank], plan: Planner
) -> WithBlanks | None:
    """The lay with these blanks, all other strips cut from what it leaves; None where that isn't enough."""
    asked = _with(request, blanks)
    try:
        lay = plan(asked)
    except LayError:
        if len(blanks) == len(wanted):
            raise
        return None
    chosen, spoken_for = [], set[Remnant]()
    for one in wanted:
        if (blank := blanks.get(one.name)) is not None:
            strips = blank.strips
            chosen.append(Chosen(one, blank, (), strips.gives, max(0, len(strips.lengths) - 1)))
            continue
        pieces = [r for r in left_over(asked, lay, one.asked) if r not in spoken_for]
        found = _from_pieces(one, pieces)
        if found is None:
            return None
        spoken_for |= {piece.remnant for piece in found.pieces}
        chosen.append(found)
    return WithBlanks(asked, lay, tuple(chosen))


def _from_pieces(one: Wanted, remnants: Sequence[Remnant]) -> Chosen | None:
    """The smallest piece that gives enough by itself, else those that give most until it is enough."""
    pieces = [Piece(r, strips) for r in remnants if (strips := _cut(one.asked, r)) is not None]
    enough = [piece for piece in pieces if piece.strips.gives >= one.asked.need]
    if enough:
        least = min(enough, key=lambda piece: piece.remnant.width * piece.remnant.length)
        return _chosen(one, (least,))
    pieces.sort(key=lambda piece: -piece.strips.gives)
    for count in range(2, len(pieces) + 1):
        found = _chosen(one, tuple(pieces[:count]))
        if found.gives >= one.asked.need:
            return found
    return None


def _chosen(one: Wanted, pieces: tuple[Piece, ...]) -> Chosen:
    lengths = [length for piece in pieces for length in piece.strips.lengths]
    joins = max(0, len(lengths) - 1)
    return Chosen(one, None, pieces, max(0, sum(lengths) - join_loss(one.asked.allowance, joins)), joins)


def _cut(asked: Asked, remnant: Remnant) -> Strips | None:
    try:
        strips = asked.cut(remnant.width, remnant.length)
    except BindingError:
        return None
    return strips if strips.gives > 0 else None


def _best_blank(
    request: LayRequest, one: Wanted, lay: Lay | None, plan: Planner
) -> tuple[Blank, Lay] | None:
    """The blank with which the lay takes the least cloth; None where no blank can be cut or laid."""
    best: tuple[tuple[int, int, int], Blank, Lay] | None = None
    for blank in _blanks(request, one.asked, lay):
        asked = _with(request, {one.name: blank})
        try:
            found = plan(asked)
        except LayError:
            continue
        cost = (*cloth_taken(asked, found), size(one.asked, blank)[0])
        if best is None or cost < best[0]:
            best = cost, blank, found
    return best[1:] if best is not None else None


def _blanks(request: LayRequest, asked: Asked, lay: Lay | None) -> Iterator[Blank]:
    """Different blanks: for the widths of the cloth, for what the panels leave beside them, and a square."""
    whole = [request.width, *(length.width for length in request.lengths)]
    beside = [r.width for r in left_over(request, lay, asked)] if lay is not None else []
    widths = dict.fromkeys((max(whole), *beside, *whole, max(whole) // 2))
    tried: set[tuple[int, int]] = set()
    problem: BindingError | None = None
    few = bool(request.lengths) and len(request.panels) > MANY
    for width in list(widths)[: FEW_WIDTHS if few else MOST_WIDTHS]:
        try:
            blank = bias_blank(asked, width)
        except BindingError as error:
            problem = error
            continue
        if (blank.width, blank.length) not in tried:
            tried.add((blank.width, blank.length))
            yield blank
    if not tried and problem is not None:
        raise problem
    square = square_blank(asked, max(whole)) if not few else None
    if square is not None and (square.width, square.length) not in tried:
        yield square


def _with(request: LayRequest, blanks: dict[str, Blank]) -> LayRequest:
    panels = tuple(LayPanel(name, b.width, b.length, may_turn=True) for name, b in blanks.items())
    return replace(request, panels=(*request.panels, *panels))


def _name_taken(name: str) -> LayError:
    return LayError(
        f"Strips and a panel are both called {name}.",
        panel=name,
        given=name,
        expected="a name of its own for each",
        remedy="Call the strips something else.",
    )


def _nothing_serves(one: Wanted, request: LayRequest) -> LayError:
    return LayError(
        f"No blank for {one.name} fits the cloth, and the panels leave too little beside them.",
        panel=one.name,
        given=f"{len(request.lengths)} lengths" if request.lengths else "the cloth",
        expected="cloth for a blank",
        remedy="Buy cloth for it, use a further length, or cut the strips from another fabric.",
    )
