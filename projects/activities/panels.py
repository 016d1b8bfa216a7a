"""Panels as rows: kept in step with their pieces, booked as cut with their numbers kept as they were."""

from django.db import transaction
from django.utils import timezone

from projects.models import Panel, Piece
from projects.planning.naming import PanelName, panel_names


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
