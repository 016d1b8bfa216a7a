"""Accepting a lay, so that it stays as it is until somebody lets go of it; what it takes is reserved."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from projects.activities import balances, lay_runs, remnants, stock
from projects.calc.lay import LayError
from projects.models import ClothLength, Fabric, KeptLay, LayDraft, LayLength, Person, Project, StockEntry
from projects.planning import plan_project
from projects.planning.lay_choice import LayChoice, choose_lay, of_draft, on_length, taken_of
from projects.planning.lay_cuts import cutting_of
from projects.planning.lay_json import read_kept
from projects.planning.lay_uncut import uncut_parts
from projects.planning.lays import ACCEPTED

from .lay_question import draft_of, question

RESERVED = "for the lay"
"""The note of what a lay reserves; the same words end the note of what is released with it."""


@dataclass(frozen=True, slots=True)
class LetGo:
    """What became of cloth with a lay: ``freed`` of it is reserved no longer (nm as on the shelf), and
    ``kept`` are the lengths made of what was cut off and not cut up."""

    freed: int = 0
    kept: tuple[ClothLength, ...] = ()


class LayMoved(Exception):
    """The plan's lay is no longer the one the person looked at."""


def accept(
    *,
    project: Project,
    fabric: Fabric,
    seen: int | None,
    person: Person,
    reserve: bool = True,
    cloth: ClothLength | None = None,
    at: datetime | None = None,
    over: list[ClothLength] | None = None,
) -> KeptLay:
    """Accept the best lay there is now: the draft's, else the plan's quick one. It stays as it is.

    Each length on the shelf it takes from is named in ``LayLength`` and, with ``reserve``, what the lay takes
    of it is held for the project, as far as it is not held already. ``cloth`` is the length that stands for
    the roll; None leaves that part to be bought. ``seen`` is what the lay the person looked at takes of the
    roll (nm). What a lay that was accepted before had cut off and not cut up becomes lengths, named in
    ``over``. Raises ``LayMoved`` when it is another by now, ``ValidationError`` when it can't be laid, and
    ``stock.StockError`` when cloth was taken meanwhile.
    """
    draft = draft_of(project, fabric)
    if draft is not None:
        draft = lay_runs.stop(draft=draft)
        _still_asked(draft)
    with transaction.atomic():
        Project.objects.select_for_update().get(pk=project.pk)
        choice = _choose(project, fabric, draft, cloth, seen)
        takes = {taken.row: taken.takes for taken in choice.lengths}
        if cloth is not None and choice.length:
            takes[cloth] = choice.takes
        before = _let_go(project, fabric, person, release=reserve, at=at)
        if over is not None:
            over += before.kept
        if reserve:
            _reserve(takes, project, person, at)
        return _write(project, fabric, cloth if choice.length else None, choice, person, at)


