"""The page of a lay: how one fabric's panels lie on the cloth, watched while it is being improved."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.views.decorators.http import require_safe

from projects.activities import lay_runs
from projects.forms.lay_work import WidthForm
from projects.models import Fabric, Project
from projects.planning import plan_project
from projects.planning.lay_widths import compare_width

from . import posts
from .lay_shown import PAGE, PART, context_of, looked_at, rows, signature

PROGRESS, WIDTH = "lays/_progress.html", "lays/_width.html"


@require_safe
def lay_page(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)
    context = context_of(request, project, fabric)
    if "at" in request.GET and "other_width" in context:
        context |= _compared(request, project, fabric)
    return posts.show(request, PAGE, context)


@require_safe
def lay_progress(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    """How far the search is; once the lay is a better one, or the search is over, the lay anew as well."""
    project, fabric = rows(pk, fabric_id)
    if not request.htmx:
        return posts.go(request, reverse("lay", args=[pk, fabric_id]))
    draft = looked_at(project, fabric)
    if draft and draft.state == "running" and request.GET.get("shown") == signature(draft):
        progress = lay_runs.progress(draft)
        context = {"project": project, "fabric": fabric, "progress": progress, "shown": signature(draft)}
        answer = posts.show(request, PROGRESS, {**context, "polled": True})
        answer["HX-Reswap"] = "none"
        return answer
    return posts.show(request, PART, context_of(request, project, fabric))


@require_safe
def lay_width(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    """What the lay takes at another width; without HTMX on the lay's own page."""
    project, fabric = rows(pk, fabric_id)
    if not request.htmx:
        return posts.go(request, f"{reverse('lay', args=[pk, fabric_id])}?{request.GET.urlencode()}#width")
    context = {"project": project, "fabric": fabric, **_compared(request, project, fabric)}
    return posts.show(request, WIDTH, context)


def _compared(request: HttpRequest, project: Project, fabric: Fabric) -> dict[str, Any]:
    form = WidthForm(request.GET, workroom=request.workroom)
    if not form.is_valid():
        return {"other_width": form}
    width, draft = form.cleaned_data["at"], looked_at(project, fabric)
    found = compare_width(draft, width, plan_project(project), fabric, project)
    less = (found.now_length or 0) - (found.length or 0)
    return {"other_width": form, "at": found, "less": max(less, 0), "more": max(-less, 0)}


urlpatterns = [
    path("projects/<int:pk>/lay/<int:fabric_id>/", lay_page, name="lay"),
    path("projects/<int:pk>/lay/<int:fabric_id>/progress/", lay_progress, name="lay_progress"),
    path("projects/<int:pk>/lay/<int:fabric_id>/width/", lay_width, name="lay_width"),
]
