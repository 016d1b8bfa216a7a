from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.template.defaultfilters import filesizeformat

from projects.activities.backup import BackupError, write_backup


class Command(BaseCommand):
    help = (
        "Write a verified copy of everything the studio owns (its key and sign-ins excepted) to a zip file. "
        "The studio may be in use meanwhile."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the zip file to write")
        parser.add_argument("--force", action="store_true", help="replace the file if it is there already")

    def handle(self, *args: Any, file: Path, force: bool, **options: Any) -> None:
        try:
            report = write_backup(file, force=force)
        except BackupError as error:
            raise CommandError(str(error)) from None
        self.stdout.write(
            f"Written and checked: {report.path} ({filesizeformat(report.size)}, {report.rows} rows, "
            f"{plural(report.photographs)}). Keep a copy away from this computer."
        )


def plural(photographs: int) -> str:
    return "1 photograph" if photographs == 1 else f"{photographs} photographs"
