"""The run of one key without planning the whole project at each tap.

Runs are kept by process as long as everything they rest on is as it was: one query asks the database for the
numbers of rows, their revisions and moments, and the same answer means the same runs, in every process.
"""

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from threading import Lock
from typing import Any

from django.db import connection
from django.db.models import CharField, Count, DateTimeField, Max, QuerySet, Sum, Value
from django.utils import timezone

from projects.models import (
    Edge,
    Fabric,
    HandChange,
    LabourRate,
    LearnedRate,
    Panel,
    Piece,
    Project,
    Sample,
    Step,
    Workroom,
)

from .making import plan_project
from .own_settings import uses_own
from .runs import RunPlan, runs_of
from .snapshot import CALC_VERSION

Stamp = tuple[Any, ...]
MOST_KEPT = 12
_at_once = Lock()
_kept: OrderedDict[int, tuple[Stamp, Mapping[str, RunPlan]]] = OrderedDict()


def runs_by_key(project: Project) -> Mapping[str, RunPlan]:
    """Every run of a project by its key; planned anew only after something it rests on changed."""
    stamp = stamp_of(project)
    with _at_once:
        kept = _kept.get(project.pk)
    if kept is None or kept[0] != stamp:
        alike = uses_own(project)
        kept = stamp, {run.key: replace(run, alike=alike) for run in runs_of(plan_project(project))}
    with _at_once:
        _kept[project.pk] = kept
        _kept.move_to_end(project.pk)
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return kept[1]


def run_for(project: Project, key: str) -> RunPlan | None:
    """One run as it is planned now, or None where the plan has none of this key."""
    return runs_by_key(project).get(key)


def stamp_of(project: Project) -> Stamp:
    """What changes whenever a run may have changed; one query."""
    sql, given = _question(connection.vendor)
    with connection.cursor() as cursor:
        cursor.execute(sql, [project.pk if value == _ANY else value for value in given])
        return (CALC_VERSION, timezone.localdate(), *sorted(cursor.fetchall(), key=lambda row: row[0]))


_ANY = 2**53 + 1
"""Stands for the project's key in the query that is kept: no row has it."""


@lru_cache(maxsize=4)
def _question(vendor: str) -> tuple[str, tuple[Any, ...]]:
    """The query and its values; putting it together takes longer than answering it, so it is kept."""
    theirs = {"piece__project": _ANY, "piece__deleted_at": None}
    parts = (
        _count("project", Project.objects.filter(pk=_ANY)),
        _count("workroom", Workroom.objects.all()),
        _count("piece", Piece.objects.live().filter(project=_ANY)),
        _count("panel", Panel.objects.filter(**theirs), Count("cut_at"), Max("cut_at")),
        _count("dropped", Panel.objects.filter(**theirs), Count("dropped_at"), Max("dropped_at")),
        _count("edge", Edge.objects.live().filter(**theirs)),
        _count("sample", Sample.objects.live()),
        _count("fabric", Fabric.objects.live()),
        _count("step", Step.objects.filter(project=_ANY), moment=None),
        _count("rate", LabourRate.objects.all(), Sum("minutes"), None),
        _count("learned", LearnedRate.objects.all(), Sum("mean"), None),
        _count("hand", HandChange.objects.all(), Sum("change"), None),
    )
    return parts[0].union(*parts[1:], all=True).query.sql_with_params()


_CHANGED = Max("changed_at")
_REVISIONS = Sum("revision")


def _count(name: str, rows: QuerySet, revisions: Any = _REVISIONS, moment: Any = _CHANGED) -> QuerySet:
    """How many rows, the sum of their keys and revisions, and when one was last changed."""
    when = Value(None, DateTimeField(null=True)) if moment is None else moment
    counted = rows.order_by().annotate(table=Value(name, CharField())).values("table")
    counted = counted.annotate(many=Count("pk"), keys=Sum("pk"), revisions=revisions, moment=when)
    return counted.values_list("table", "many", "keys", "revisions", "moment")
