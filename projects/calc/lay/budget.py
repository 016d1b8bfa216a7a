"""How long a search may go on. The clock and the wish to stop come from outside: neither is read here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


def never() -> bool:
    """Nobody asks to stop."""
    return False


@dataclass(slots=True)
class Budget:
    """Time and work for a search.

    `spent` tells the seconds since the start, `limit_s` how many there are. `steps` is how much work may be
    done whatever the clock says (None: no such limit): one step is about one panel laid, so that the same
    request ends at the same point on a slow machine and a fast one. `stopped` says that whoever asked has
    had enough.
    """

    spent: Callable[[], float]
    limit_s: float
    steps: int | None = None
    stopped: Callable[[], bool] = never
    done: int = 0
    within: Budget | None = None

    def left(self) -> float:
        """Seconds left, not below 0."""
        return max(0.0, self.limit_s - self.spent())

    def over(self) -> bool:
        """Time is up, the work is done, or a stop was asked for."""
        worked = self.steps is not None and self.done >= self.steps
        return worked or self.stopped() or self.spent() >= self.limit_s

    def step(self, work: int = 1) -> bool:
        """Count `work` steps; whether the search may go on."""
        self.done += work
        if self.within is not None:
            self.within.step(work)  # what a part does is done of the whole
        return not self.over()

    def part(self, seconds: float | None = None, steps: int | None = None) -> Budget:
        """A budget within this one: at most so many seconds from now, at most so many steps of its own."""
        limit = self.limit_s if seconds is None else min(self.limit_s, self.spent() + seconds)
        if self.steps is not None:
            left = max(0, self.steps - self.done)
            steps = left if steps is None else min(steps, left)
        return Budget(self.spent, limit, steps, self.stopped, 0, self)
