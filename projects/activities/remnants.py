"""Remnants: lengths made of cloth that is over where a lay was cut."""

import re
from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError

from projects.calc.lay.cuts import Remnant
from projects.models import ClothFlaw, ClothLength, Person
from projects.planning.cloth import Washing
from projects.planning.lay_uncut import Uncut

from . import deleting, stock

LONGEST_LABEL = 60
_NUMBERED = re.compile(r"^(?P<of>.*) remnant (?P<number>\d+)$")


def make(
    cloth: ClothLength, left: Remnant, washing: Washing, person: Person, now: datetime
) -> ClothLength:
    """What a cut of a lay leaves of ``cloth``, as a length of its own on the shelf.

    Cloth that is washed before it is cut has been washed; its size is as it was cut (nm).
    """
    remnant = ClothLength(
        fabric=cloth.fabric,
        label=label_for(cloth),
        dye_lot=cloth.dye_lot,
        width=left.width,
        washed=cloth.washed or washing.when == "before",
        place=cloth.place,
        cut_from=cloth,
    )
    remnant.full_clean()
    remnant.save()
    stock.receive(
        row=remnant, amount=left.length, person=person, note=f"left over from {cloth.label}"[:300], at=now
    )
    return remnant


def make_uncut(
    parts: Iterable[Uncut], washing: Washing, person: Person, now: datetime
) -> tuple[ClothLength, ...]:
    """What a lay that is let go had cut off and not cut up, as lengths of their own with their flaws."""
    found = []
    for part in parts:
        row = make(part.cloth, part.left, washing, person, now)
        for flaw in part.flaws:
            sizes = {"along": flaw.y, "across": flaw.x, "length": flaw.length, "width": flaw.width}
            ClothFlaw.objects.create(cloth=row, **sizes)
        found.append(row)
    return tuple(found)


def label_for(cloth: ClothLength) -> str:
    """The next free name: "V1 remnant 2"; a remnant of a remnant is one of the first length too."""
    named = _NUMBERED.match(cloth.label)
    of = named["of"] if named and cloth.cut_from_id else cloth.label
    of = of[: LONGEST_LABEL - len(" remnant 9999")]
    there = ClothLength.objects.live().filter(fabric_id=cloth.fabric_id, label__startswith=f"{of} remnant ")
    numbers = [
        int(found["number"])
        for label in there.values_list("label", flat=True)
        if (found := _NUMBERED.match(label)) and found["of"] == of
    ]
    return f"{of} remnant {max(numbers, default=0) + 1}"


def why_used(remnant: ClothLength) -> str:
    """Why a remnant can't be taken back any more; empty where it lies there as it was made."""
    if not remnant.is_live:
        return f"its remnant {remnant.label} was deleted. Bring it back under Deleted first."
    if remnant.laid_on.exists() or remnant.lays.exists():
        return f"an accepted lay takes from its remnant {remnant.label}. Let that lay go first."
    if remnant.entries.count() > 1:
        return f"something was booked on its remnant {remnant.label} since, so the cloth is in use."
    return ""


def take_back(remnant: ClothLength, number: int, person: Person | None, now: datetime) -> None:
    """The cut was not made: the remnant's stock goes, and its row is put away."""
    if why := why_used(remnant):
        raise ValidationError(why)
    stock.count(row=remnant, total=0, person=person, note=f"cut {number} of the lay taken back", at=now)
    deleting.delete([remnant], what=f"the remnant {remnant.label}", person=person)
