"""``manage.py export_project NUMBER FILE``: a project with all its plan rests on, as one JSON file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from projects.activities.exchange import project_text
from projects.activities.exchange.staying import STAYS_BEHIND

from .plan import find


class Command(BaseCommand):
    help = "Write a project to FILE. NUMBER is the one on its prints. What stays behind is said."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("number", type=int, metavar="NUMBER", help="the project's number, or its id")
        parser.add_argument("file", type=Path, metavar="FILE", help="where to write; must not be there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        project = find(options["number"])
        write(options["file"], project_text(project))
        self.stdout.write(f"{project.number} {project.title} was written to {options['file']}.")
        self.stdout.write(f"Left behind: {STAYS_BEHIND}.")


def write(file: Path, text: str) -> None:
    """Write a file that was not there; what is there is never overwritten."""
    try:
        with file.open("x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    except FileExistsError:
        raise CommandError(f"{file} is there already. Choose another name, or move it away first.") from None
    except OSError as error:
        reason = error.strerror or "it is refused"
        raise CommandError(f"{file} can't be written: {reason.lower()}. Choose another place.") from None
