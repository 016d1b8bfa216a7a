"""Where a unit is folded and sewn by what its run is placed by: drawn lines, drawn folds, the last seam. nm.

A drawn mark lies on the flat cloth, whatever was sewn before it; measured from the last seam it lies nearer
where that tuck swallowed more than planned: by 2 D where lines are drawn (the first of its lines held), by D
where folds are. A stitch line that is drawn holds the seam, so the fold of a tuck asked deeper lies farther
from it; a fold that is drawn stays, and the seam comes nearer. Nothing of that depends on the guide, which
only brings tucks to their planned depth. Source: derived.
"""

from bisect import bisect_left
from dataclasses import replace
from functools import cached_property

from projects.calc.bench_state import Fact, State

from .run_units import Unit
from .runs import RunPlan, Where

AS_ASKED_WITHIN = 250_000
"""A depth typed that is off by less is as asked: no guide is set finer."""


class Placed:
    """The units of a run as they lie now."""

    def __init__(self, run: RunPlan, state: State, placing: str) -> None:
        self.run, self.state, self.placing = run, state, placing

    def where(self, unit: Unit) -> Where:
        """With what is sewn that is sewn."""
        return self._asked(unit, self.run.where(unit, self.state.sewn))

    def drawn(self, unit: Unit) -> tuple[int, ...]:
        """What is drawn for a unit, from its first edge."""
        if self.placing == "last" or unit.long is not None:
            return ()
        if self.placing == "folds" or unit.depth is None:
            return (unit.at,)
        return unit.at - unit.depth, unit.at + unit.depth

    def _asked(self, unit: Unit, where: Where) -> Where:
        where = replace(where, drawn=self.drawn(unit))
        if where.to_line is None or unit.depth is None:
            return where
        step = self.state.steps.get(unit.number, 0)
        if self.placing == "last":
            line = where.to_line + self._measured(unit, where.leans)
            return replace(where, length=line + unit.depth + step, to_line=line)
        fold = where.length - self._nearer(unit, where.leans)
        if self.placing == "folds":
            return replace(where, length=fold, to_line=fold - unit.depth - step)
        return replace(where, length=fold + step, to_line=fold - unit.depth)

    def _measured(self, unit: Unit, leans: int | None) -> int:
        """By how much farther than planned a stitch line lies, nothing being drawn: the space before it as it
        is corrected, and what is asked of those that still lie flat between."""
        state, found = self.state, self.state.spaces.get(unit.number, 0)
        for one in self.run.towards(unit):
            if one.number == leans:
                break
            if one.number not in state.sewn:
                found += state.spaces.get(one.number, 0) + 2 * state.steps.get(one.number, 0)
        return found

    def _nearer(self, unit: Unit, leans: int | None) -> int:
        """By how much nearer than planned a drawn mark lies to the seam it is measured from."""
        last = self.run.by_number.get(leans) if leans is not None else None
        fact = self.state.sewn.get(leans) if leans is not None else None
        if last is None or last.depth is None or unit.depth is None:
            return 0
        # One still to come is sewn as it is asked.
        asked = self.state.steps.get(last.number, 0)
        deeper = self._depth_sewn(last, last.depth, fact) - last.depth if fact else asked
        if self.placing == "folds":
            return deeper
        # The line that was reached first held: the tuck swallowed more on its other side.
        return 2 * deeper if last.from_far == unit.from_far else 0

    def _depth_sewn(self, unit: Unit, planned: int, fact: Fact) -> int:
        """What a sewn tuck is believed to be: as asked, but for the guide, or as typed."""
        asked = planned + int(fact.asked.get("beyond", {}).get(str(unit.number), 0))
        typed = self.state.depths.get(unit.number)
        off = typed is not None and abs(typed - asked) >= AS_ASKED_WITHIN
        return (typed if off and typed is not None else asked) - self._guide_at(fact)

    def _guide_at(self, fact: Fact) -> int:
        """By how much the guide was moved when something happened."""
        moments, settings = self._guides
        place = bisect_left(moments, fact.place)
        return settings[place - 1] if place else 0

    @cached_property
    def _guides(self) -> tuple[list[tuple[str, str]], list[int]]:
        moved = [f for f in self.state.live if f.kind == "guide" and not f.asked.get("refused")]
        return [f.place for f in moved], [int(f.asked.get("guide", 0)) for f in moved]
