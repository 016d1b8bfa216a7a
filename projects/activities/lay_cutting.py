"""Cutting an accepted lay: its cuts ticked off, panels booked as cut, the ledger of lengths, remnants.

What a lay uses of a length goes off the shelf with the first cut made from it. A panel is booked as cut by
the cut that frees the last of it, wherever somebody says so: at the table, on its piece's page, by its step.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import ClothLength, Fabric, KeptLay, LayCut, Panel, Person, Project
from projects.planning.lay_cuts import CutStep, Cutting, accepted_lay, cutting_of, lays_of
from projects.planning.snapshot import fabric_kept

from . import flaws, panels, remnants, stock


class NotHere(ValidationError):
    """The panel lies in no lay that can be cut from a length."""


class NotNow(ValidationError):
    """A cut that can't be made, or taken back, as things are; it says why and what to do."""


@dataclass(frozen=True, slots=True)
class Booked:
    """What became of a panel: ``cut`` or not after all. ``amount`` (nm as on the shelf) went off ``cloth``,
    or back; without ``cloth`` no accepted lay with the panel has one, so no length changed. ``others`` are
    panels that were booked with it, or not after all; ``remnants`` what was made of cloth that is over."""

    panel: Panel
    cut: bool
    cloth: ClothLength | None = None
    amount: int = 0
    others: tuple[str, ...] = ()
    remnants: tuple[ClothLength, ...] = ()


@dataclass(frozen=True, slots=True)
class Ticked:
    """One cut that was made or taken back: what it took off its length (nm as on the shelf) or gave back, the
    panels it booked and the remnants it made. ``changed`` is False where it had been so before."""

    step: CutStep
    amount: int = 0
    panels: tuple[Panel, ...] = ()
    remnants: tuple[ClothLength, ...] = ()
    changed: bool = True


@transaction.atomic
def tick(*, kept: KeptLay, number: int, person: Person, now: datetime) -> Ticked:
    """Cut ``number`` is made. Made already: nothing changes.

    Raises ``NotNow`` (others come first, the plan has changed, the cloth is still to buy),
    ``panels.NotToCut``, and ``stock.StockError`` where the length holds too little.
    """
    cutting = _locked(kept)
    step = _step(cutting, number)
    if step.made:
        return Ticked(step, changed=False)
    if waits := cutting.waits_for(step):
        raise NotNow(f"Cut {number} comes after {_numbers(waits)}. Make {_those(waits)} first.")
    _may_cut(cutting, [step])
    return _make(cutting, step, set(cutting.made), person, now)


@transaction.atomic
def untick(*, kept: KeptLay, number: int, person: Person | None, now: datetime) -> Ticked:
    """Cut ``number`` was not made after all: panels follow the plan again, cloth goes back on the shelf, its
    remnants go. Not made: nothing changes.

    Raises ``NotNow`` where later cuts were made from what it left or a remnant was used, and
    ``stock.StockError`` where its length was deleted.
    """
    cutting = _locked(kept)
    step = _step(cutting, number)
    if not step.made:
        return Ticked(step, changed=False)
    if after := cutting.made_from(step):
        those = _those(after)
        raise NotNow(
            f"Cut {number} can't be taken back yet: {_numbers(after)} came after it. "
            f"Take {those} back first, the last one before the others."
        )
    return _unmake(cutting, step, person, now)


def _locked(kept: KeptLay) -> Cutting:
    """The cuts of a lay, after its projects' rows are held so that none is made twice."""
    list(Project.objects.select_for_update().filter(pk=kept.project_id))
    now = lays_of([kept.project_id]).filter(pk=kept.pk).first()
    if now is None:
        raise NotNow("Nothing was booked: this lay was let go of meanwhile. Accept a lay first.")
    return cutting_of(now)


def _step(cutting: Cutting, number: int) -> CutStep:
    step = cutting.step(number)
    if step is None:
        most = len(cutting.steps)
        raise NotNow(f"There is no cut {number} in this lay; its cuts are numbered 1 to {most}.")
    return step


def _may_cut(cutting: Cutting, steps: Iterable[CutStep]) -> None:
    if cutting.changed:
        raise NotNow(
            "The plan has changed since this lay was accepted, so a panel would get a size that is no longer "
            "right. Look at the lay: let it go, and accept the one for the plan as it is now."
        )
    for step in steps:
        if step.cloth is None:
            raise NotNow(
                f"Cut {step.number} is from cloth still to buy. Say on the lay's page which length it is."
            )
        if not step.cloth.is_live:
            raise NotNow(
                f"The length {step.cloth} was deleted, so nothing can be cut from it. Bring it back under "
                "Deleted, or let this lay go."
            )


def _make(cutting: Cutting, step: CutStep, made: set[int], person: Person, now: datetime) -> Ticked:
    """Book one cut; ``made`` are the numbers made so far, to which its own is added."""
    kept, cloth = cutting.kept, step.cloth
    assert cloth is not None
    entry = None
    if step.takes:
        note = f"cut {step.number} of the lay"
        entry = stock.cut(
            row=cloth, amount=step.takes, person=person, project=kept.project, note=note, at=now
        )
        flaws.move_up(cloth, step.takes)
    row = LayCut.objects.create(lay=kept, number=step.number, cut_at=now, cut_by=person, entry=entry)
    made.add(step.number)
    kept_over = [remnants.make(cloth, left, cutting.washing, person, now) for left in step.keeps]
    row.remnants.set(kept_over)
    booked = []
    for panel in _rows(cutting.panels_of(step)):
        if all(s.number in made for s in cutting.steps_freeing(panel.pk)) and panel.cut_at is None:
            booked.append(panels.book_cut(panel, person=person, now=now))
    return Ticked(step, step.takes, tuple(booked), tuple(kept_over))


