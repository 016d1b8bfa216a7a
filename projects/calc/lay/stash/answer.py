"""From what lies on each bin to a Lay, and the words where the panels can't all be laid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from projects.calc.lay.request import Lay, LayError, LayRequest, Placement, Used
from projects.calc.lay.stash.aims import Laid, Problem
from projects.calc.lay.stash.bins import Bin, Counts, Spot, area, less
from projects.calc.lay.stash.fill import fill, order_of
from projects.calc.lay.stash.greedy import share_out, ways_for
from projects.calc.lay.stash.groups import Group
from projects.calc.lengths import Rounding, rounded


def lay_of(problem: Problem, laid: Laid, bound: int, certain: bool) -> Lay:
    """The answer. `bound`: what must be bought; `certain`: that no use of the stash meets the aims better."""
    bins = [*problem.lengths, *([problem.roll] if problem.roll else [])]
    used = [(bin_, bin_.used(laid.get(bin_, ()))) for bin_ in bins]
    bought = sum(length for bin_, length in used if bin_.is_roll)
    taken = sum(bin_.width * length for bin_, length in used)
    cut = sum(p.width * p.length * p.count for p in problem.request.panels)
    waste = 1 - Fraction(cut, taken) if taken else Fraction(0)
    share = (Decimal(waste.numerator) / Decimal(waste.denominator)).quantize(Decimal("0.0001"))
    lengths = tuple(Used(bin_.name, length) for bin_, length in used if length and not bin_.is_roll)
    placements = tuple(_placements(problem, bins, laid))
    return Lay(bought, placements, min(bound, bought), share, certain and bound >= bought, lengths)


def _placements(problem: Problem, bins: Sequence[Bin], laid: Laid) -> list[Placement]:
    copies = [list(kind.copies) for kind in problem.kinds]
    found = []
    for bin_ in bins:
        free = [(spot, 0) for spot in sorted(laid.get(bin_, ()), key=lambda s: (s[2], s[1]))]
        here = [*((spot, copy or copies[spot[0]].pop(0)) for spot, copy in (*free, *bin_.pinned))]
        placed = [_placement(problem, bin_, spot, copy) for spot, copy in here]
        found += sorted(placed, key=lambda p: (p.y, p.x))
    return found


def _placement(problem: Problem, bin_: Bin, spot: Spot, copy: int) -> Placement:
    kind, x, y, wide, long = spot
    panel = problem.kinds[kind].panel
    size = (wide - bin_.gap, long - bin_.gap)
    return Placement(panel.name, x, y, *size, size != (panel.width, panel.length), copy, bin_.name)


def empty(request: LayRequest) -> Lay:
    """No panels need no cloth."""
    return Lay(0, (), 0, Decimal(0), True)


def does_not_serve(problem: Problem, groups: Sequence[Group]) -> LayError:
    """What is missing, which panel does not fit, and what would."""
    bins = [bin_ for group in groups for bin_ in group]
    if not bins:
        return _held_apart(problem)
    for kind in problem.kinds:
        if not any(bin_.holds(kind) for bin_ in bins):
            return _too_large(problem, kind.panel.name, bins)
    left = min((_left_over(problem, group) for group in groups), key=lambda left: area(left, problem.kinds))
    first = next((at for at, n in enumerate(left) if n), 0)
    panel = problem.kinds[first].panel
    widest = max(bin_.width for bin_ in bins)
    most = _further(problem, left, widest)
    missing, wide = _say(most, problem), _say(widest, problem)
    lots = problem.request.one_dye_lot and len(problem.lengths) > 1
    return LayError(
        f"{sum(left)} of {sum(problem.counts)} panels find no place on the stash, {panel.name} among them: "
        f"{missing} of cloth {wide} wide are missing.",
        panel=panel.name,
        given=f"{_say(panel.width, problem)} by {_say(panel.length, problem)}",
        expected=f"a further length of {missing}, {wide} wide",
        remedy=f"Buy a length of {missing}, {wide} wide"
        + (", or let lengths of several dye lots be used." if lots else ", or lay some panels elsewhere."),
    )


def _left_over(problem: Problem, group: Group) -> Counts:
    """The least that finds no place, of the quick ways to fill."""
    found = []
    for way in ways_for(problem):
        order = order_of(problem.counts, problem.kinds, way.by)
        found.append(share_out(problem, group, order, way.taste)[1])
    return min(found, key=lambda left: area(left, problem.kinds))


def _further(problem: Problem, left: Counts, width: int) -> int:
    """How long a further length of that width holds what is left, the lost end in it."""
    request = problem.request
    fitting = [
        n if min(w for w, _ in k.ways) <= width + request.gap else 0
        for n, k in zip(left, problem.kinds, strict=True)
    ]
    end = request.end_loss + sum(
        n * max(max(way) for way in k.ways) for n, k in zip(left, problem.kinds, strict=True)
    )
    bin_ = Bin("", width + request.gap, request.end_loss, end + request.gap, request.gap, is_roll=True)
    tries = []
    for way in ways_for(problem):
        spots = fill(
            bin_,
            order_of(tuple(fitting), problem.kinds, way.by),
            problem.kinds,
            replace(way.taste, snug=False),
        )
        tries.append((sum(less(tuple(fitting), spots)), bin_.used(spots)))
    return min(tries)[1]


def _too_large(problem: Problem, name: str, bins: Sequence[Bin]) -> LayError:
    panel = next(kind.panel for kind in problem.kinds if kind.panel.name == name)
    widest, longest = max(b.width for b in bins), max(b.length - b.start for b in bins)
    size = f"{_say(panel.width, problem)} by {_say(panel.length, problem)}"
    most = f"{_say(widest, problem)} wide and {_say(longest, problem)} long"
    turned = any(panel.length <= b.width and panel.width <= b.length - b.start for b in bins)
    wide, long = _say(panel.width, problem), _say(panel.length, problem)
    remedy = f"It needs a length at least {wide} wide and {long} long."
    if turned and not problem.request.one_way:
        remedy += " Turned it would fit, if its grain may lie across."
    return LayError(
        f"{name} is {size} and fits no length; there is cloth up to {most}.",
        panel=name,
        given=size,
        expected=f"at most {most}",
        remedy=remedy,
    )


def _held_apart(problem: Problem) -> LayError:
    pins = problem.request.pins
    if not pins:
        return LayError(
            "There is no cloth to lay on.",
            panel="",
            given="no lengths and no roll",
            expected="a length, or the width of a roll",
            remedy="Give a length of the stash, or the width of cloth to buy.",
        )
    return LayError(
        "Panels are held on lengths that are not of one dye lot.",
        panel=pins[0].name,
        given=", ".join(sorted({pin.on or "the roll" for pin in pins})),
        expected="lengths of one dye lot",
        remedy="Hold them on lengths of one dye lot, or let several be used.",
    )


def _say(nm: int, problem: Problem) -> str:
    return rounded(nm, Rounding.PANEL, problem.request.system)
