"""How long a search may go on: so many steps, and as long as somebody outside says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

ASK_EACH: Final = 64  # asking outside costs more than a step


class OutOfSteps(Exception):
    """A search was ended before it was done; what it found so far proves nothing."""


class Steps:
    """Steps left; `keep_going` is asked now and then."""

    def __init__(self, most: int, keep_going: Callable[[], bool] | None = None) -> None:
        self.left = most
        self._keep_going = keep_going

    def take(self) -> None:
        """One step. Raises OutOfSteps."""
        self.left -= 1
        if self.left < 0:
            raise OutOfSteps
        if self._keep_going is not None and self.left % ASK_EACH == 0 and not self._keep_going():
            self.left = 0
            raise OutOfSteps