def _choose(
    project: Project, fabric: Fabric, draft: LayDraft | None, cloth: ClothLength | None, seen: int | None
) -> LayChoice:
    plan = plan_project(project)
    line = next((f for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    if line is None or line.lay is None:
        problem = line.problem if line else "No piece of the project is planned in this fabric."
        raise ValidationError(f"There is no lay to accept. {problem}".strip())
    if seen is not None and seen != line.lay.length:
        raise LayMoved
    try:
        if draft is not None and line.lay_state != ACCEPTED:
            found = of_draft(draft, line, fabric, project)
            return found if cloth is None else on_length(found, cloth, fabric, project)
        return choose_lay(plan, fabric, project, length=cloth)
    except LayError as error:
        raise ValidationError({"cloth": str(error).strip()}) from error


def _still_asked(draft: LayDraft) -> None:
    """What is shown of several projects was found for their plans as they were; raises ``LayMoved`` where one
    has changed since."""
    if draft.others.all() and draft.inputs is not None and draft.inputs != question(draft).inputs:
        raise LayMoved


def _reserve(
    takes: Mapping[ClothLength, int], project: Project, person: Person, at: datetime | None
) -> None:
    """Hold what is taken of each length, as far as it is not held already."""
    held = balances.balances(takes)
    for row in sorted(takes, key=lambda row: row.pk):
        missing = takes[row] - held[row.pk].reserved_for(project)
        if missing <= 0:
            continue
        try:
            stock.reserve(row=row, project=project, amount=missing, person=person, note=RESERVED, at=at)
        except stock.StockError as error:
            label = row.label.replace("{", "{{").replace("}", "}}")
            pattern = f"{label}: {error.pattern}"
            raise stock.StockError(
                pattern, asked=error.asked, there=error.there, field=error.field
            ) from error


def _write(
    project: Project,
    fabric: Fabric,
    cloth: ClothLength | None,
    choice: LayChoice,
    person: Person,
    at: datetime | None,
) -> KeptLay:
    lay = KeptLay(
        project=project,
        fabric=fabric,
        cloth=cloth,
        kept_by=person,
        width=choice.width,
        length=choice.length,
        inputs=choice.inputs,
        result=choice.result,
        in_inches=choice.in_inches,
    )
    lay.full_clean()
    lay.save()
    if at is not None:
        lay.kept_at = at
        lay.save(update_fields=["kept_at"])
    lay.others.set(choice.others)
    LayLength.objects.bulk_create(
        LayLength(lay=lay, place=int(taken.name), cloth=taken.row, used=taken.takes)
        for taken in choice.lengths
    )
    return lay


@transaction.atomic
def give_cloth(
    *, kept: KeptLay, cloth: ClothLength, person: Person, reserve: bool = True, at: datetime | None = None
) -> KeptLay:
    """Put the part of an accepted lay that was to be bought on a length that is there now, and reserve it.

    Raises ``ValidationError`` where the length is too narrow, of another cloth or in the lay already, and
    ``stock.StockError`` where too little of it is free.
    """
    project = Project.objects.select_for_update().get(pk=kept.project_id)
    kept = KeptLay.objects.filter(pk=kept.pk).select_related("fabric").first()
    if kept is None:
        raise ValidationError("This lay was let go meanwhile. Look at the lay again.")
    if kept.cloth_id is not None or not kept.length:
        raise ValidationError("Nothing of this lay is to be bought any more.")
    if cloth.fabric_id != kept.fabric_id or kept.lengths.filter(cloth=cloth).exists():
        raise ValidationError({"cloth": f"{cloth.label} is of another fabric, or in this lay already."})
    try:
        takes = taken_of(cloth, read_kept(kept.inputs, kept.result), kept.fabric, project)
    except LayError as error:
        raise ValidationError({"cloth": str(error).strip()}) from error
    if reserve:
        _reserve({cloth: takes}, project, person, at)
    kept.cloth = cloth
    kept.save(update_fields=["cloth"])
    return kept


@transaction.atomic
def let_go(
    *, project: Project, fabric: Fabric, person: Person, release: bool = True, at: datetime | None = None
) -> LetGo:
    """Let go of the accepted lay; the plan shows the shortest it finds again. With ``release`` what it
    reserved is free again. Parts that were cut off and not cut up become lengths on the shelf."""
    Project.objects.select_for_update().get(pk=project.pk)
    return _let_go(project, fabric, person, release=release, at=at)


def _let_go(
    project: Project, fabric: Fabric, person: Person, *, release: bool, at: datetime | None
) -> LetGo:
    lays = KeptLay.objects.filter(project=project, fabric=fabric)
    kept = lays.select_related("project", "fabric", "cloth__fabric").first()
    if kept is None:
        return LetGo()
    freed = reserved_on(kept) if release else {}
    for row, amount in freed.items():
        note = f"no longer {RESERVED}"
        stock.release(row=row, project=project, amount=amount, person=person, note=note, at=at)
    over: tuple[ClothLength, ...] = ()
    if kept.cuts.exists():
        cutting = cutting_of(kept)
        over = remnants.make_uncut(uncut_parts(cutting), cutting.washing, person, at or timezone.now())
    kept.delete()
    return LetGo(sum(freed.values()), over)


def reserved_by(kept: KeptLay) -> int:
    """What is still held because of an accepted lay, nm as on the shelf; not what was reserved by hand."""
    return sum(reserved_on(kept).values())


def reserved_on(kept: KeptLay) -> dict[ClothLength, int]:
    """By length what is still held on it because of the lay, nm; two queries whatever their number."""
    rows = [row.cloth for row in kept.lengths.all().select_related("cloth")]
    rows = [row for row in (*rows, kept.cloth) if row is not None and row.is_live]
    lines = StockEntry.objects.filter(
        cloth__in=rows, kind__in=StockEntry.HELD, project=kept.project_id, note__endswith=RESERVED
    )
    by_lay = dict(lines.order_by().values_list("cloth").annotate(all=Sum("amount")))
    held = balances.balances(rows)
    found = {row: min(-by_lay.get(row.pk, 0), held[row.pk].reserved_for(kept.project)) for row in rows}
    return {row: amount for row, amount in found.items() if amount > 0}
