"""Recipe pages: the list, a recipe worked out live, a new one, an older version."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.db.models import Count, Max, Prefetch, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path
from django.views.decorators.http import require_POST, require_safe

from projects.calc.errors import CalcError
from projects.calc.lengths import System
from projects.calc.recipe import Recipe as Content
from projects.forms import recipe as form
from projects.models import Piece, Recipe, RecipeVersion, Sample

from . import posts, recipe_page
from .editing import keep
from .recipe_beside import beside

PAGE = 50


def _found(words: str) -> QuerySet[Recipe]:
    """Living recipes whose name holds ``words``, with their newest version and what hangs on them."""
    rows = Recipe.objects.live().annotate(
        newest=Max("versions__number"),
        sampled=Count("versions__samples", filter=Q(versions__samples__deleted_at=None), distinct=True),
        pieces=Count(
            "versions__pieces",
            distinct=True,
            filter=Q(versions__pieces__deleted_at=None, versions__pieces__project__deleted_at=None),
        ),
    )
    if words:
        rows = rows.filter(name__icontains=words)
    ordered = RecipeVersion.objects.order_by("-number")
    return rows.order_by("name", "pk").prefetch_related(Prefetch("versions", ordered, to_attr="all_versions"))


def kind_of(version: RecipeVersion) -> str:
    """The kind of a stored version in plain English."""
    try:
        return Content.from_json(version.content).kind_name()
    except CalcError:
        return "can't be read"


@require_safe
def recipe_list(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("words", "").strip()[:200]
    page = Paginator(_found(words), PAGE).get_page(request.GET.get("page"))
    for row in page:
        row.kind = kind_of(row.all_versions[0]) if row.all_versions else ""
    return posts.show(request, "recipes/list.html", {"rows": page, "words": words, "keep": keep(words=words)})


def number(text: str | None) -> int | None:
    """A row's number from an address or a hidden field; None when it is no number."""
    return int(text) if text and text.isdecimal() and len(text) < 18 else None


def version_context(
    request: HttpRequest, version: RecipeVersion | None, project: str | None
) -> dict[str, Any]:
    """What stands around the numbers: the recipe, its versions, samples, and what it is used on."""
    shared = {"version": version, "recipe": None, "project": number(project)}
    if version is None:
        return shared
    recipe = version.recipe
    versions = list(recipe.versions.order_by("-number"))
    samples = Sample.objects.live().filter(version__recipe=recipe).select_related("fabric", "version")
    used = Piece.objects.live().filter(version__recipe=recipe, project__deleted_at=None)
    pieces = list(used.select_related("project")[:200])
    shared.update(recipe=recipe, versions=versions, newest=versions[0].number, next=versions[0].number + 1)
    return {**shared, **beside(request, list(samples), pieces, version.number)}


def page(
    request: HttpRequest,
    state: form.RecipeState,
    version: RecipeVersion | None,
    *,
    project: str | None,
    status: int = 200,
    show_problems: bool = False,
) -> HttpResponse:
    """The whole page of a state."""
    around = version_context(request, version, project)
    context = recipe_page.context(request, state, **around, show_problems=show_problems)
    if version is not None and context["work"] is not None:
        context |= recipe_page.advice(request, state, context["fabric"])
    return posts.show(request, "recipes/recipe.html", context, status=status)


def _stored(request: HttpRequest, version: RecipeVersion, around: QuerySet[Sample]) -> form.RecipeState:
    state = form.state_from_recipe(
        Content.from_json(version.content), version.typed, System(request.workroom.units)
    )
    tried = around.order_by("-made_on", "-pk").first()
    state.fabric = str(tried.fabric_id) if tried else ""
    return state


@require_safe
def recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """The newest version, ready to be changed."""
    row = get_object_or_404(Recipe.objects.live(), pk=pk)
    version = row.versions.select_related("recipe").order_by("-number").first()
    return _show(request, version)


@require_safe
def recipe_version(request: HttpRequest, pk: int, wanted: int) -> HttpResponse:
    """Any version. Changing it starts the next one from it; it stays as it is."""
    versions = RecipeVersion.objects.select_related("recipe").filter(recipe__deleted_at=None)
    return _show(request, get_object_or_404(versions, recipe=pk, number=wanted))


def _show(request: HttpRequest, version: RecipeVersion) -> HttpResponse:
    samples = Sample.objects.live().filter(version__recipe=version.recipe_id, fabric__deleted_at=None)
    state = _stored(request, version, samples)
    return page(request, state, version, project=request.GET.get("project"))


def posted_state(request: HttpRequest) -> form.RecipeState:
    """The page as posted, read in the units it was shown in."""
    shown = request.POST.get("units", "")
    system = System(shown if shown in set(System) else request.workroom.units)
    return form.state_from_post(request.POST, system)


def base_version(request: HttpRequest) -> RecipeVersion | None:
    """The version the page started from; None for a new recipe."""
    base = number(request.POST.get("base"))
    found = RecipeVersion.objects.select_related("recipe").filter(pk=base, recipe__deleted_at=None)
    return found.first() if base else None


@require_POST
def recipe_work_out(request: HttpRequest) -> HttpResponse:
    """Recalculate what is typed. Saves nothing: fragments while typing, the whole page without JavaScript."""
    state = posted_state(request)
    if request.htmx:
        redraw = form.to_redraw(state, request.POST)
        context = recipe_page.context(request, state, redraw=redraw, oob=True, naming="name" in request.POST)
        return posts.show(
            request,
            "recipes/_live.html",
            context,
            fragment="recipes/_live.html",
            status=422 if state.wrong else 200,
        )
    pressed = bool(request.POST.get("do"))
    base, project = base_version(request), request.POST.get("project")
    answer = page(request, state, base, project=project, show_problems=not pressed)
    answer.status_code = 422 if state.wrong else 200
    return answer


urlpatterns = [
    path("recipes/", recipe_list, name="recipes"),
    path("recipes/work-out/", recipe_work_out, name="recipe_work_out"),
    path("recipes/<int:pk>/", recipe, name="recipe"),
    path("recipes/<int:pk>/versions/<int:wanted>/", recipe_version, name="recipe_version"),
]
