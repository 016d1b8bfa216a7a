"""Recipes side by side on one piece, or on a free size and cloth; printed; and chosen."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from projects.activities import pieces as activity
from projects.activities.revising import Stale
from projects.forms.compare import CompareForm
from projects.models import Piece, RecipeVersion
from projects.planning.compare import LEAST, MOST, Column, Comparison, compare
from projects.planning.recipe_trial import rectangle
from projects.printing.available import pdf_available
from projects.printing.compare import Cell, compare_html, rows_of
from projects.printing.pdf import STATIC, render_pdf

from . import posts
from .pieces import living_piece
from .recipes import number

USUAL = {"metric": "50 cm", "inch": "20 in"}
"""The size a comparison starts with where none is asked for, each way."""
UPRIGHT = 4
"""Columns that fit on upright paper; more are printed across."""
ASKED = 50
"""No more versions than this are looked up of an address, however many it names."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks for. ``row`` is a piece of a project or None; ``piece`` what is planned."""

    row: Piece | None
    piece: Piece | None
    versions: list[RecipeVersion]
    form: CompareForm
    too_many: bool

    @property
    def query(self) -> QueryDict:
        return self.form.data


def _asked(request: HttpRequest) -> Asked:
    wanted = number(request.GET.get("piece"))
    row = living_piece(wanted) if wanted else None
    data = _filled(request.GET, row, request.workroom.units)
    form = CompareForm(data, workroom=request.workroom, on_piece=row is not None)
    valid = form.is_valid()
    read = form.cleaned_data
    versions = _versions([*request.GET.getlist("version")[:ASKED], str(read.get("add") or "")])
    piece = row
    if row is None and valid:
        size = {"across": read["across"], "along": read["along"]}
        piece = rectangle(**size, fabric=read["fabric"], workroom=request.workroom)
    return Asked(row, piece, versions[:MOST], form, len(versions) > MOST)


def _filled(query: QueryDict, row: Piece | None, units: str) -> QueryDict:
    """The address as form data; where it names no size yet, with the usual one."""
    data = query.copy()
    if row is None and "across" not in query and "along" not in query:
        data["across"] = data["along"] = USUAL[units]
    return data


def _versions(asked: list[str]) -> list[RecipeVersion]:
    """Versions of living recipes in the order asked for, each once."""
    keys = [key for text in asked if (key := number(text)) is not None]
    found = RecipeVersion.objects.select_related("recipe").filter(recipe__deleted_at=None).in_bulk(keys)
    return [found[key] for key in dict.fromkeys(keys) if key in found]


def _compared(request: HttpRequest, asked: Asked) -> Comparison | None:
    if asked.piece is None:
        return None
    return compare(
        asked.piece,
        asked.versions,
        workroom=request.workroom,
        today=timezone.localdate(),
        money=request.user.is_owner,
    )


def _address(asked: Asked, without: int | None = None) -> str:
    """What is compared, as the part of an address after "?"."""
    if asked.row is not None:
        kept = [("piece", str(asked.row.pk))]
    else:
        names = ("across", "along", "fabric", "fabric_named", "units")
        kept = [(name, asked.query[name]) for name in names if asked.query.get(name)]
    versions = [("version", str(v.pk)) for v in asked.versions if v.pk != without]
    return urlencode([*kept, *versions])


def _cut(row: Piece | None) -> int:
    return row.panels.exclude(cut_at=None).count() if row is not None else 0


def _rows(found: Comparison, request: HttpRequest) -> list[tuple[str, list[tuple[Column, Cell]]]]:
    """Each fact with its cells, and the recipe each cell is about."""
    rows = rows_of(found, request.workroom)
    return [(row.title, list(zip(found.columns, row.cells, strict=True))) for row in rows]


@require_safe
def compare_page(request: HttpRequest) -> HttpResponse:
    asked = _asked(request)
    found = _compared(request, asked)
    context: dict[str, Any] = {
        "asked": asked,
        "form": asked.form,
        "row": asked.row,
        "found": found,
        "rows": _rows(found, request) if found and asked.versions else [],
        "columns": [(column, _address(asked, column.version.pk)) for column in found.columns]
        if found
        else [],
        "cut": _cut(asked.row),
        "few": len(asked.versions) < LEAST,
        "full": len(asked.versions) >= MOST,
        "most": MOST,
        "pdf": f"{reverse('compare_pdf')}?{_address(asked)}" if asked.versions and pdf_available() else "",
    }
    status = 422 if asked.form.errors else 200
    page, fragment = "compare/compare.html", "compare/_compare.html"
    return posts.show(request, page, context, fragment=fragment, status=status)


def _title(asked: Asked) -> str:
    if asked.row is not None:
        return f"{asked.row.name} of {asked.row.project.title}"
    return "A plain piece"


@require_safe
def compare_pdf(request: HttpRequest) -> HttpResponse:
    """The comparison on paper; where PDFs can't be made here, or nothing is compared, the page itself."""
    asked = _asked(request)
    found = _compared(request, asked)
    if found is None or not asked.versions or not pdf_available():
        return HttpResponseRedirect(f"{reverse('compare')}?{request.GET.urlencode()}")
    paper = request.workroom.paper.lower() + ("-wide" if len(found.columns) > UPRIGHT else "")
    names = {
        "fonts": "fonts-print",
        "style": "sheet",
        "paper_style": f"paper-{paper}",
        "own": "compare-print",
    }
    styles = {key: f"{STATIC}css/{name}.css" for key, name in names.items()}
    today = timezone.localdate()
    html = compare_html(found, request.workroom, title=_title(asked), today=today, styles=styles)
    answer = HttpResponse(render_pdf(html), content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="recipes-compared.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_POST
def compare_use(request: HttpRequest) -> HttpResponse:
    """Let a piece follow the version chosen."""
    key, wanted = number(request.POST.get("piece")), number(request.POST.get("version"))
    if key is None or wanted is None:
        raise Http404
    piece = living_piece(key)
    versions = RecipeVersion.objects.select_related("recipe").filter(recipe__deleted_at=None)
    version = get_object_or_404(versions, pk=wanted)
    revision = number(request.POST.get("revision")) or 0

    def do() -> str:
        try:
            activity.use_version(piece, version=version, revision=revision)
        except Stale:
            messages.error(request, f"{piece.name} was changed meanwhile. Look at it, then choose again.")
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, f"{piece.name} now follows {version.recipe}, version {version.number}.")
        return reverse("piece", args=[piece.pk])

    return posts.once(request, do)


urlpatterns = [
    path("compare/", compare_page, name="compare"),
    path("compare.pdf", compare_pdf, name="compare_pdf"),
    path("compare/use/", compare_use, name="compare_use"),
]
