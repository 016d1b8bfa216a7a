"""Which other projects a lay could serve as well."""

from django.db.models import Q

from projects.models import Fabric, Project


def others_for(project: Project, fabric: Fabric) -> list[Project]:
    """Projects in hand that cut panels or strips from the same fabric, in the order of their numbers."""
    panels = Q(pieces__fabric=fabric, pieces__deleted_at=None)
    strips = Q(pieces__edges__fabric=fabric, pieces__edges__deleted_at=None, pieces__deleted_at=None)
    rows = Project.objects.live().filter(panels | strips, state="in_hand").exclude(pk=project.pk)
    return list(rows.distinct().order_by("number"))
