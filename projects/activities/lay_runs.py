"""A search for a better lay, in a process of its own that outlives the server; the best is in a file."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from projects.calc.lay import Lay, LayRequest
from projects.calc.lay.legal import first_fault
from projects.calc.lay.sent import asked_text, read_answer
from projects.models import LayDraft, Workroom
from projects.planning.lay_json import lay_from_json, lay_to_json, request_from_json

from . import lay_process as process
from .lay_question import best, better, keep, paired, question

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

    Where one runs for the draft already, it goes on; where nothing better exists, none begins. Raises
    ``Busy``, and ``LayError`` where the panels can't be laid.
    """
    draft = look(draft, now)
    if draft.state == "running":
        return draft
    asked = question(draft)
    lay = best(draft, asked)
    with transaction.atomic():
        # One at a time through here, so that no third search begins between counting and starting.
        Workroom.objects.select_for_update().filter(pk=Workroom.load().pk).first()
        runs = [run for run in running() if run.pk != draft.pk]
        if len(runs) >= AT_ONCE:
            raise Busy(runs)
        keep(draft, asked, lay)
        draft.started_at = now or timezone.now()
        draft.state, draft.run, draft.process = "ended", "", None
        if not lay.shortest:
            process.clear_old({run.run for run in runs})
            text = asked_text(asked.request, draft.seconds)
            draft.run, draft.process = process.launch(text)
            draft.state = "running"
        draft.save(update_fields=["inputs", "result", "started_at", "state", "run", "process"])
    return draft


def look(draft: LayDraft, now: datetime | None = None) -> LayDraft:
    """Take what the search has found so far into the draft, and whether it ended. Does nothing for a draft
    that is not being improved. It does not matter who started the search, or whether the server has been
    restarted since."""
    return _look(draft, "ended") if draft.state == "running" else draft


def _look(draft: LayDraft, then: str) -> LayDraft:
    """``then`` is the state of a draft whose search is over."""
    # In this order: what is written between the two is looked at once more when it has ended.
    there = process.goes_on(draft.run, draft.process)
    text = process.best_so_far(draft.run)
    with transaction.atomic():
        row = LayDraft.objects.select_for_update().get(pk=draft.pk)
        if (row.state, row.run) == ("running", draft.run):
            ended = _take(row, text) or not there
            if ended:
                row.state, row.process = then, None
            row.save(update_fields=["result", "state", "process"])
            if ended:
                # Only then: where all this is taken back, whoever looks next still finds the lay.
                transaction.on_commit(lambda: process.clear(draft.run))
        for name in ("inputs", "result", "state", "run", "process", "started_at", "revision"):
            setattr(draft, name, getattr(row, name))
    return draft


def _take(row: LayDraft, text: str | None) -> bool:
    """Put a lay that was found into the row where it answers the question and serves no worse than what is
    there. Whether the search says that it ended."""
    if text is None or row.inputs is None or row.result is None:
        return False
    request, kept = request_from_json(row.inputs), lay_from_json(row.result)
    try:
        found, answer = read_answer(text, request)
    except ValueError:
        return False
    lay = _checked(request, kept, found)
    if lay.placements == found.placements != kept.placements:
        lay = paired(lay, request, row.inputs)
    row.result = lay_to_json(lay)
    return answer.get("running") is False


def _checked(request: LayRequest, kept: Lay, found: Lay) -> Lay:
    """The better of the two, what is there where they serve alike, with what is proven of either."""
    return kept if first_fault(request, found) else better(request, kept, found)


def stop(*, draft: LayDraft, now: datetime | None = None) -> LayDraft:
    """End the search and keep the best it found."""
    if draft.state != "running":
        return draft
    process.end(draft.run, draft.process)
    return _look(draft, "stopped")


def progress(draft: LayDraft, now: datetime | None = None) -> Progress:
    """What to say of a draft that was looked at."""
    lay = lay_from_json(draft.result) if draft.result else None
    since = (now or timezone.now()) - draft.started_at if draft.started_at else None
    seconds = min(max(0, int(since.total_seconds())), draft.seconds) if since is not None else 0
    return Progress(
        running=draft.state == "running",
        seconds=seconds,
        limit=draft.seconds,
        length=lay.length if lay else None,
        bound=lay.lower_bound if lay else None,
        proven=bool(lay and lay.shortest),
    )


def running() -> list[LayDraft]:
    """Drafts that are being improved now, in the whole studio, with project and fabric."""
    rows = LayDraft.objects.filter(state="running").select_related("project", "fabric").order_by("pk")
    return [row for row in map(look, rows) if row.state == "running"]
