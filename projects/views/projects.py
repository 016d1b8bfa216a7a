"""Pages of projects: list by state, one project, new, edit, state, copy, delete."""

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import finding_projects as finding
from projects.activities import projects as activity
from projects.forms.project import ProjectForm
from projects.models import Project

from . import posts
from .editing import keep, offer_undo, save
from .photo_strip import strip_of
from .project_page import page_of

PAGE = 50
STATES = dict(Project.STATES)


def living(pk: int) -> Project:
    """The project with this number in addresses, or 404."""
    return get_object_or_404(Project.objects.live().select_related("client"), pk=pk)


@require_safe
def project_list(request: HttpRequest) -> HttpResponse:
    state = request.GET.get("state", "in_hand")
    if state not in STATES and state != finding.ALL:
        raise Http404
    words = request.GET.get("words", "").strip()[:200]
    page = Paginator(finding.projects_in(state, words), PAGE).get_page(request.GET.get("page"))
    minutes = finding.minutes_of(page.object_list, person=request.user)
    counts = finding.count_by_state()
    tabs = [(key, title, counts.get(key, 0)) for key, title in [*Project.STATES, (finding.ALL, "All")]]
    context = {
        "rows": page,
        "state": state,
        "words": words,
        "minutes": minutes,
        "tabs": tabs,
        "keep": keep(state=state, words=words),
        "any": counts[finding.ALL],
        "title": STATES.get(state, "All"),
    }
    return posts.show(request, "projects/list.html", context)


@require_safe
def project_page(request: HttpRequest, pk: int) -> HttpResponse:
    project = living(pk)
    context = {**page_of(project, request.user), "strip": strip_of(project, request)}
    return posts.show(request, "projects/project.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def project_new(request: HttpRequest) -> HttpResponse:
    initial = {"client": request.GET.get("client", "")[:20]}
    form = ProjectForm(request.POST or None, initial=initial, workroom=request.workroom)
    page, context = "projects/edit.html", {"back": reverse("projects"), "form": form}
    if request.method != "POST":
        return posts.show(request, page, context)

    def do() -> str:
        project = activity.create_project(
            values=form.changes(), new_client=form.new_client_name, person=request.user
        )
        return reverse("project", args=[project.pk])

    return save(request, form, do, page=page, context=context, back=reverse("projects"))


@require_http_methods(["GET", "HEAD", "POST"])
def project_edit(request: HttpRequest, pk: int) -> HttpResponse:
    project, back = living(pk), reverse("project", args=[pk])
    form = ProjectForm(request.POST or None, instance=project, workroom=request.workroom)
    page, context = "projects/edit.html", {"project": project, "back": back, "form": form}
    if request.method != "POST":
        return posts.show(request, page, context)

    def do() -> str:
        activity.change_project(
            project,
            values=form.changes(),
            revision=form.cleaned_data["revision"] or 0,
            new_client=form.new_client_name,
            person=request.user,
        )
        return back

    return save(request, form, do, page=page, context=context, back=back)


@require_POST
def project_state(request: HttpRequest, pk: int) -> HttpResponse:
    project, state = living(pk), request.POST.get("state", "")
    if state not in STATES:
        raise Http404

    def do() -> str:
        activity.set_state(project, state=state)
        return reverse("project", args=[pk])

    return posts.once(request, do)


@require_POST
def project_copy(request: HttpRequest, pk: int) -> HttpResponse:
    project = living(pk)

    def do() -> str:
        copied = activity.copy_project(project, person=request.user)
        return reverse("project_edit", args=[copied.pk])

    return posts.once(request, do)


@require_POST
def project_delete(request: HttpRequest, pk: int) -> HttpResponse:
    project = living(pk)

    def do() -> str:
        deletion = activity.delete_project(project, person=request.user)
        offer_undo(request, f"{project.title} and its pieces were deleted.", deletion)
        return reverse("projects")

    return posts.once(request, do)


urlpatterns = [
    path("projects/", project_list, name="projects"),
    path("projects/new/", project_new, name="project_new"),
    path("projects/<int:pk>/", project_page, name="project"),
    path("projects/<int:pk>/edit/", project_edit, name="project_edit"),
    path("projects/<int:pk>/state/", project_state, name="project_state"),
    path("projects/<int:pk>/copy/", project_copy, name="project_copy"),
    path("projects/<int:pk>/delete/", project_delete, name="project_delete"),
]
