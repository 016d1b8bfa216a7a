"""Samples of a recipe: written down, corrected, deleted."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import samples as activity
from projects.calc.lengths import System
from projects.calc.ratio import RATIO_TECHNIQUES
from projects.calc.recipe import Recipe as Content
from projects.forms.sample import COUNTED, SampleForm
from projects.models import Recipe, RecipeVersion, Sample
from projects.planning.samples import DIRECTIONS, side

from . import posts, recipes
from .editing import offer_undo, save
from .photo_strip import strip_of
from .recipe_beside import found_on


def _version(request: HttpRequest, recipe: Recipe) -> RecipeVersion:
    """The version the sample is of: the one asked for, else the newest."""
    wanted = recipes.number(request.GET.get("version"))
    rows = recipe.versions.order_by("-number")
    return get_object_or_404(rows, number=wanted) if wanted else rows.first()


def _starting(content: Content, request: HttpRequest) -> dict[str, Any]:
    """Counts to begin with: two repeats or twelve tucks, as a sample should have; measured today."""
    found: dict[str, Any] = {"made_on": timezone.localdate().isoformat(), "washed": True}
    for name in ("across", "along"):
        if content.ratio is not None:
            break
        direction = side(content, name)
        if direction is None:
            found[f"{name}_tucks"] = 0
            continue
        each = len(direction.tucks) or 1
        found[f"{name}_tucks"] = each * max(2, -(-12 // each))
    fabric = recipes.number(request.GET.get("fabric"))
    return found | ({"fabric": fabric} if fabric else {})


@require_http_methods(["GET", "HEAD", "POST"])
def sample_new(request: HttpRequest, pk: int) -> HttpResponse:
    recipe = get_object_or_404(Recipe.objects.live(), pk=pk)
    version = _version(request, recipe)
    content = Content.from_json(version.content)
    form = SampleForm(
        request.POST or None,
        workroom=request.workroom,
        recipe=content,
        initial={} if request.method == "POST" else _starting(content, request),
    )
    back = reverse("recipe", args=[pk])
    context = {"recipe": recipe, "version": version, "form": form, "back": back, **_kind(content)}
    if request.method != "POST":
        return posts.show(request, "samples/edit.html", context)

    def do() -> str:
        values = form.changes()
        activity.write_sample(version=version, values=values, person=request.user, system=form.system)
        return back

    return save(request, form, do, page="samples/edit.html", context=context, back=back)


def _kind(content: Content) -> dict[str, Any]:
    return {"kind": content.kind_name(), "by_ratio": content.ratio is not None}


def _sample(pk: int) -> Sample:
    rows = Sample.objects.live().filter(version__recipe__deleted_at=None)
    return get_object_or_404(rows.select_related("version__recipe", "fabric", "person"), pk=pk)


@require_safe
def sample(request: HttpRequest, pk: int) -> HttpResponse:
    row = _sample(pk)
    found = found_on(row, System(request.workroom.units))
    context = {"sample": row, "recipe": row.version.recipe, "found": found, "strip": strip_of(row, request)}
    context["counted"] = _counted(row)
    context["counts"] = _counts(row)
    return posts.show(request, "samples/sample.html", context)


def _counted(row: Sample) -> str:
    """What was counted, for the head of its column; nothing where a reading counts once."""
    technique = row.across_technique or row.along_technique
    return COUNTED.get(technique, "") if technique in RATIO_TECHNIQUES else "Tucks"


def _counts(row: Sample) -> dict[str, str]:
    """How many lie between the points of each direction, in words where there is nothing to count."""
    content = Content.from_json(row.content).ratio
    return {
        name: "not counted" if content and not content.counts(name) else str(getattr(row, f"{name}_tucks"))
        for name in DIRECTIONS
    }


@require_http_methods(["GET", "HEAD", "POST"])
def sample_edit(request: HttpRequest, pk: int) -> HttpResponse:
    row = _sample(pk)
    content = Content.from_json(row.content)
    form = SampleForm(request.POST or None, workroom=request.workroom, recipe=content, instance=row)
    back = reverse("sample", args=[pk])
    context = {
        "sample": row,
        "recipe": row.version.recipe,
        "version": row.version,
        "form": form,
        "back": back,
        **_kind(content),
    }
    if request.method != "POST":
        return posts.show(request, "samples/edit.html", context)

    def do() -> str:
        revision = form.cleaned_data.get("revision") or 0
        activity.change_sample(sample=row, changes=form.changes(), revision=revision, system=form.system)
        return back

    return save(request, form, do, page="samples/edit.html", context=context, back=back)


@require_POST
def sample_delete(request: HttpRequest, pk: int) -> HttpResponse:
    row = _sample(pk)

    def do() -> str:
        deletion = activity.delete_sample(sample=row, person=request.user)
        offer_undo(request, f"The {row} was deleted.", deletion)
        return reverse("recipe", args=[row.version.recipe_id])

    return posts.once(request, do)


urlpatterns = [
    path("recipes/<int:pk>/samples/new/", sample_new, name="sample_new"),
    path("samples/<int:pk>/", sample, name="sample"),
    path("samples/<int:pk>/edit/", sample_edit, name="sample_edit"),
    path("samples/<int:pk>/delete/", sample_delete, name="sample_delete"),
]
