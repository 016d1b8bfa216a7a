"""A search for a better lay, in a process of its own that outlives the server; the best so far is in a file."""

from dataclasses import dataclass
from datetime import datetime

from projects.models import LayDraft

AT_ONCE = 2
"""Searches in the whole studio at the same time."""


class Busy(Exception):
    """As many searches run as may; ``runs`` are their drafts, with project and fabric."""

    def __init__(self, runs: list[LayDraft]) -> None:
        super().__init__("Two lays are being improved already.")
        self.runs = runs


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is: seconds since it began, of at most ``limit``; what is bought from the roll and the
    least that any lay must buy (nm as worked), and whether nothing better exists."""

    running: bool
    seconds: int
    limit: int
    length: int | None
    bound: int | None
    proven: bool


def start(*, draft: LayDraft, now: datetime | None = None) -> LayDraft:
    """Begin a search for a better lay than the draft's best, for at most ``draft.seconds``.

    Where one runs for the draft already, it goes on. Raises ``Busy``, and ``LayError`` where the panels
    can't be laid.
    """
    raise NotImplementedError


def look(draft: LayDraft, now: datetime | None = None) -> LayDraft:
    """Take what the search has found so far into the draft, and whether it ended. Does nothing for a draft
    that is not being improved. It does not matter who started the search, or whether the server has been
    restarted since."""
    raise NotImplementedError


def stop(*, draft: LayDraft, now: datetime | None = None) -> LayDraft:
    """End the search and keep the best it found."""
    raise NotImplementedError


def progress(draft: LayDraft, now: datetime | None = None) -> Progress:
    """What to say of a draft that was looked at."""
    raise NotImplementedError


def running() -> list[LayDraft]:
    """Drafts that are being improved now, in the whole studio, with project and fabric."""
    raise NotImplementedError
