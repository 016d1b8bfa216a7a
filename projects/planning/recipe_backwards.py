"""From the cloth owned: how large, how deep, how far apart or how many, for one direction of a recipe.

Every answer is found by trying panels as they are planned for pieces, the largest (or closest, or deepest)
that still fits, in steps a tape or a guide can show: what is answered, typed as a finished size, fits.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace

from projects.calc.backwards import BackwardsError
from projects.calc.direction import DEEPEST_PLEAT, DEEPEST_TUCK, SHALLOWEST, WIDEST_SPACE, Direction
from projects.calc.errors import CalcError
from projects.calc.folds import Tuck
from projects.calc.lengths import Rounding, System, ceil_div, rounded
from projects.calc.panels import SidePlan

from .recipe_trial import MM, Trial
from .recipe_work import folds_each, repeat_of, starting_take_up

FINE = {System.METRIC: 100_000, System.INCH: 396_875}
"""Steps depths and spaces are answered in: 0.1 mm, 1/64 in."""
COARSE = {System.METRIC: MM, System.INCH: 1_587_500}
"""Steps finished sizes are answered in: 1 mm, 1/16 in."""
MOST_PLEATS = 2_000
THOUSAND, WIDEST = 1_000, 20_000


@dataclass(frozen=True, slots=True)
class Answer:
    """What the cloth gives this way. Lengths nm; `left` is flat cloth over.

    `find` is what was asked: "finished", "depth", "spacing" or "number"; `direction` has the numbers found,
    None for plain cloth. `of` is how many the finished size would hold where the cloth gives fewer.
    """

    find: str
    finished: int
    count: int
    left: int
    direction: Direction | None
    of: int = 0


@dataclass(frozen=True, slots=True)
class Question:
    """One direction of a trial, the flat cloth there is for it, and the finished size wished."""

    trial: Trial
    name: str
    flat: int
    finished: int
    system: System

    @property
    def direction(self) -> Direction | None:
        return self.trial.recipe.across if self.name == "across" else self.trial.recipe.along

    def say(self, nm: int) -> str:
        return rounded(nm, Rounding.PANEL, self.system)

    def lay(self, direction: Direction | None = None, finished: int | None = None) -> SidePlan:
        return self.trial.side(self.name, finished or self.finished, direction)

    def fits(self, direction: Direction | None = None, finished: int | None = None) -> bool:
        """Whether the cloth is enough; numbers that can't be sewn do not fit either."""
        try:
            return self.lay(direction, finished).flat <= self.flat
        except CalcError:
            return False

    def answer(self, find: str, direction: Direction | None, finished: int | None = None) -> Answer:
        plan = self.lay(direction, finished)
        count = plan.count // folds_each(direction) if direction else 0
        return Answer(find, finished or self.finished, count, self.flat - plan.flat, direction)

    def refuse(self, least: int, remedy: str) -> BackwardsError:
        """The cloth is not enough: `least` (nm) would be."""
        return BackwardsError("flat", self.say(self.flat), f"at least {self.say(least)}", remedy)


def from_cloth(
    trial: Trial, name: str, *, flat: int, find: str, finished: int | None, system: System
) -> Answer:
    """Solve one direction for what was asked.

    Raises BackwardsError naming "flat" or "finished" when nothing fits, and saying what would.
    """
    asked = Question(trial, name, flat, finished or 0, system)
    direction = asked.direction
    if direction is None or find == "finished":
        return _finished(asked, direction)
    if finished is None:
        raise BackwardsError("finished", "Nothing", "the finished size it should have", "Type it.")
    if finished >= flat:
        given, most = asked.say(finished), f"less than the {asked.say(flat)} of flat cloth"
        raise BackwardsError("finished", given, most, "Finish it smaller, or take more cloth.")
    if find == "depth":
        return _depth(asked, direction)
    if direction.is_pleats:
        return _pleats(asked, direction)
    return _spacing(asked, direction) if find == "spacing" else _number(asked, direction)


def largest(low: int, high: int, fits: Callable[[int], bool]) -> int | None:
    """The largest of `low` to `high` that fits, where all below one that fits do; None where none does."""
    if low > high or not fits(low):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(middle) else (low, middle - 1)
    return low


