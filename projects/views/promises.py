"""When a project in hand will be done, and by when new work can be promised."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from projects.activities import finding_projects as finding
from projects.calc.minutes import TimeError, parse_hours
from projects.calc.promise import Promise
from projects.models import Project
from projects.planning.promises import MOST as MOST_PROJECTS
from projects.planning.promises import Ahead, Waiting, left_waiting, look_ahead

from . import posts

MOST = 5_000 * 60


@dataclass(frozen=True, slots=True)
class NewWork:
    """New work of so many minutes as it was typed; ``error`` where that can't be read."""

    typed: str = ""
    minutes: int | None = None
    error: str = ""
    promise: Promise | None = None
    waiting: Waiting | None = None
    """What the promise does not count."""


def new_work(request: HttpRequest, ahead: Ahead) -> NewWork:
    """What ``?new=`` asks: hours, where a bare number stands."""
    typed = request.GET.get("new", "")[:40]
    text = typed.strip()
    if not text:
        return NewWork(typed)
    try:
        minutes = parse_hours(text, most=MOST)
    except TimeError as error:
        return NewWork(typed, error=str(error))
    promise = ahead.promise(minutes)
    if promise is None or promise.safe is None:
        return NewWork(typed, minutes, promise=promise)
    waiting = list(finding.projects_in("waiting")[:MOST_PROJECTS])
    counted = left_waiting(waiting, today=ahead.today) if waiting else None
    return NewWork(typed, minutes, promise=promise, waiting=counted)


@require_safe
def project_promise(request: HttpRequest, pk: int) -> HttpResponse:
    """When one project will be done, all others in hand kept; its page fetches this after it has opened."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    in_hand = list(finding.projects_in("in_hand")[:MOST_PROJECTS])
    ahead = look_ahead(in_hand, today=timezone.localdate())
    found = ahead.projects.get(pk)
    context = {
        "project": project,
        "calendar": ahead.calendar,
        "outlook": ahead.outlooks.get(pk),
        "in_hand": found is not None,
        "forecast": found.forecast if found else None,
    }
    if not request.htmx:
        by_row = {row.pk: row for row in in_hand}
        queue = [(by_row[key], ahead.projects[key], outlook) for key, outlook in ahead.outlooks.items()]
        context |= {"queue": queue, "hours_a_week": sum(sum(w.week) for w in ahead.calendar.workers)}
    return posts.show(request, "projects/promise.html", context, fragment="projects/_promise.html")


urlpatterns = [path("projects/<int:pk>/promise/", project_promise, name="project_promise")]
