"""Which other projects a lay could serve as well."""

from django.db.models import Q

from projects.models import Fabric, Project


def others_for(project: Project, fabric: Fabric) -> list[Project]:
    """Projects that cut panels or strips from the same fabric and whose cloth is washed at the same time, in
    the order of their numbers. All are in hand, this one too: of two, each has the other or neither has."""
    if project.state != "in_hand":
        return []
    panels = Q(pieces__fabric=fabric, pieces__deleted_at=None)
    strips = Q(pieces__edges__fabric=fabric, pieces__edges__deleted_at=None, pieces__deleted_at=None)
    rows = Project.objects.live().filter(panels | strips, state="in_hand", washing=project.washing)
    return list(rows.exclude(pk=project.pk).distinct().order_by("number"))
