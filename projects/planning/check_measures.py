"""Check measures of one direction of a panel, worked out when somebody reads them: most pages never do."""

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import overload

from projects.calc.checks import Check, checks_of, how_many
from projects.calc.panels import PanelPlan, SidePlan

from .edges import edges_of
from .plan import CheckMeasure


class CheckMeasures(Sequence[CheckMeasure]):
    """The check measures of a run in the order of sewing; how many there are is known at once."""

    def __init__(self, side: SidePlan, every: int | None, spread: int) -> None:
        self.side, self.every, self.spread = side, every, spread
        self.count = how_many(side.axis, every) if side.axis else 0

    @cached_property
    def made(self) -> tuple[CheckMeasure, ...]:
        """All of them, lengths nm."""
        if self.side.axis is None:
            return ()
        found = checks_of(self.side.axis, self.every, self.spread, self.side.border)
        return tuple(map(self._measure, found))

    def _measure(self, check: Check) -> CheckMeasure:
        near, far = edges_of(self.side)
        start, end = (far, near) if check.from_far else (near, far)
        if check.from_seam is not None:
            start = f"seam of number {check.from_seam}"
        return CheckMeasure(
            check.number, start, end, check.to_seam, check.to_edge, check.near_enough
        )

    def __len__(self) -> int:
        return self.count

    @overload
    def __getitem__(self, index: int) -> CheckMeasure: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[CheckMeasure, ...]: ...
    def __getitem__(self, index: int | slice) -> CheckMeasure | tuple[CheckMeasure, ...]:
        return self.made[index]

    def __iter__(self) -> Iterator[CheckMeasure]:
        return iter(self.made)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and self.made == tuple(other)

    __hash__ = None  # type: ignore[assignment]


def checks_for(plan: PanelPlan) -> dict[str, CheckMeasures]:
    """Check measures by direction; pleats are folded all together and have none."""
    every, spread = plan.sizing.check_every, plan.sizing.depth_spread
    return {
        side.name: CheckMeasures(side, every, spread)
        for side in plan.sides
        if side.axis and side.direction and not side.direction.is_pleats
    }
