"""The stored sums of minutes, which change only together with a log."""

from django.db.models import F

from projects.models import LabourLog, LabourTotal

from . import first_budgets, learning


def add_to_total(log: LabourLog, minutes: int) -> None:
    """Move the stored sum of the log's project, person and stage. Time of no project has no sum.

    The budget its project began with follows, then what the log's step teaches of how long work takes: else
    the hours that begin a project would move the budget they are held to.
    """
    first_budgets.follow(log.project_id)
    learning.follow(log.step_id)
    if log.project_id is None or not minutes:
        return
    total, _ = LabourTotal.objects.get_or_create(
        project_id=log.project_id, person_id=log.person_id, worker=log.worker, stage=log.stage
    )
    LabourTotal.objects.filter(pk=total.pk).update(minutes=F("minutes") + minutes)
