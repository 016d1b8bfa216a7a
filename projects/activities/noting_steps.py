"""Taking note of the steps as they stand: what changes in the plan from then on is told."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import Project
from projects.planning import plan_project
from projects.planning.steps_seen import mark_of, note_of


@transaction.atomic
def note(*, project: Project, mark: str, now: datetime) -> None:
    """Keep the steps as they stand. ``mark`` is that of the steps somebody saw (see ``mark_of``).

    Raises ValidationError where they have changed since, so that nothing is noted that nobody has seen.
    """
    row = Project.objects.select_for_update().get(pk=project.pk)
    steps = plan_project(row).steps
    if mark != mark_of(steps):
        raise ValidationError("The steps have changed again meanwhile. Look at what is new, then note them.")
    Project.objects.filter(pk=row.pk).update(steps_seen=note_of(steps, now))
