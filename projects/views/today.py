"""Today: the running timer, what comes next in each project in hand, what is due, late or waiting."""

from datetime import date, timedelta

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from projects.activities import finding_projects as finding
from projects.models import Fabric, Project, Recipe
from projects.planning.promises import MOST, look_ahead
from projects.planning.stages import stage_titles

from . import posts
from .bench_person import bench_person
from .promises import new_work
from .timer import clock

SHOWN = 12
SOON = timedelta(days=14)
STILL_OPEN = ("asked", "in_hand", "waiting")


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    day = timezone.localdate()
    in_hand = list(finding.projects_in("in_hand")[:MOST])
    ahead = look_ahead(in_hand, today=day, person=bench_person(request).pk)
    if request.htmx and "new" in request.GET:
        return posts.show(request, "today/_promise.html", {"new": new_work(request, ahead)})
    waiting = list(finding.projects_in("waiting")[: SHOWN + 1])
    due = list(_due(day)[:SHOWN])
    shown = clock(request)
    context = {
        "day": day,
        "clock": shown,
        "timer": shown.log if shown else None,
        "stages": stage_titles(),
        "work": [(p, ahead.projects[p.pk], ahead.outlooks.get(p.pk)) for p in in_hand[:SHOWN]],
        "calendar": ahead.calendar,
        "new": new_work(request, ahead),
        "more": len(in_hand) > SHOWN,
        "waiting": waiting[:SHOWN],
        "more_waiting": len(waiting) > SHOWN,
        "late": [p for p in due if p.due < day],
        "soon": [p for p in due if p.due >= day],
        "first_steps": first_steps(),
    }
    return posts.show(request, "today/today.html", context)


def _due(day: date) -> QuerySet[Project]:
    """Projects still open whose date has passed or comes within a fortnight, the longest late first."""
    rows = Project.objects.live().filter(state__in=STILL_OPEN, due__lte=day + SOON)
    return rows.select_related("client").order_by("due", "number")


def first_steps() -> dict[str, bool]:
    """What a new studio has already: a recipe, a fabric, a project."""
    models = {"recipe": Recipe, "fabric": Fabric, "project": Project}
    return {name: model.objects.live().exists() for name, model in models.items()}


urlpatterns = [path("", today, name="today")]
