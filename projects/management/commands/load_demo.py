from typing import Any

from django.core.management.base import BaseCommand, CommandError

from projects.activities.demo import load_demo
from projects.models import Person


class Command(BaseCommand):
    help = "Load the demo studio, Larkfield Workroom, into an empty one. Its owner signs in as demo / demo."

    def handle(self, *args: Any, **options: Any) -> None:
        if Person.objects.exists():
            raise CommandError("This studio has people already. Name an empty folder in FOLDWRIGHT_DATA.")
        load_demo(owner_password="demo")
        self.stdout.write("The demo studio is loaded: sign in as demo with the password demo.")
