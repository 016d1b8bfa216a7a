"""Panels as rows: kept in step with their pieces, booked as cut with their numbers kept as they were."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from projects.models import Panel, Person, Piece
from projects.planning import plan_project
from projects.planning.naming import PanelName, panel_names
from projects.planning.plan import PanelLine
from projects.planning.snapshot import CALC_VERSION, FORMAT, keep


@transaction.atomic
def sync_panels(piece: Piece) -> None:
    """Give a piece the named panel rows it should have.

    A panel that is cut keeps its row, its name and its hand whatever becomes of the piece; one that is no
    longer wanted and not cut is dropped, and taken up again when it is wanted once more.
    """
    wanted = {n.number: n for n in panel_names(piece.name, piece.count, piece.mirrored, piece.spare)}
    there = {panel.number: panel for panel in Panel.objects.select_for_update().filter(piece=piece)}
    new = [_row(piece, name) for number, name in wanted.items() if number not in there]
    Panel.objects.bulk_create(new, ignore_conflicts=True)
    for number, panel in there.items():
        _bring_up(panel, wanted.get(number))


def _row(piece: Piece, name: PanelName) -> Panel:
    return Panel(piece=piece, number=name.number, name=name.name, mirrored=name.mirrored, spare=name.spare)


def _bring_up(panel: Panel, name: PanelName | None) -> None:
    """Write what differs of one row that is not cut."""
    if panel.cut_at is not None:
        return
    before = (panel.name, panel.mirrored, panel.spare, panel.dropped_at)
    if name is None:
        panel.dropped_at = panel.dropped_at or timezone.now()
    else:
        panel.name, panel.mirrored, panel.spare, panel.dropped_at = name.name, name.mirrored, name.spare, None
    if before != (panel.name, panel.mirrored, panel.spare, panel.dropped_at):
        panel.save(update_fields=["name", "mirrored", "spare", "dropped_at"])


class NotToCut(ValidationError):
    """A panel that can't be booked as cut, and why."""


@transaction.atomic
def book_cut(panel: Panel, *, person: Person, now: datetime) -> Panel:
    """Keep a panel's numbers as they are now. Booked already: nothing changes.

    What it takes from a length of cloth is a line of the ledger (``activities.stock.cut``), written by
    whoever knows the length, together with this in one transaction.
    """
    row = Panel.objects.select_for_update().get(pk=panel.pk)
    if row.cut_at is not None:
        return row
    line = _planned(row)
    row.cut_at, row.cut_by, row.dropped_at = now, person, None
    row.kept = keep(line.hand, line.plan, line.fabric_id)
    row.kept_format, row.calc_version = FORMAT, CALC_VERSION
    row.save(update_fields=["cut_at", "cut_by", "dropped_at", "kept", "kept_format", "calc_version"])
    return row


def _planned(panel: Panel) -> PanelLine:
    """The panel's line in the Plan as it stands. Raises NotToCut when it has no numbers."""
    plan = plan_project(panel.piece.project)
    piece = next((p for p in plan.pieces if p.piece_id == panel.piece_id), None)
    if piece is not None and piece.problem:
        raise NotToCut(piece.problem)
    line = next((x for x in piece.panels if x.panel_id == panel.pk), None) if piece else None
    if line is None:
        raise NotToCut(f"{panel.name} is no longer in the plan. Look at the piece before cutting.")
    return line


@transaction.atomic
def unbook(panel: Panel) -> Panel:
    """It was not cut after all: its numbers follow the plan again, and its row follows its piece."""
    row = Panel.objects.select_for_update().get(pk=panel.pk)
    if row.cut_at is None:
        return row
    row.cut_at = row.cut_by = row.kept = row.kept_format = None
    row.calc_version = ""
    row.save(update_fields=["cut_at", "cut_by", "kept", "kept_format", "calc_version"])
    sync_panels(row.piece)
    row.refresh_from_db()
    return row
