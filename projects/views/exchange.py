"""Projects and recipes out of the studio as files, and in again."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import own_basis
from projects.activities.exchange import (
    LARGEST,
    PROJECT,
    RECIPE,
    File,
    Unreadable,
    bring_project,
    bring_recipe,
    project_text,
    read_file,
    recipe_text,
    waiting,
)
from projects.activities.exchange.hand_rows import hands_shown
from projects.activities.exchange.staying import differences, holds, said_of, stages_of
from projects.forms.exchange import BasisForm, FileForm
from projects.models import Project, Recipe

from . import posts
from .access import owner_only
from .uploads import takes_up_to


def _attached(text: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type="application/json; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def _project(pk: int) -> Project:
    return get_object_or_404(Project.objects.live().select_related("client"), pk=pk)


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def project_export(request: HttpRequest, pk: int) -> HttpResponse:
    """GET says what travels and what stays behind; POST sends the file."""
    project = _project(pk)
    if request.method != "POST":
        return posts.show(request, "exchange/export.html", {"project": project})
    name = f"project-{project.number}-{slugify(project.title)[:40] or 'project'}.json"
    return _attached(project_text(project), name)


@owner_only
@takes_up_to(LARGEST + 100_000)
@require_http_methods(["GET", "HEAD", "POST"])
def project_import(request: HttpRequest) -> HttpResponse:
    """A file is sent and looked at; nothing is saved before the next page's yes."""
    posted = request.method == "POST"
    sent = (request.POST, request.FILES) if posted else (None, None)
    form = FileForm(*sent, workroom=request.workroom, kind=PROJECT)
    if not posted or not form.is_valid():
        context = {"form": form, "kind": PROJECT}
        return posts.show(request, "exchange/send.html", context, status=422 if posted else 200)
    token = waiting.keep(request.user, form.data_read)
    return posts.go(request, reverse("project_import_check", args=[token]))


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def project_import_check(request: HttpRequest, token: str) -> HttpResponse:
    """What is in a file that was sent, which settings differ, and the yes."""
    data = waiting.fetch(request.user, token)
    if data is None:
        raise Http404
    try:
        file = read_file(data)
    except Unreadable as error:
        raise Http404 from error
    form = BasisForm(request.POST if request.method == "POST" else None, workroom=request.workroom)
    context = _check_context(request, file, form)
    if request.method != "POST":
        return posts.show(request, "exchange/check.html", context)
    if context["differences"] and not form.is_valid():
        return posts.show(request, "exchange/check.html", context, status=422)
    own = bool(context["differences"]) and form.cleaned_data["use"] == "file"
    try:
        return posts.once(request, lambda: _bring(request, file, token, own))
    except Unreadable as error:
        context["problem"] = str(error)
        return posts.show(request, "exchange/check.html", context, status=422)


def _check_context(request: HttpRequest, file: File, form: BasisForm) -> dict[str, Any]:
    return {
        "file": file,
        "title": file.title,
        "holds": holds(file),
        "stages": stages_of(file),
        "hands": hands_shown(file),
        "differences": differences(file, request.workroom, timezone.localdate()),
        "form": form,
        "prices": file.currency == request.workroom.currency,
        "alike": Project.objects.live().filter(title=file.title).order_by("pk")[:5],
    }


def _bring(request: HttpRequest, file: File, token: str, own: bool) -> str:
    brought = bring_project(file, person=request.user, own=own)
    waiting.drop(request.user, token)
    project = brought.project
    messages.success(request, f"{file.title} was brought in as number {project.number if project else ''}.")
    for text in said_of(brought):
        messages.info(request, text)
    return reverse("project", args=[project.pk if project else 0])


@require_POST
def project_settings(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan a project that came with a file by its file's settings, or by the studio's."""
    project, use = _project(pk), request.POST.get("use", "")
    if use not in ("file", "studio"):
        raise Http404

    def do() -> str:
        try:
            own_basis.plan_with(project, own=use == "file")
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return reverse("project", args=[pk])

    return posts.once(request, do)


@require_safe
def recipe_export(request: HttpRequest, pk: int) -> HttpResponse:
    recipe = get_object_or_404(Recipe.objects.live(), pk=pk)
    return _attached(recipe_text(recipe), f"recipe-{slugify(recipe.name)[:60] or recipe.pk}.json")


@takes_up_to(LARGEST + 100_000)
@require_http_methods(["GET", "HEAD", "POST"])
def recipe_import(request: HttpRequest) -> HttpResponse:
    """A recipe's file is taken in at once: it changes nothing that is here."""
    posted = request.method == "POST"
    sent = (request.POST, request.FILES) if posted else (None, None)
    form = FileForm(*sent, workroom=request.workroom, kind=RECIPE)
    if not posted or not form.is_valid() or form.found is None:
        context = {"form": form, "kind": RECIPE}
        return posts.show(request, "exchange/send.html", context, status=422 if posted else 200)
    found = form.found

    def do() -> str:
        brought = bring_recipe(found, person=request.user)
        recipe = brought.recipes[0]
        here = "is here already with all its versions" if brought.used["recipes"] else "was brought in"
        messages.success(request, f"{recipe.name} {here}.")
        return reverse("recipe", args=[recipe.pk])

    return posts.once(request, do)


urlpatterns = [
    path("projects/<int:pk>/export/", project_export, name="project_export"),
    path("projects/<int:pk>/settings/", project_settings, name="project_settings"),
    path("projects/import/", project_import, name="project_import"),
    path("projects/import/<str:token>/", project_import_check, name="project_import_check"),
    path("recipes/<int:pk>/export/", recipe_export, name="recipe_export"),
    path("recipes/import/", recipe_import, name="recipe_import"),
]
