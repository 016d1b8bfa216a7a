"""Flaws of a length: places nothing is cut from. They lie nearer the end once cloth before them is gone."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from projects.models import ClothFlaw, ClothLength

MOST = 50


@transaction.atomic
def add(*, length: ClothLength, values: dict[str, Any]) -> ClothFlaw:
    """One more flaw. ``along`` and ``length`` are measured from the end that is cut from, ``across`` and
    ``width`` from the left selvedge (nm as the cloth lies there). Raises ``ValidationError`` where it does
    not lie on the cloth."""
    row = ClothLength.objects.select_for_update().select_related("fabric").get(pk=length.pk)
    flaw = ClothFlaw(cloth=row, **values)
    problems = {}
    for name in ("length", "width"):
        if getattr(flaw, name) <= 0:
            problems[name] = "A flaw has a size: type more than 0."
    if flaw.along >= row.shelf > 0:
        problems["along"] = "The length ends before this. Measure again from the end that is cut from."
    if flaw.across >= (row.width or row.fabric.width):
        problems["across"] = "The cloth is not so wide. Measure again from the left selvedge."
    if problems:
        raise ValidationError(problems)
    if row.flaws.count() >= MOST:
        raise ValidationError(f"{MOST} flaws are kept of one length; take some out first.")
    flaw.full_clean()
    flaw.save()
    return flaw


def remove(*, flaw_id: int, length: ClothLength) -> None:
    """Take one out. Gone already: nothing changes."""
    ClothFlaw.objects.filter(pk=flaw_id, cloth=length).delete()


def move_up(cloth: ClothLength, amount: int) -> None:
    """``amount`` nm were cut off at the end flaws are measured from. What went with it is out of sight, until
    the cut is taken back; a flaw that was cut through is two from now on."""
    rows = ClothFlaw.with_cut_off.filter(cloth=cloth)
    for flaw in rows.filter(along__gte=0, along__lt=amount):
        beyond = flaw.along + flaw.length - amount
        if beyond > 0:
            flaw.length -= beyond
            flaw.save(update_fields=["length"])
            rest = {"along": amount, "across": flaw.across, "length": beyond, "width": flaw.width}
            ClothFlaw.objects.create(cloth=cloth, note=flaw.note, **rest)
    rows.update(along=F("along") - amount)


def move_down(cloth: ClothLength, amount: int) -> None:
    """The cut was taken back: flaws lie ``amount`` nm farther from the end again."""
    ClothFlaw.with_cut_off.filter(cloth=cloth).update(along=F("along") + amount)