def _finished(asked: Question, direction: Direction | None) -> Answer:
    step = COARSE[asked.system]
    least = ceil_div(MM, step)
    most = largest(least, asked.flat // step, lambda k: asked.fits(finished=k * step))
    if most is None:
        raise asked.refuse(
            asked.lay(finished=least * step).flat, "Allowances and margin alone take that much."
        )
    found = asked.answer("finished", direction, most * step)
    if direction is not None and not found.count:
        least = asked.lay(finished=repeat_of(direction)).flat
        raise asked.refuse(least, "Not one would fit; a whole repeat takes that much.")
    return found


def _depth(asked: Question, direction: Direction) -> Answer:
    """Every depth changed by one amount; spaces, number and finished size stay."""
    step = FINE[asked.system]
    depths = [direction.depth] if direction.is_pleats else [t.depth for t in direction.tucks]
    deepest = DEEPEST_PLEAT if direction.is_pleats else DEEPEST_TUCK
    low, high = ceil_div(SHALLOWEST - min(depths), step), (deepest - max(depths)) // step
    most = largest(low, high, lambda k: asked.fits(_deeper(direction, k * step)))
    if most is None:
        least = asked.lay(_deeper(direction, low * step)).flat
        raise asked.refuse(least, "The shallowest would vanish. Finish it smaller, or take more cloth.")
    return asked.answer("depth", _deeper(direction, most * step))


def _deeper(direction: Direction, by: int) -> Direction:
    if direction.is_pleats:
        return replace(direction, depth=direction.depth + by)
    return replace(direction, tucks=tuple(Tuck(t.space, t.depth + by, t.mark) for t in direction.tucks))


def _spacing(asked: Question, direction: Direction) -> Answer:
    """Every space drawn together or apart in one proportion, as close as the cloth allows."""
    step, widest = FINE[asked.system], max(t.space for t in direction.tucks)
    high = min(WIDEST, THOUSAND * WIDEST_SPACE // widest)
    low = min(high, _closest(asked, direction))

    def spaced(wider: int) -> Direction:
        scale = high - wider
        tucks = (Tuck(_stepped(t.space * scale, step), t.depth, t.mark) for t in direction.tucks)
        return replace(direction, tucks=tuple(tucks))

    most = largest(0, high - low, lambda k: asked.fits(spaced(k)))
    found = asked.answer("spacing", spaced(most)) if most is not None else None
    if found is None or not found.count:
        raise _not_one(asked, direction)
    return found


def _stepped(thousandfold: int, step: int) -> int:
    """A space in whole steps, rounded up."""
    return max(step, ceil_div(thousandfold, THOUSAND * step) * step)


def _closest(asked: Question, direction: Direction) -> int:
    """Thousandths of the recipe's spaces below which the tucks alone take more than there is cloth."""
    each, number = sum(starting_take_up(direction)), len(direction.tucks)
    most = (asked.flat - asked.finished) * number // max(each, 1) + number
    return max(1, THOUSAND * asked.finished * number // (repeat_of(direction) * (2 * most)))


def _not_one(asked: Question, direction: Direction) -> BackwardsError:
    plan = asked.lay()
    swallowed = plan.axis.take_up if plan.axis else 0
    one = max(starting_take_up(direction)) + plan.take_up.extra
    return asked.refuse(plan.flat - swallowed + one, "Not one fits. Finish it smaller, or take more cloth.")


def _number(asked: Question, direction: Direction) -> Answer:
    """How many of the tucks that the finished size holds the cloth gives, the rest left unsewn."""
    plan = asked.lay()
    axis = plan.axis
    if axis is None or plan.flat <= asked.flat:
        return asked.answer("number", direction)
    spare = asked.flat - (plan.flat - axis.take_up)
    count = bisect_right(axis.swallowed, spare) - 1
    if count < 1:
        raise _not_one(asked, direction)
    return Answer("number", asked.finished, count, spare - axis.swallowed[count], direction, plan.count)


def _pleats(asked: Question, direction: Direction) -> Answer:
    """As many pleats of this depth as the cloth gives, each showing its share of the finished size."""

    def shared(number: int) -> Direction:
        return replace(direction, width=asked.finished // number)

    most = largest(1, min(MOST_PLEATS, asked.finished // SHALLOWEST), lambda n: asked.fits(shared(n)))
    if most is None:
        raise asked.refuse(asked.lay(shared(1)).flat, "Not one fits. Finish it smaller, or take more cloth.")
    return asked.answer("number", shared(most))
