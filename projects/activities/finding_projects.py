"""Lists of projects: by state, by words, with hours from the stored sums; never by adding up logs."""

from collections.abc import Iterable

from django.db.models import Count, F, Q, QuerySet, Sum

from projects.models import LabourTotal, Person, Project

ALL = "all"
LISTED = (
    "number",
    "title",
    "state",
    "kind",
    "due",
    "washing",
    "childrens_wear",
    "nightwear",
    "own_settings",
    "first_budget",
    "client__name",
    "client__reference",
)
"""What lists show and plans of several projects need; a brief is long, and sorting carries it along."""


def projects_in(state: str, words: str = "") -> QuerySet[Project]:
    """Living projects of a state ("all" for any) holding ``words``, the nearest due date first."""
    rows = Project.objects.live().select_related("client").only(*LISTED)
    if state != ALL:
        rows = rows.filter(state=state)
    if words:
        rows = rows.filter(_holding(words))
    if state in ("finished", "set_aside"):
        return rows.order_by("-number")
    return rows.order_by(F("due").asc(nulls_last=True), "-number")


def _holding(words: str) -> Q:
    found = (
        Q(title__icontains=words) | Q(client__name__icontains=words) | Q(client__reference__icontains=words)
    )
    number = words.lstrip("#").strip()
    return found | Q(number=int(number)) if number.isdecimal() and len(number) < 10 else found


def count_by_state() -> dict[str, int]:
    """How many living projects are in each state, and in all."""
    rows = Project.objects.live().order_by().values_list("state").annotate(Count("pk"))
    counts = dict(rows)
    return {**counts, ALL: sum(counts.values())}


def minutes_of(projects: Iterable[Project], *, person: Person) -> dict[int, int]:
    """Minutes logged by project: everybody's for an owner, a maker's own for a maker."""
    totals = LabourTotal.objects.filter(project__in=[p.pk for p in projects])
    if not person.is_owner:
        totals = totals.filter(person=person)
    return dict(totals.order_by().values_list("project").annotate(Sum("minutes")))


def minutes_by_stage(project: Project, *, person: Person) -> dict[str, int]:
    """Minutes logged by stage: everybody's for an owner, a maker's own for a maker."""
    totals = LabourTotal.objects.filter(project=project)
    if not person.is_owner:
        totals = totals.filter(person=person)
    return dict(totals.order_by().values_list("stage").annotate(Sum("minutes")))
