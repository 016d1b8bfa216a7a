"""Which other projects a lay could serve as well."""

from django.db.models import Q

from projects.models import Fabric, Project

OPEN = ("asked", "in_hand", "waiting")
"""States of projects whose cloth may still be cut."""


def others_for(project: Project, fabric: Fabric) -> list[Project]:
    """Projects asked about, in hand or waiting that cut panels or strips from the same fabric, and whose
    cloth is washed at the same time as this one's, in the order of their numbers. Of two, each has the
    other."""
    panels = Q(pieces__fabric=fabric, pieces__deleted_at=None)
    strips = Q(pieces__edges__fabric=fabric, pieces__edges__deleted_at=None, pieces__deleted_at=None)
    rows = Project.objects.live().filter(panels | strips, state__in=OPEN, washing=project.washing)
    return list(rows.exclude(pk=project.pk).distinct().order_by("number"))
