"""Working on a lay before it is accepted: its options, the panels held where they are, the best so far.

Each change ends a search that runs and keeps the best it found, as far as that still answers the question.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.calc.lay import LayRequest
from projects.calc.lay.legal import free_along, pin_fault, rooms
from projects.calc.lay.request import Pin
from projects.calc.lengths import Rounding, exact, field_unit, rounded_down, rounded_up, up_to_step
from projects.models import Fabric, LayDraft, Project
from projects.planning.lay_json import pin_json
from projects.planning.lay_request import LayAsked, joint_name

from . import lay_runs
from .lay_question import best, draft_of, laid, opened, question

__all__ = [
    "DraftMoved", "OPTIONS", "best", "discard", "draft_of", "move", "opened", "pin", "question",
    "set_options", "unpin", "unpin_all",
]  # fmt: skip
OPTIONS = (
    "width", "gap", "end_loss", "smallest_remnant", "straight_cuts", "one_dye_lot", "use_stash", "seconds",
)  # fmt: skip
"""Fields of a draft that a form sets; besides "lengths" and "others", rows to choose."""


class DraftMoved(Exception):
    """Somebody else changed the draft meanwhile, or has it improved."""


def _changed(
    project: Project, fabric: Fabric, change: Callable[[LayDraft], None], seen: int | None = None
) -> LayDraft:
    """The draft after ``change``, with the best lay for what it asks then; all of it or nothing."""
    draft = lay_runs.stop(draft=opened(project, fabric))
    with transaction.atomic():
        LayDraft.objects.select_for_update().get(pk=draft.pk)
        draft = draft_of(project, fabric)
        if draft is None or draft.state == "running" or (seen is not None and draft.revision != seen):
            raise DraftMoved
        before = draft.inputs
        change(draft)
        draft = draft_of(project, fabric) or draft
        laid(draft)
        if draft.inputs != before:
            draft.state = ""  # What a search was run for is asked no more.
        draft.revision += 1
        draft.save(update_fields=["inputs", "result", "state", "revision"])
    return draft


def set_options(
    *, project: Project, fabric: Fabric, values: Mapping[str, Any], seen: int | None = None
) -> LayDraft:
    """Change what is asked. ``values`` holds fields of ``OPTIONS``, "lengths" and "others"; what is not in it
    stays. ``seen`` is the revision the form was filled from. Raises ``DraftMoved``, and ``ValidationError``
    with the field where the panels can't be laid so; then nothing is changed."""

    def change(draft: LayDraft) -> None:
        for name in OPTIONS:
            if name in values:
                setattr(draft, name, values[name])
        joint = bool(draft.others.all())
        if "lengths" in values:
            draft.lengths.set(values["lengths"])
        if "others" in values:
            draft.others.set(row for row in values["others"] if row.pk != project.pk)
            draft.pins = _renamed(draft.pins, project.number, joint, bool(draft.others.count()))
        draft.full_clean(validate_unique=False, validate_constraints=False)
        draft.save(update_fields=[*OPTIONS, "pins"])

    return _changed(project, fabric, change, seen)


def _renamed(pins: list[dict[str, Any]], number: int, was: bool, now: bool) -> list[dict[str, Any]]:
    """Pins by the names their panels have, now that several projects are laid together, or one alone."""
    start = joint_name(number, "")
    if was == now:
        return pins
    if now:
        return [{**pin, "name": start + pin["name"]} for pin in pins]
    own = (pin for pin in pins if pin["name"].startswith(start))
    return [{**pin, "name": pin["name"][len(start) :]} for pin in own]


def pin(*, draft: LayDraft, name: str, copy: int = 1) -> LayDraft:
    """Hold a panel where the best lay has it. Raises ``ValidationError`` where there is no such panel."""
    draft = lay_runs.stop(draft=draft)
    now = question(draft)
    placed = next((p for p in best(draft, now).placements if (p.name, p.copy) == (name, copy)), None)
    if placed is None:
        raise ValidationError(f"{name} is not among the panels still to cut. Look at the lay again.")
    return _held(draft, now, Pin(name, copy, placed.x, placed.y, placed.turned, placed.on))


def move(
    *, draft: LayDraft, name: str, copy: int = 1, x: int, y: int, turned: bool = False, on: str = ""
) -> LayDraft:
    """Put a panel with its corner at ``x`` across and ``y`` along (nm) and hold it there; the others are laid
    around it. ``on`` is the name of a length in the question, "" the roll.

    Raises ``ValidationError`` (by field: "x", "y", "turned", "on") where it would not lie within the cloth,
    or on another pinned panel or a flaw: it says what is in the way and what is free.
    """
    draft = lay_runs.stop(draft=draft)
    now, wanted = question(draft), Pin(name, copy, x, y, turned, on)
    field, text = pin_fault(now.request, wanted)
    if text:
        said = f"{text} {_free(now.request, wanted, field)}".strip()
        raise ValidationError({field: said} if field != "name" else said)
    return _held(draft, now, wanted)


def _free(request: LayRequest, wanted: Pin, field: str) -> str:
    """What would do instead, in words."""

    def most(nm: int) -> str:
        return rounded_down(nm, Rounding.PANEL, request.system)

    if field == "x":
        panel = next(p for p in request.panels if p.name == wanted.name)
        room = rooms(request)[wanted.on][0] - (panel.length if wanted.turned else panel.width)
        return f"It fits up to {most(room)} across." if room >= 0 else "This cloth is too narrow for it."
    if field != "y":
        return ""
    free = free_along(request, wanted)
    if free is None:
        return "At this place across, nothing is free along the cloth: choose another."
    start, end = free
    least = rounded_up(start, Rounding.PANEL, request.system)
    if end is None:
        return f"At this place across it fits from {least} along the cloth on."
    if end - start < up_to_step(1, Rounding.PANEL, request.system):
        unit = field_unit("piece", request.system)
        found = (exact(nm, unit) for nm in (start, end))
        least, most_there = (text if text[-1].isalpha() else f"{text} {unit}" for text in found)
        return f"At this place across it fits from {least} to {most_there} along the cloth."
    return f"At this place across it fits from {least} to {most(end)} along the cloth."


def _held(draft: LayDraft, now: LayAsked, wanted: Pin) -> LayDraft:
    """With a panel held; a pin names the row of its length, since the names in a question change."""
    stock = now.stock(wanted.on)
    row = {**pin_json(wanted), "on": str(stock.length.pk) if stock else ""}
    which = (wanted.name, wanted.copy)

    def change(draft: LayDraft) -> None:
        draft.pins = [*(p for p in draft.pins if (p["name"], p["copy"]) != which), row]
        draft.save(update_fields=["pins"])

    return _changed(draft.project, draft.fabric, change)


def unpin(*, draft: LayDraft, name: str, copy: int = 1) -> LayDraft:
    """Let a panel go; it may lie elsewhere again."""

    def change(draft: LayDraft) -> None:
        draft.pins = [p for p in draft.pins if (p["name"], p["copy"]) != (name, copy)]
        draft.save(update_fields=["pins"])

    return _changed(draft.project, draft.fabric, change)


def unpin_all(*, draft: LayDraft) -> LayDraft:
    """Let all panels go."""

    def change(draft: LayDraft) -> None:
        draft.pins = []
        draft.save(update_fields=["pins"])

    return _changed(draft.project, draft.fabric, change)


def discard(*, draft: LayDraft) -> None:
    """Delete the draft with its options, pins and best lay; a search that runs is ended."""
    lay_runs.stop(draft=draft)
    draft.delete()
