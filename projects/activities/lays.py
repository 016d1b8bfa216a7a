"""Keeping a lay, so that it stays as it is until somebody lets go of it."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum

from projects.activities import balances, stock
from projects.models import ClothLength, Fabric, KeptLay, Person, Project, StockEntry
from projects.planning import plan_project
from projects.planning.lay_choice import LayChoice, LayError, choose_lay

RESERVED = "for the lay"
"""The note of what a lay reserves; the same words end the note of what is released with it."""


class LayMoved(Exception):
    """The plan's lay is no longer the one the person looked at."""


def keep_lay(
    *,
    project: Project,
    fabric: Fabric,
    cloth: ClothLength | None,
    reserve: bool,
    seen: int | None,
    person: Person,
    at: datetime | None = None,
) -> KeptLay:
    """Keep the lay of one fabric of a project, with what it was made from.

    ``cloth`` is the length it is laid on; with ``reserve`` what it takes is held for the project there, as
    far as it is not held already. ``seen`` is the length of the lay the person looked at, nm. Raises
    ``LayMoved`` when the plan says another by now, ``ValidationError`` when it can't be laid so, and
    ``stock.StockError`` when the cloth was taken meanwhile.
    """
    choice = _choose(project, fabric, cloth, seen)
    with transaction.atomic():
        if reserve and cloth:
            _reserve(cloth, project, choice.takes, person, at)
        return _write(project, fabric, cloth, choice, person, at)


def _choose(project: Project, fabric: Fabric, cloth: ClothLength | None, seen: int | None) -> LayChoice:
    plan = plan_project(project)
    line = next((f for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    if line is None or line.lay is None:
        problem = line.problem if line else "No piece of the project is planned in this fabric."
        raise ValidationError(f"There is no lay to keep. {problem}".strip())
    if seen is not None and seen != line.lay.length:
        raise LayMoved
    try:
        return choose_lay(plan, fabric, project, length=cloth)
    except LayError as error:
        raise ValidationError({"cloth": str(error).strip()}) from error


def _reserve(cloth: ClothLength, project: Project, takes: int, person: Person, at: datetime | None) -> None:
    missing = takes - balances.reserved_for(cloth, project)
    if missing > 0:
        stock.reserve(row=cloth, project=project, amount=missing, person=person, note=RESERVED, at=at)


def _write(
    project: Project,
    fabric: Fabric,
    cloth: ClothLength | None,
    choice: LayChoice,
    person: Person,
    at: datetime | None,
) -> KeptLay:
    Project.objects.select_for_update().get(pk=project.pk)
    KeptLay.objects.filter(project=project, fabric=fabric).delete()
    lay = KeptLay(
        project=project,
        fabric=fabric,
        cloth=cloth,
        kept_by=person,
        width=choice.width,
        length=choice.length,
        inputs=choice.inputs,
        result=choice.result,
    )
    lay.full_clean()
    lay.save()
    if at is not None:
        lay.kept_at = at
        lay.save(update_fields=["kept_at"])
    return lay


def accept(
    *,
    project: Project,
    fabric: Fabric,
    seen: int | None,
    person: Person,
    reserve: bool = True,
    cloth: ClothLength | None = None,
    at: datetime | None = None,
) -> KeptLay:
    """Accept the best lay there is now: the draft's, else the plan's quick one. It stays as it is.

    Each length on the shelf it takes from is named in ``LayLength`` and, with ``reserve``, what the lay takes
    of it is held for the project, as far as it is not held already. ``cloth`` is the length that stands for
    the roll; None leaves that part to be bought. ``seen`` is what the lay the person looked at takes of the
    roll (nm). Raises ``LayMoved`` when it is another by now, ``ValidationError`` when it can't be laid, and
    ``stock.StockError`` when cloth was taken meanwhile.
    """
    raise NotImplementedError


def give_cloth(
    *, kept: KeptLay, cloth: ClothLength, person: Person, reserve: bool = True, at: datetime | None = None
) -> KeptLay:
    """Put the part of an accepted lay that was to be bought on a length that is there now, and reserve it.

    Raises ``ValidationError`` where the length is too narrow, of another cloth or in the lay already, and
    ``stock.StockError`` where too little of it is free.
    """
    raise NotImplementedError


def let_go(
    *, project: Project, fabric: Fabric, person: Person, release: bool = True, at: datetime | None = None
) -> int:
    """Let go of the accepted lay; with ``release`` what it reserved is free again. Returns how much, nm as on
    the shelf."""
    raise NotImplementedError


@transaction.atomic
def forget_lay(
    *,
    project: Project,
    fabric: Fabric,
    person: Person,
    release: bool = False,
    at: datetime | None = None,
) -> int:
    """Let go of the kept lay; the plan shows the shortest it finds again.

    With ``release`` what it reserved is free again; returns how much, nm as on the shelf.
    """
    Project.objects.select_for_update().get(pk=project.pk)
    kept = KeptLay.objects.filter(project=project, fabric=fabric).select_related("cloth").first()
    if kept is None:
        return 0
    amount = reserved_by(kept) if release else 0
    if amount and kept.cloth:
        note = f"no longer {RESERVED}"
        stock.release(row=kept.cloth, project=project, amount=amount, person=person, note=note, at=at)
    kept.delete()
    return amount


def reserved_by(kept: KeptLay) -> int:
    """What is still held on a kept lay's length because of the lay, nm; not what was reserved by hand."""
    if kept.cloth is None or not kept.cloth.is_live:
        return 0
    lines = kept.cloth.entries.filter(kind__in=StockEntry.HELD, project=kept.project_id)
    by_lay = lines.filter(note__endswith=RESERVED).aggregate(all=Sum("amount"))["all"] or 0
    return max(0, min(-by_lay, balances.reserved_for(kept.cloth, kept.project)))