def _unmake(cutting: Cutting, step: CutStep, person: Person | None, now: datetime) -> Ticked:
    row = step.made
    assert row is not None
    gone = tuple(row.remnants.all())
    for remnant in gone:
        if why := remnants.why_used(remnant):
            raise NotNow(f"Cut {step.number} can't be taken back: {why}")
    for remnant in gone:
        remnants.take_back(remnant, step.number, person, now)
    amount = 0
    entry = row.entry
    row.delete()
    if entry is not None:
        amount = stock.uncut(entry=entry, person=person, note=f"{entry.note}, not cut after all", at=now)
        flaws.move_down(entry.cloth, amount)
    back = [panels.unbook(panel) for panel in _rows(cutting.panels_of(step)) if panel.cut_at]
    return Ticked(step, amount, tuple(back), gone)


def _rows(keys: Iterable[int]) -> list[Panel]:
    return list(Panel.objects.filter(pk__in=list(keys)).select_related("piece__project").order_by("pk"))


@transaction.atomic
def mark_cut(*, panel: Panel, person: Person, now: datetime) -> Booked:
    """Book a panel as cut, with all cuts of its accepted lay that it takes to have it.

    Raises ``panels.NotToCut``, and ``stock.StockError`` where the length holds too little. A panel in no lay
    on a length that is there, or in one the plan has left, is booked alone.
    """
    kept = _lay_with(panel, panel.piece.fabric_id)
    if kept is not None:
        try:
            return _cut_free(kept, panel, person, now)
        except NotHere:
            pass
    panels.book_cut(panel, person=person, now=now)
    return Booked(panel, True)


@transaction.atomic
def mark_uncut(*, panel: Panel, person: Person | None, now: datetime) -> Booked:
    """It was not cut after all: cuts that only it needed are taken back, as far as nothing was made from them
    since."""
    kept = _lay_with(panel, fabric_kept(panel.kept) or panel.piece.fabric_id) if panel.cut_at else None
    if kept is not None:
        try:
            return _put_back(kept, panel, person, now)
        except NotHere:
            pass
    panels.unbook(panel)
    return Booked(panel, False)


def _lay_with(panel: Panel, fabric_id: int | None) -> KeptLay | None:
    fabric = Fabric.objects.filter(pk=fabric_id).first() if fabric_id else None
    return accepted_lay(panel.piece.project, fabric) if fabric else None


def _cut_free(kept: KeptLay, panel: Panel, person: Person, now: datetime) -> Booked:
    cutting = _locked(kept)
    steps = _way_to(cutting, panel)
    try:
        _may_cut(cutting, steps)
    except NotNow as problem:
        raise NotHere(problem.messages[0]) from problem
    made, done = set(cutting.made), []
    for step in steps:
        if step.number not in made:
            done.append(_make(cutting, step, made, person, now))
    panels.book_cut(panel, person=person, now=now)
    return _together(panel, steps, done, cut=True)


def _put_back(kept: KeptLay, panel: Panel, person: Person | None, now: datetime) -> Booked:
    cutting = _locked(kept)
    steps = _way_to(cutting, panel)
    panels.unbook(panel)
    if not any(step.made for step in steps):
        return Booked(panel, False)
    done: list[Ticked] = []
    for step in reversed(steps):
        if step.made and _only_for(cutting, step, panel):
            done.append(_unmake(cutting, step, person, now))
            cutting = cutting_of(cutting.kept)
    return _together(panel, steps, done, cut=False)


def _only_for(cutting: Cutting, step: CutStep, panel: Panel) -> bool:
    """Whether a made cut serves nothing any more once this panel isn't cut."""
    now = cutting.step(step.number)
    if now is None or now.made is None or cutting.made_from(now):
        return False
    if any(remnants.why_used(remnant) for remnant in now.made.remnants.all()):
        return False
    others = cutting.panels_of(now) - {panel.pk}
    return not Panel.objects.filter(pk__in=others, cut_at__isnull=False).exists()


def _way_to(cutting: Cutting, panel: Panel) -> tuple[CutStep, ...]:
    steps = cutting.steps_to(panel.pk)
    if not steps:
        raise NotHere(f"{panel.name} does not lie in the accepted lay. Look at the lay again.")
    return steps


def _together(panel: Panel, steps: tuple[CutStep, ...], done: list[Ticked], *, cut: bool) -> Booked:
    others = {row.name: None for tick in done for row in tick.panels if row.pk != panel.pk}
    return Booked(
        panel=panel,
        cut=cut,
        cloth=steps[-1].cloth,
        amount=sum(tick.amount for tick in done),
        others=tuple(others),
        remnants=tuple(remnant for tick in done for remnant in tick.remnants),
    )


def _numbers(numbers: Iterable[int]) -> str:
    """"cut 3", "cuts 3 and 4", "cuts 3, 4 and 5"."""
    *first, last = [str(number) for number in numbers]
    return f"cuts {', '.join(first)} and {last}" if first else f"cut {last}"


def _those(numbers: tuple[int, ...]) -> str:
    return "it" if len(numbers) == 1 else "those"
