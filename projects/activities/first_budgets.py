"""The time budget a project begins with: what was planned when its first hours or its first run began.

The plan moves afterwards, with what finished steps teach and with what people change; this stays beside it.
It is planned after the change that began the work is safe, and let go again where that was a slip and no work
is left; hours that were removed bring theirs back with them. A project that was begun before this was kept,
or came with hours but no budget, has none.
"""

from datetime import date
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import Max, Q, QuerySet
from django.utils import timezone

from projects.models import BenchFact, LabourLog, Project, Run
from projects.planning import plan_project
from projects.planning.first_budget import LET_GO, UNKNOWN, budget_of


def follow(project_id: int | None) -> None:
    """Look whether work on a project began, or none is left, once the change that is under way is safe."""
    if project_id is not None:
        transaction.on_commit(partial(settle, project_id), robust=True)


def settle(project_id: int, *, today: date | None = None) -> None:
    """Keep what is planned now where work began and nothing was kept; let it go where no work is left.

    Nothing is kept while nothing is planned: then the next hours ask again.
    """
    project = Project.objects.filter(pk=project_id).first()
    if project is None or project.first_budget == UNKNOWN:
        return
    kept = project.first_budget
    if kept is None or LET_GO in kept:
        _keep(project, today or timezone.localdate())
    elif not _begun(project_id):
        removed = LabourLog.objects.filter(project=project_id).aggregate(latest=Max("pk"))["latest"]
        # A timer that was a slip leaves no log, so nothing can bring its budget back.
        left = {**kept, LET_GO: removed} if removed else None
        Project.objects.filter(pk=project_id).update(first_budget=left)


def _logs(project_id: int) -> QuerySet[LabourLog]:
    return LabourLog.objects.filter(project=project_id, removed_at=None)


def _begun(project_id: int) -> bool:
    return _logs(project_id).exists() or Run.objects.filter(project=project_id).exists()


def _keep(project: Project, today: date) -> None:
    if not _begun(project.pk):
        return
    kept = _put_back(project)
    if kept is None:
        kept = UNKNOWN if _came_begun(project) else budget_of(plan_project(project), today)
    if kept is None:
        return
    # Who began at the same moment kept the same.
    unkept = Q(first_budget__isnull=True) | Q(first_budget__has_key=LET_GO)
    Project.objects.filter(unkept, pk=project.pk).update(first_budget=kept)


def _put_back(project: Project) -> dict[str, Any] | None:
    """What was let go, where hours that were removed are here again; new hours begin a project anew."""
    kept = dict(project.first_budget or {})
    removed = kept.pop(LET_GO, None)
    if removed is None or not _logs(project.pk).filter(pk__lte=removed).exists():
        return None
    return kept


def _came_begun(project: Project) -> bool:
    """Whether hours or taps of it came with a file: then it was begun elsewhere."""
    if project.own_settings is None:
        return False
    logs = LabourLog.objects.filter(project=project).exclude(worker="")
    return logs.exists() or BenchFact.objects.filter(run__project=project).exclude(worker="").exists()
