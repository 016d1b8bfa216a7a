"""``manage.py import_recipe FILE``: a recipe from a file that ``export_recipe`` or its page has written."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from projects.activities.exchange import RECIPE, bring_recipe

from .import_project import owner, read


class Command(BaseCommand):
    help = (
        "Bring a recipe from FILE into this studio. One that is here already with all its versions is used."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        brought = bring_recipe(read(options["file"], RECIPE), person=owner())
        recipe, here = brought.recipes[0], bool(brought.used["recipes"])
        said = "is here already with all its versions; nothing was added" if here else "was brought in"
        self.stdout.write(f"{recipe.name} {said}.")
