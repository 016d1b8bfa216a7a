"""Who else wants a cloth: other projects planned in it whose need nobody has reserved yet."""

from collections.abc import Collection
from datetime import date
from typing import NamedTuple

from django.db.models import Sum

from projects.models import Project, StockEntry

from .making import plan_rows
from .several import load_several
from .uses import uses

OPEN = ("asked", "in_hand", "waiting")
MOST = 12
"""So many projects at most are looked at, those due first: each of them is planned for it."""


class Wanted(NamedTuple):
    """A project and the cloth it still needs and has not reserved, as bought (nm)."""

    project: Project
    amount: int


def also_wanted(project: Project, fabrics: Collection[int], *, today: date) -> dict[int, tuple[Wanted, ...]]:
    """By fabric, what other open projects need of it beyond what is reserved for them. A fixed number of
    queries, whatever the number of projects."""
    others = list(
        Project.objects.live()
        .filter(uses(fabrics, "pieces__", strips=True), state__in=OPEN, pieces__deleted_at=None)
        .exclude(pk=project.pk)
        .distinct()
        .order_by("due", "pk")[:MOST]
    )
    held = _held(others, fabrics)
    found: dict[int, list[Wanted]] = {}
    for rows in load_several(others, today=today):
        for line in plan_rows(rows).fabrics:
            amount = line.for_panels - held.get((rows.project.pk, line.fabric_id), 0)
            if line.fabric_id in fabrics and amount > 0:
                found.setdefault(line.fabric_id, []).append(Wanted(rows.project, amount))
    return {key: tuple(wanted) for key, wanted in found.items()}


def _held(projects: Collection[Project], fabrics: Collection[int]) -> dict[tuple[int, int], int]:
    """What is reserved by project and fabric, nm."""
    lines = StockEntry.objects.filter(
        kind__in=StockEntry.HELD, project__in=projects, cloth__fabric__in=fabrics, cloth__deleted_at=None
    )
    sums = lines.values_list("project_id", "cloth__fabric_id").annotate(all=Sum("amount"))
    return {(project, fabric): -amount for project, fabric, amount in sums}
