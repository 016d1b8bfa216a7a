"""Pages of the edges of a piece: all of them, a new one, edit, delete."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import edges as activity
from projects.forms.edge import EdgeForm
from projects.models import Edge, Piece
from projects.planning.making import plan_project

from . import posts
from .editing import offer_undo, save
from .pieces import living_piece

EDIT = "edges/edit.html"


@require_safe
def edges(request: HttpRequest, pk: int) -> HttpResponse:
    piece = living_piece(pk)
    plan = plan_project(piece.project)
    part = next(found for found in plan.pieces if found.piece_id == pk)
    context = {"piece": piece, "project": piece.project, "plan": plan, "part": part}
    return posts.show(request, "edges/edges.html", context)


def _context(piece: Piece, row: Edge | None, form: EdgeForm) -> dict[str, Any]:
    back = reverse("edges", args=[piece.pk])
    return {"piece": piece, "project": piece.project, "row": row, "form": form, "back": back}


@require_http_methods(["GET", "HEAD", "POST"])
def edge_new(request: HttpRequest, pk: int) -> HttpResponse:
    piece = living_piece(pk)
    form = EdgeForm(request.POST or None, workroom=request.workroom)
    context = _context(piece, None, form)
    if request.method != "POST":
        return posts.show(request, EDIT, context)

    def do() -> str:
        activity.add_edge(piece=piece, values=form.changes())
        return context["back"]

    return save(request, form, do, page=EDIT, context=context, back=context["back"])


def _edge_of(piece: Piece, pk: int) -> Edge:
    return get_object_or_404(Edge.objects.live().select_related("piece"), piece=piece, pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def edge_edit(request: HttpRequest, pk: int, edge_pk: int) -> HttpResponse:
    piece = living_piece(pk)
    row = _edge_of(piece, edge_pk)
    form = EdgeForm(request.POST or None, instance=row, workroom=request.workroom)
    context = _context(piece, row, form)
    if request.method != "POST":
        return posts.show(request, EDIT, context)

    def do() -> str:
        activity.change_edge(row, values=form.changes(), revision=form.cleaned_data["revision"] or 0)
        return context["back"]

    return save(request, form, do, page=EDIT, context=context, back=context["back"])


@require_POST
def edge_delete(request: HttpRequest, pk: int, edge_pk: int) -> HttpResponse:
    row = _edge_of(living_piece(pk), edge_pk)

    def do() -> str:
        deletion = activity.delete_edge(row, person=request.user)
        offer_undo(request, f"{row.name} was deleted.", deletion)
        return reverse("edges", args=[pk])

    return posts.once(request, do)


urlpatterns = [
    path("pieces/<int:pk>/edges/", edges, name="edges"),
    path("pieces/<int:pk>/edges/new/", edge_new, name="edge_new"),
    path("pieces/<int:pk>/edges/<int:edge_pk>/", edge_edit, name="edge_edit"),
    path("pieces/<int:pk>/edges/<int:edge_pk>/delete/", edge_delete, name="edge_delete"),
]
