from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from projects.activities.balances import Difference, recount
from projects.models import ClothLength


class Command(BaseCommand):
    help = "Compare what is kept of each length and notion with its ledger, and say where they differ."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="write what the ledger comes to")

    def handle(self, *args: Any, mend: bool, **options: Any) -> None:
        found = recount(mend=mend)
        for difference in found:
            self.stdout.write(said(difference))
        if not found:
            self.stdout.write("Every length and notion agrees with its ledger.")
        elif mend:
            self.stdout.write(f"Mended: {len(found)}.")
        else:
            self.stdout.write(f"Different: {len(found)}. Nothing was written; run again with --mend to mend.")


def said(difference: Difference) -> str:
    """One line; amounts are nanometres of a length, thousandths of a notion's unit."""
    row = difference.row
    noun, unit = ("length", "nm") if isinstance(row, ClothLength) else ("notion", "thousandths")
    return (
        f"{noun} {row.pk} ({row}): kept {row.shelf} {unit} on the shelf and {row.held} reserved, "
        f"the ledger says {difference.shelf} and {difference.held}"
    )
