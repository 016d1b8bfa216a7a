"""Which other projects a lay could serve as well."""

from projects.models import Fabric, Project

from .uses import uses


def others_for(project: Project, fabric: Fabric) -> list[Project]:
    """Projects that cut panels, what lies under them or strips from the same fabric and whose cloth is washed
    at the same time, in the order of their numbers. All are in hand, this one too: of two, each has the other
    or neither has."""
    if project.state != "in_hand":
        return []
    theirs = uses([fabric.pk], "pieces__", strips=True)
    rows = Project.objects.live().filter(theirs, pieces__deleted_at=None)
    rows = rows.filter(state="in_hand", washing=project.washing)
    return list(rows.exclude(pk=project.pk).distinct().order_by("number"))
