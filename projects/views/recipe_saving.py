"""Keeping a recipe: a new one, the next version with what it changes, its name, and away with it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import recipe_shelf
from projects.activities import recipes as activity
from projects.calc.lengths import System
from projects.forms import recipe as form
from projects.forms.recipe_name import RecipeNameForm
from projects.models import Recipe
from projects.planning.following import Consequence, consequences

from . import posts, recipe_page, recipes
from .editing import offer_undo, save

NOT_CARRIED = {"csrfmiddlewaretoken", "op", "do", "follow", "note", "confirmed"}
"""Of the posted page, what the page of consequences does not hand on: it has its own."""


@require_http_methods(["GET", "HEAD", "POST"])
def recipe_new(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        state = form.starting_state(System(request.workroom.units))
        return recipes.page(request, state, None, project=request.GET.get("project"))
    state = recipes.posted_state(request)
    if not sound(request, state):
        return recipes.page(
            request, state, None, project=request.POST.get("project"), status=422, show_problems=True
        )

    def do() -> str:
        name = state.name or state.recipe.kind_name()
        row = activity.create_recipe(
            name=name, content=state.recipe, typed=state.typed(), person=request.user
        )
        messages.success(request, f"“{row.name}” is kept as version 1.")
        return reverse("recipe", args=[row.pk])

    return posts.once(request, do)


def sound(request: HttpRequest, state: form.RecipeState) -> bool:
    """Whether the recipe can be kept: everything readable, and something that can be laid. A size tried on
    that does not fit keeps nobody from saving."""
    recipe_page.check(state, request)
    return state.recipe is not None and not any(cell.error for cell in state.of_recipe) and not state.errors


@require_POST
def recipe_save(request: HttpRequest, pk: int) -> HttpResponse:
    """The next version. Where pieces use the recipe, first a page of what it would change in them."""
    row = get_object_or_404(Recipe.objects.live(), pk=pk)
    state = recipes.posted_state(request)
    base = recipes.base_version(request)
    base = (
        base
        if base and base.recipe_id == row.pk
        else row.versions.select_related("recipe").order_by("-number").first()
    )
    if not sound(request, state):
        project = request.POST.get("project")
        return recipes.page(request, state, base, project=project, status=422, show_problems=True)
    came_from = recipes.number(request.POST.get("project"))
    found = consequences(row, state.recipe, workroom=request.workroom, came_from=came_from)
    if found and "confirmed" not in request.POST and not _unchanged(row, state):
        return _ask(request, row, state, found)
    return posts.once(request, lambda: _keep(request, row, state))


def _unchanged(row: Recipe, state: form.RecipeState) -> bool:
    newest = row.versions.order_by("-number").first()
    return newest is not None and newest.content == state.recipe.to_json() and newest.typed == state.typed()


def _ask(
    request: HttpRequest, row: Recipe, state: form.RecipeState, found: list[Consequence]
) -> HttpResponse:
    last = row.versions.order_by("-number").first()
    carried = [(k, v) for k, v in request.POST.items() if k not in NOT_CARRIED]
    context = {"recipe": row, "next": last.number + 1, "found": found, "carried": carried, "state": state}
    return posts.show(request, "recipes/save.html", context)


def _keep(request: HttpRequest, row: Recipe, state: form.RecipeState) -> str:
    before = row.versions.order_by("-number").first()
    followers = [n for text in request.POST.getlist("follow") if (n := recipes.number(text)) is not None]
    version = activity.save_version(
        recipe=row,
        content=state.recipe,
        typed=state.typed(),
        person=request.user,
        follow_piece_ids=followers,
        note=state.note,
    )
    if before is not None and version.pk == before.pk:
        messages.info(request, f"Nothing has changed since version {version.number}; there is no new one.")
    else:
        follow = (
            f" {len(followers)} piece{'' if len(followers) == 1 else 's'} follow it." if followers else ""
        )
        messages.success(request, f"Kept as version {version.number}.{follow}")
    project = recipes.number(request.POST.get("project"))
    return reverse("recipe", args=[row.pk]) + (f"?project={project}" if project else "")


@require_http_methods(["GET", "HEAD", "POST"])
def recipe_rename(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Recipe.objects.live(), pk=pk)
    back = reverse("recipe", args=[pk])
    named = RecipeNameForm(request.POST or None, instance=row, workroom=request.workroom)
    context = {"recipe": row, "form": named, "back": back}
    if request.method != "POST":
        return posts.show(request, "recipes/rename.html", context)

    def do() -> str:
        values = named.changes()
        recipe_shelf.rename_recipe(
            recipe=row,
            name=values["name"],
            notes=values["notes"],
            revision=named.cleaned_data.get("revision") or 0,
        )
        return back

    return save(request, named, do, page="recipes/rename.html", context=context, back=back)


@require_POST
def recipe_delete(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Recipe.objects.live(), pk=pk)

    def do() -> str:
        try:
            deletion = recipe_shelf.delete_recipe(recipe=row, person=request.user)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return reverse("recipe", args=[pk])
        offer_undo(request, f"The recipe “{row.name}” was deleted.", deletion)
        return reverse("recipes")

    return posts.once(request, do)


urlpatterns = [
    path("recipes/new/", recipe_new, name="recipe_new"),
    path("recipes/<int:pk>/save/", recipe_save, name="recipe_save"),
    path("recipes/<int:pk>/rename/", recipe_rename, name="recipe_rename"),
    path("recipes/<int:pk>/delete/", recipe_delete, name="recipe_delete"),
]
