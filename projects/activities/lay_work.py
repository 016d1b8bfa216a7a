"""Working on a lay before it is accepted: its options, the panels held where they are, the best so far.

Each change ends a search that runs and keeps the best it found, as far as that still answers the question.
"""

from collections.abc import Mapping
from typing import Any

from projects.calc.lay import Lay
from projects.models import Fabric, LayDraft, Project
from projects.planning.lay_request import LayAsked

OPTIONS = (
    "width", "gap", "end_loss", "smallest_remnant", "straight_cuts", "one_dye_lot", "use_stash", "seconds",
)  # fmt: skip
"""Fields of a draft that a form sets; besides "lengths" and "others", rows to choose."""


class DraftMoved(Exception):
    """Somebody else changed the draft meanwhile: it has another revision."""


def draft_of(project: Project, fabric: Fabric) -> LayDraft | None:
    """The draft of one fabric of a project, with its lengths and others; None where nobody began one."""
    raise NotImplementedError


def opened(project: Project, fabric: Fabric) -> LayDraft:
    """The draft, begun with the usual options where there is none."""
    raise NotImplementedError


def question(draft: LayDraft) -> LayAsked:
    """What the draft asks for now, with the plans of all its projects. Raises ``LayError``."""
    raise NotImplementedError


def best(draft: LayDraft, asked: LayAsked | None = None) -> Lay | None:
    """The best lay found for what is asked now: what the draft keeps where that still answers it, else a
    quick one. Raises ``LayError`` where the panels can't be laid."""
    raise NotImplementedError


def set_options(
    *, project: Project, fabric: Fabric, values: Mapping[str, Any], seen: int | None = None
) -> LayDraft:
    """Change what is asked. ``values`` holds fields of ``OPTIONS``, "lengths" and "others"; what is not in it
    stays. ``seen`` is the revision the form was filled from. Raises ``DraftMoved``, and ``ValidationError``
    with the field where the panels can't be laid so; then nothing is changed."""
    raise NotImplementedError


def pin(*, draft: LayDraft, name: str, copy: int = 1) -> LayDraft:
    """Hold a panel where the best lay has it. Raises ``ValidationError`` where there is no such panel."""
    raise NotImplementedError


def move(
    *, draft: LayDraft, name: str, copy: int = 1, x: int, y: int, turned: bool = False, on: str = ""
) -> LayDraft:
    """Put a panel with its corner at ``x`` across and ``y`` along (nm) and hold it there; the others are laid
    around it. ``on`` is the name of a length in the question, "" the roll.

    Raises ``ValidationError`` (by field: "x", "y", "turned", "on") where it would not lie within the cloth,
    or on another pinned panel or a flaw: it says what is in the way and what is free.
    """
    raise NotImplementedError


def unpin(*, draft: LayDraft, name: str, copy: int = 1) -> LayDraft:
    """Let a panel go; it may lie elsewhere again."""
    raise NotImplementedError


def unpin_all(*, draft: LayDraft) -> LayDraft:
    raise NotImplementedError


def discard(*, draft: LayDraft) -> None:
    """Delete the draft with its options, pins and best lay; a search that runs is ended."""
    raise NotImplementedError
