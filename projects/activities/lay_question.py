"""What a draft of a lay asks now, and the best answer to it that there is."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError

from projects.calc.lay import Lay, LayError, LayRequest
from projects.calc.lay.legal import Key, first_fault, worth
from projects.calc.lay.pairs import pair_up
from projects.models import Fabric, LayDraft, Project
from projects.planning import plan_project
from projects.planning.lay_json import lay_from_json, lay_to_json
from projects.planning.lay_request import LayAsked, asked
from projects.planning.quick_lays import quick_lay

MOST_PAIRED = 60
"""Panels of a lay up to which pairs are brought together: the work grows with the third power."""


def draft_of(project: Project, fabric: Fabric) -> LayDraft | None:
    """The draft of one fabric of a project, with its lengths and others; None where nobody began one."""
    drafts = LayDraft.objects.filter(project=project, fabric=fabric).select_related("project", "fabric")
    return drafts.prefetch_related("lengths", "others").first()


def opened(project: Project, fabric: Fabric) -> LayDraft:
    """The draft, begun with the usual options where there is none."""
    found = draft_of(project, fabric)
    if found is None:
        LayDraft.objects.get_or_create(project=project, fabric=fabric)
        found = draft_of(project, fabric)
    return found


def question(draft: LayDraft) -> LayAsked:
    """What the draft asks for now, with the plans of all its projects. Raises ``LayError``."""
    others = sorted((row for row in draft.others.all() if row.is_live), key=lambda row: row.number)
    plans = [plan_project(row) for row in others]
    return asked(draft, plan_project(draft.project), draft.fabric, draft.project, plans)


def best(draft: LayDraft, now: LayAsked | None = None) -> Lay:
    """The best lay for what is asked now: what the draft keeps where that still answers it and is no worse
    than a quick one. Raises ``LayError`` where the panels can't be laid."""
    now = now or question(draft)
    if draft.result is not None and draft.inputs == now.inputs:
        return lay_from_json(draft.result)
    quick = quick_lay(now.request)
    before = _found_before(draft, now)
    if before is None or worth(now.request, before) >= worth(now.request, quick):
        return quick
    # What was proven, was proven of another question; the quick lay's bound is of this one.
    bound = min(quick.lower_bound, before.length)
    proven = not now.request.lengths and bound == before.length
    return replace(before, lower_bound=bound, shortest=proven)


def _found_before(draft: LayDraft, now: LayAsked) -> Lay | None:
    """What the draft keeps, on the same rows of cloth, where it answers what is asked now."""
    if draft.result is None or draft.inputs is None:
        return None
    names = {stock.length.pk: str(n) for n, stock in enumerate(now.lengths, 1)}
    names_now = {str(n): names.get(pk, "?") for n, pk in enumerate(draft.inputs["cloths"], 1)}
    lay = lay_from_json(draft.result)
    lay = replace(
        lay,
        lower_bound=0,
        placements=tuple(replace(p, on=names_now.get(p.on, p.on)) for p in lay.placements),
        used=tuple(replace(u, name=names_now[u.name]) for u in lay.used),
    )
    return None if first_fault(now.request, lay) else lay


def keep(draft: LayDraft, now: LayAsked, lay: Lay) -> None:
    """Write a lay into the draft with its question; the row is saved by whoever asks."""
    draft.inputs = now.inputs
    draft.result = lay_to_json(paired(lay, now.request, draft.inputs))


def paired(lay: Lay, request: LayRequest, inputs: Mapping[str, Any]) -> Lay:
    """The same lay with LEFT and RIGHT of a piece together where that costs nothing. For very many panels it
    would keep people waiting: they lie as they were found."""
    if len(lay.placements) > MOST_PAIRED:
        return lay
    return pair_up(lay, request, [((row["name"], 1), (row["with"], 1)) for row in inputs["pairs"]])


def better(request: LayRequest, one: Lay, other: Lay) -> Lay:
    """The better of two lays of a request, ``one`` where they serve alike, with what is known of both."""
    keys = worth(request, one), worth(request, other)
    best, key = (one, keys[0]) if keys[0] <= keys[1] else (other, keys[1])
    bound = min(best.length, max(one.lower_bound, other.lower_bound))
    return replace(best, lower_bound=bound, shortest=_proven(request, key, bound, (one, other), keys))


def _proven(
    request: LayRequest, key: Key, bound: int, lays: Iterable[Lay], keys: Iterable[Key]
) -> bool:
    """Whether one that is proven serves as well, or the roll alone is taken and nothing shorter can be."""
    alike = any(lay.shortest and its == key for lay, its in zip(lays, keys, strict=True))
    return alike or (not request.lengths and bound == key[0])


def laid(draft: LayDraft, field: str | None = None) -> None:
    """Keep the best lay for what the draft asks now. Raises ``ValidationError``, for ``field`` where one is
    named, where the panels can't be laid so."""
    try:
        now = question(draft)
        keep(draft, now, best(draft, now))
    except LayError as error:
        text = str(error).strip()
        raise ValidationError({field: text} if field else text) from error
