"""Stages and steps of the studio's own, which its projects get beside those of their pieces. For owners."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import own_steps as activity
from projects.forms.own_steps import StageForm, TemplateForm
from projects.models import OwnStage, Project, StepTemplate
from projects.planning.stages import all_stages

from . import access, posts
from .editing import offer_undo, save

EDIT = "own_steps/edit.html"
KINDS = dict(Project.KINDS)


@require_safe
@access.owner_only
def own_steps(request: HttpRequest) -> HttpResponse:
    """All stages in working order with the steps projects get in each."""
    templates: dict[str, list[StepTemplate]] = {}
    for row in StepTemplate.objects.live().order_by("order", "pk"):
        templates.setdefault(row.stage, []).append(row)
    rows = {row.key: row for row in OwnStage.objects.live()}
    stages = [(s, rows.get(s.key), _in_order(templates.get(s.key, []))) for s in all_stages() if not s.gone]
    return posts.show(request, "own_steps/list.html", {"stages": stages, "kinds": KINDS})


def _in_order(templates: list[StepTemplate]) -> list[StepTemplate]:
    return sorted(templates, key=lambda row: not row.at_start)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def stage_new(request: HttpRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = StageForm(data, workroom=request.workroom, stages=all_stages())

    def do() -> str:
        stage = activity.add_stage(**form.changes())
        messages.success(request, f"The stage {stage.title} is there; steps and hours can be put in it.")
        return reverse("own_steps")

    return _answer(request, form, do, heading="Add a stage", row=None)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def stage_edit(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(OwnStage.objects.live(), pk=pk)
    data = request.POST if request.method == "POST" else None
    form = StageForm(data, instance=row, workroom=request.workroom, stages=all_stages())

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_stage(row, revision=revision, values=form.changes())
        return reverse("own_steps")

    remove = reverse("stage_remove", args=[pk])
    return _answer(request, form, do, heading=f"Stage {row.title}", row=row, remove=remove)


@require_POST
@access.owner_only
def stage_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(OwnStage.objects.live(), pk=pk)

    def do() -> str:
        deletion = activity.remove_stage(row, person=request.user)
        offer_undo(request, f"The stage {row.title} is removed.", deletion)
        return reverse("own_steps")

    return posts.once(request, do)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def template_new(request: HttpRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    wanted = {"stage": request.GET.get("stage", "")[:20], "kind": request.GET.get("kind", "")[:10]}
    form = TemplateForm(data, workroom=request.workroom, stages=all_stages(), initial=wanted)

    def do() -> str:
        row = activity.add_template(values=form.changes())
        messages.success(request, f"{_whose(row)} has the step {row.title} from now on.")
        return reverse("own_steps")

    return _answer(request, form, do, heading="Add a step that projects get", row=None)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def template_edit(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(StepTemplate.objects.live(), pk=pk)
    data = request.POST if request.method == "POST" else None
    form = TemplateForm(data, instance=row, workroom=request.workroom, stages=all_stages())

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_template(row, revision=revision, values=form.changes())
        return reverse("own_steps")

    remove = reverse("template_remove", args=[pk])
    return _answer(request, form, do, heading=row.title, row=row, remove=remove)


@require_POST
@access.owner_only
def template_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Earlier or later among the steps that projects get."""
    row = get_object_or_404(StepTemplate.objects.live(), pk=pk)

    def do() -> str:
        activity.move_template(row, up=request.POST.get("to") == "up")
        return f"{reverse('own_steps')}#step-{pk}"

    return posts.once(request, do)


@require_POST
@access.owner_only
def template_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(StepTemplate.objects.live(), pk=pk)

    def do() -> str:
        said = f"The step {row.title} is removed. Where it is done, skipped or has hours it stays."
        offer_undo(request, said, activity.remove_template(row, person=request.user))
        return reverse("own_steps")

    return posts.once(request, do)


def _whose(row: StepTemplate) -> str:
    return f"Every project of the kind {KINDS[row.kind].lower()}" if row.kind else "Every project"


def _answer(request: HttpRequest, form: Any, do: Any, **context: Any) -> HttpResponse:
    if request.method == "POST":
        return save(request, form, do, page=EDIT, context=context, back=reverse("own_steps"))
    return posts.show(request, EDIT, {"form": form, **context})


urlpatterns = [
    path("studio/steps/", own_steps, name="own_steps"),
    path("studio/steps/stages/new/", stage_new, name="stage_new"),
    path("studio/steps/stages/<int:pk>/", stage_edit, name="stage_edit"),
    path("studio/steps/stages/<int:pk>/remove/", stage_remove, name="stage_remove"),
    path("studio/steps/new/", template_new, name="template_new"),
    path("studio/steps/<int:pk>/", template_edit, name="template_edit"),
    path("studio/steps/<int:pk>/move/", template_move, name="template_move"),
    path("studio/steps/<int:pk>/remove/", template_remove, name="template_remove"),
]
