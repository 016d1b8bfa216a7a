"""Pages of pieces: one piece with its panels' numbers, new, edit, the live flat size, delete."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import pieces as activity
from projects.forms.piece import PieceForm
from projects.models import Piece, Project
from projects.planning.own_settings import basis_of

from . import posts
from .editing import offer_undo, save
from .piece_page import marks_of, page_of, preview_of
from .projects import living

EDIT = "pieces/edit.html"


def living_piece(pk: int) -> Piece:
    """The piece with this number in addresses, or 404; one of a deleted project is missing too."""
    rows = Piece.objects.live().filter(project__deleted_at=None)
    return get_object_or_404(rows.select_related("project__client", "version__recipe", "fabric"), pk=pk)


@require_safe
def piece_page(request: HttpRequest, pk: int) -> HttpResponse:
    context = page_of(living_piece(pk), request.GET.get("panel", ""), request.workroom)
    return posts.show(request, "pieces/piece.html", context)


@require_safe
def panel_marks(request: HttpRequest, pk: int) -> HttpResponse:
    context = marks_of(living_piece(pk), request.GET.get("panel", ""), request.workroom)
    return posts.show(request, "pieces/marks.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def piece_new(request: HttpRequest, pk: int) -> HttpResponse:
    project = living(pk)
    form = PieceForm(request.POST or None, workroom=request.workroom, initial=_begun(request, project))
    context = _context(project, None, form, request)
    if request.method != "POST":
        return posts.show(request, EDIT, context)

    def do() -> str:
        piece = activity.create_piece(project=project, values=form.changes())
        return reverse("piece", args=[piece.pk])

    return save(request, form, do, page=EDIT, context=context, back=context["back"])


def _begun(request: HttpRequest, project: Project) -> dict[str, Any]:
    """A new piece starts with the recipe asked for, the fabric the project used last, and the allowances of
    what the project is planned with."""
    usual = basis_of(project, request.workroom, {}).workroom
    last = Piece.objects.live().filter(project=project).order_by("-order", "-pk").first()
    recipe = request.GET.get("recipe", "")[:20]
    return {
        "fabric": last.fabric_id if last else None,
        "recipe": recipe or None,
        "allowance_sides": usual.seam_allowance,
        "allowance_top": usual.seam_allowance,
        "allowance_bottom": usual.hem_allowance,
    }


@require_http_methods(["GET", "HEAD", "POST"])
def piece_edit(request: HttpRequest, pk: int) -> HttpResponse:
    piece = living_piece(pk)
    form = PieceForm(request.POST or None, instance=piece, workroom=request.workroom)
    context = _context(piece.project, piece, form, request)
    if request.method != "POST":
        return posts.show(request, EDIT, context)

    def do() -> str:
        activity.change_piece(piece, values=form.changes(), revision=form.cleaned_data["revision"] or 0)
        return context["back"]

    return save(request, form, do, page=EDIT, context=context, back=context["back"])


def _context(project: Project, piece: Piece | None, form: PieceForm, request: HttpRequest) -> dict[str, Any]:
    new = piece is None
    own = [project.pk if new else piece.pk]
    context = {
        "project": project,
        "piece": piece,
        "form": form,
        "back": reverse("project" if new else "piece", args=own),
        "action": reverse("piece_new" if new else "piece_edit", args=own),
        "preview": reverse("piece_new_preview" if new else "piece_preview", args=own),
        "cut": [] if piece is None else list(piece.panels.exclude(cut_at=None).order_by("number")),
    }
    if request.method != "POST" and piece is not None:
        context.update(preview_of(project, piece))
    return context


@require_POST
def piece_preview(request: HttpRequest, pk: int) -> HttpResponse:
    piece = living_piece(pk)
    form = PieceForm(request.POST, instance=piece, workroom=request.workroom)
    return _preview(request, piece.project, piece, form)


@require_POST
def piece_new_preview(request: HttpRequest, pk: int) -> HttpResponse:
    project = living(pk)
    form = PieceForm(request.POST, workroom=request.workroom)
    return _preview(request, project, Piece(project=project), form)


def _preview(request: HttpRequest, project: Project, piece: Piece, form: PieceForm) -> HttpResponse:
    """Say what the typed piece would make; nothing is saved. Without HTMX the whole form comes back."""
    shown = piece if piece.pk else None
    context = _context(project, shown, form, request)
    context["problems"] = [(field.label, field.errors) for field in form if field.errors]
    if form.is_valid():
        for name, value in form.changes().items():
            setattr(piece, name, value)
        context.update(preview_of(project, piece))
    status = 200 if form.is_valid() else 422
    return posts.show(request, EDIT, context, fragment="pieces/_preview.html", status=status)


@require_POST
def piece_newest(request: HttpRequest, pk: int) -> HttpResponse:
    piece = living_piece(pk)

    def do() -> str:
        activity.use_newest_version(piece)
        return reverse("piece", args=[pk])

    return posts.once(request, do)


@require_POST
def piece_move(request: HttpRequest, pk: int) -> HttpResponse:
    """One place earlier or later among the pieces of the project."""
    piece, where = living_piece(pk), request.POST.get("to", "")
    if where not in ("earlier", "later"):
        raise Http404

    def do() -> str:
        activity.move_piece(piece, earlier=where == "earlier")
        return reverse("project", args=[piece.project_id]) + "#pieces"

    return posts.once(request, do)


@require_POST
def piece_delete(request: HttpRequest, pk: int) -> HttpResponse:
    piece = living_piece(pk)

    def do() -> str:
        deletion = activity.delete_piece(piece, person=request.user)
        offer_undo(request, f"{piece.name} was deleted.", deletion)
        return reverse("project", args=[piece.project_id])

    return posts.once(request, do)


urlpatterns = [
    path("projects/<int:pk>/pieces/new/", piece_new, name="piece_new"),
    path("projects/<int:pk>/pieces/preview/", piece_new_preview, name="piece_new_preview"),
    path("pieces/<int:pk>/", piece_page, name="piece"),
    path("pieces/<int:pk>/marks/", panel_marks, name="panel_marks"),
    path("pieces/<int:pk>/edit/", piece_edit, name="piece_edit"),
    path("pieces/<int:pk>/preview/", piece_preview, name="piece_preview"),
    path("pieces/<int:pk>/newest/", piece_newest, name="piece_newest"),
    path("pieces/<int:pk>/move/", piece_move, name="piece_move"),
    path("pieces/<int:pk>/delete/", piece_delete, name="piece_delete"),
]
