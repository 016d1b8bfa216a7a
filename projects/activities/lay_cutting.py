"""Booking panels as cut, wherever somebody says so: the panel, and the ledger of the length it lies on.

A panel that lies in a lay kept on a length takes its cloth off that length, whether it is marked on the
lay's page, on its piece's or by its step. The cloth is cut straight across between the stretches of a lay:
the first panel cut from a stretch takes the whole stretch off its length; the others of that stretch take
nothing more.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import ClothLength, KeptLay, Panel, Person, Project, StockEntry
from projects.planning import plan_project
from projects.planning.cloth import Washing
from projects.planning.lay_places import Place, Stretch, places_of, stretches_of
from projects.planning.lays import lay_from_json
from projects.planning.plan import Plan
from projects.planning.snapshot import fabric_kept

from . import panels, stock


@dataclass(frozen=True, slots=True)
class Booked:
    """What became of a panel: ``cut`` or not after all. ``amount`` (nm as on the shelf) went off ``cloth``,
    or back; without ``cloth`` no lay with the panel is kept on a length, so no length changed."""

    panel: Panel
    cut: bool
    cloth: ClothLength | None = None
    amount: int = 0


@transaction.atomic
def mark_cut(*, panel: Panel, person: Person, now: datetime) -> Booked:
    """Book a panel as cut, and take its cloth off the length its lay is kept on.

    Raises ``panels.NotToCut``, and ``stock.StockError`` where the length holds too little.
    """
    kept = _kept_with(panel, panel.piece.fabric_id)
    if kept is not None:
        try:
            amount = cut_panel(kept=kept, panel=panel, person=person, now=now)
            return Booked(panel, True, kept.cloth, amount)
        except NotHere:
            pass
    panels.book_cut(panel, person=person, now=now)
    return Booked(panel, True)


@transaction.atomic
def mark_uncut(*, panel: Panel, person: Person | None, now: datetime) -> Booked:
    """It was not cut after all: what it took goes back to the length, where nothing else was cut from it."""
    kept = _kept_with(panel, fabric_kept(panel.kept) or panel.piece.fabric_id) if panel.cut_at else None
    if kept is not None:
        try:
            amount = uncut_panel(kept=kept, panel=panel, person=person, now=now)
            return Booked(panel, False, kept.cloth, amount)
        except NotHere:
            pass
    panels.unbook(panel)
    return Booked(panel, False)


def _kept_with(panel: Panel, fabric_id: int | None) -> KeptLay | None:
    """The lay of the panel's fabric, where it is kept on a length that is there."""
    lays = KeptLay.objects.select_related("cloth", "fabric", "project")
    lays = lays.filter(project_id=panel.piece.project_id, fabric_id=fabric_id)
    return lays.filter(cloth__isnull=False, cloth__deleted_at=None).first()


class NotHere(ValidationError):
    """The panel lies in no lay that is kept on a length."""


@transaction.atomic
def cut_panel(*, kept: KeptLay, panel: Panel, person: Person, now: datetime) -> int:
    """Book a panel as cut and take its stretches off the length, as far as they lie there still.

    Returns what was taken, nm as on the shelf. Raises ``NotHere``, ``panels.NotToCut``, and
    ``stock.StockError`` where the length holds too little.
    """
    cloth = _locked(kept)
    mine, _ = _stretches(plan_project(kept.project), kept, panel)
    if panels.book_cut(panel, person=person, now=now).cut_at != now:
        return 0
    taken, washing = 0, Washing.of(kept.fabric, kept.project)
    for stretch in mine:
        if _line_of(kept, stretch.number) is None:
            amount = _amount(stretch, cloth, washing)
            stock.cut(
                row=cloth,
                amount=amount,
                person=person,
                project=kept.project,
                note=_note(stretch.number),
                at=now,
            )
            taken += amount
    return taken


@transaction.atomic
def uncut_panel(*, kept: KeptLay, panel: Panel, person: Person | None, now: datetime) -> int:
    """It was not cut after all: the panel follows the plan again, and stretches of which nothing else is cut
    go back on the shelf, by a line that says so. Returns what went back, nm."""
    _locked(kept)
    mine, others_cut = _stretches(plan_project(kept.project), kept, panel)
    panels.unbook(panel)
    back = 0
    for stretch in mine:
        line = _line_of(kept, stretch.number)
        if line is not None and stretch.number not in others_cut:
            back += stock.uncut(entry=line, person=person, note=f"{line.note}, not cut after all", at=now)
    return back


def stretches_taken(kept: KeptLay) -> frozenset[int]:
    """Numbers of the stretches that were taken off the length since this lay was kept, one query."""
    return frozenset(n for n, (line, open_) in _lines(kept).items() if open_)


def _locked(kept: KeptLay) -> ClothLength:
    """The length of a kept lay, after the project's row is held so that no stretch is taken twice."""
    Project.objects.select_for_update().get(pk=kept.project_id)
    if kept.cloth is None:
        raise NotHere("This lay is kept on cloth still to buy. Keep it on a length, then cut from it.")
    return kept.cloth


def _stretches(plan: Plan, kept: KeptLay, panel: Panel) -> tuple[list[Stretch], set[int]]:
    """The stretches a panel lies in, and the numbers of those that something else was cut from."""
    line = next((f for f in plan.fabrics if f.fabric_id == kept.fabric_id), None)
    places: Iterable[Place] = places_of(plan, kept.fabric_id) if line and line.kept_lay else ()
    numbers = {p.stretch for p in places if p.panel_id == panel.pk}
    if not numbers:
        raise NotHere(f"{panel.name} does not lie in the kept lay as it is now. Look at the lay again.")
    stretches = [s for s in stretches_of(lay_from_json(kept.result)) if s.number in numbers]
    return stretches, {p.stretch for p in places if p.cut and p.panel_id != panel.pk}


def _amount(stretch: Stretch, cloth: ClothLength, washing: Washing) -> int:
    """What a stretch takes off the shelf; all stretches together take exactly what the lay takes."""
    if cloth.washed:
        return stretch.end - stretch.start
    return washing.to_buy(stretch.end) - washing.to_buy(stretch.start)


def _note(number: int) -> str:
    return f"stretch {number} of the lay"


def _lines(kept: KeptLay) -> dict[int, tuple[StockEntry, bool]]:
    """By stretch: the newest line that took it, and whether it stands."""
    found: dict[int, tuple[StockEntry, bool]] = {}
    lines = StockEntry.objects.filter(
        cloth=kept.cloth_id, project=kept.project_id, at__gte=kept.kept_at, note__startswith="stretch "
    )
    for line in lines.order_by("pk"):
        number = int(line.note.split()[1]) if line.note.split()[1].isdecimal() else 0
        if line.kind == "cut" and line.note == _note(number):
            found[number] = (line, True)
        elif line.kind == "counted" and number in found:
            found[number] = (found[number][0], False)
    return found


def _line_of(kept: KeptLay, number: int) -> StockEntry | None:
    line, stands = _lines(kept).get(number, (None, False))
    return line if stands else None
