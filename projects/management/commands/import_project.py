"""``manage.py import_project FILE``: a project from a file that ``export_project`` or its page wrote."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from projects.activities.exchange import LARGEST, PROJECT, File, Unreadable, bring_project, read_file
from projects.activities.exchange.staying import said_of
from projects.models import Person


class Command(BaseCommand):
    help = (
        "Bring a project from FILE into this studio: all of it, or nothing. Clients and photographs are in "
        "no file; hours come under the names written there."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument(
            "--plan-with",
            choices=("file", "studio"),
            default="file",
            help="plan it with the settings of its file (usual; numbers stay) or the studio's",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        file = read(options["file"], PROJECT)
        try:
            brought = bring_project(file, person=owner(), own=options["plan_with"] == "file")
        except Unreadable as error:
            raise CommandError(f"Nothing was saved. {error}") from None
        project = brought.project
        self.stdout.write(f"Brought in as number {project.number}: {project.title}.")
        for line in said_of(brought):
            self.stdout.write(line)


def read(path: Path, kind: str) -> File:
    """A file of this kind, read whole; no more of it is read than a file may have."""
    try:
        with path.open("rb") as found:
            data = found.read(LARGEST + 1)
    except OSError as error:
        reason = error.strerror or "it is refused"
        raise CommandError(f"{path} can't be read: {reason.lower()}.") from None
    if len(data) > LARGEST:
        raise CommandError(
            f"Nothing was saved. {path} has more than 10 MB. Choose a file that Foldwright wrote."
        )
    try:
        file = read_file(data)
    except Unreadable as error:
        raise CommandError(f"Nothing was saved. {error}") from None
    if file.kind != kind:
        raise CommandError(f"Nothing was saved. This is the file of a {file.kind}: use import_{file.kind}.")
    return file


def owner() -> Person | None:
    """In whose name rows are written: the first owner's, or nobody's in a studio that has none yet."""
    return Person.objects.filter(role=Person.OWNER, is_active=True).order_by("pk").first()
