"""Whether a project that came with a file is planned with its file's settings or with the studio's."""

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import Project
from projects.planning.own_settings import FORMAT

from . import revising


@transaction.atomic
def plan_with(project: Project, *, own: bool) -> Project:
    """The file's settings are kept either way, so that one can go back. Panels that are cut stay as kept."""
    current = Project.objects.select_for_update().get(pk=project.pk)
    came = current.own_settings
    if not came or came.get("format") != FORMAT:
        raise ValidationError("This project came with no file; it is planned with the studio's settings.")
    if bool(came["used"]) == own:
        return current
    changes = {"own_settings": {**came, "used": own}}
    return revising.save_changes(current, revision=current.revision, changes=changes)
