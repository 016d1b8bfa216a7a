from typing import Any

from django.core.management.base import BaseCommand

from projects.activities.learning import learn_all
from projects.models import StepTime


class Command(BaseCommand):
    help = "Work out anew, from the hours of all finished steps, how long work takes here."

    def handle(self, *args: Any, **options: Any) -> None:
        changed = learn_all()
        count = StepTime.objects.values("step").distinct().count()
        self.stdout.write(f"{count} finished steps with hours; {changed} differed from what was kept.")
