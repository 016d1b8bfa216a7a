"""``manage.py export_recipe ID FILE``: a recipe with all its versions, as one JSON file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from projects.activities.exchange import recipe_text
from projects.models import Recipe

from .export_project import write


class Command(BaseCommand):
    help = "Write a recipe to FILE, all its versions. ID is the number in the address of its page."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("id", type=int, metavar="ID")
        parser.add_argument("file", type=Path, metavar="FILE", help="where to write; must not be there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        recipe = Recipe.objects.live().filter(pk=options["id"]).first() if options["id"] < 2**63 else None
        if recipe is None:
            raise CommandError(
                f"There is no recipe {options['id']}. The number stands in its page's address."
            )
        write(options["file"], recipe_text(recipe))
        self.stdout.write(f"{recipe.name} was written to {options['file']}. Samples stay behind.")
