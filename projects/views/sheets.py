"""The job sheet: as a page for the browser's own print, and as a PDF."""

from base64 import b64encode
from collections.abc import Callable, Iterator
from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.templatetags.static import static
from django.urls import path, reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from projects.activities import finding_projects
from projects.activities.photos import photo_file_path, photos_of
from projects.models import Photo, Project
from projects.planning import plan_project
from projects.planning.lay_cuts import made_cuts
from projects.planning.plan import Plan
from projects.printing.available import pdf_available, why_not
from projects.printing.pdf import STATIC, render_pdf
from projects.printing.sheet import Picture, Sheet, make_sheet, sheet_html


def _plan(request: HttpRequest, project: Project) -> Plan:
    """The plan; a maker's sheet tells the hours of that maker alone."""
    plan = plan_project(project)
    if request.user.is_owner:
        return plan
    own = finding_projects.minutes_by_stage(project, person=request.user)
    return replace(plan, budget=tuple(replace(line, logged=own.get(line.stage, 0)) for line in plan.budget))


def _on_page(photo: Photo) -> str:
    return reverse("photo_file", args=[photo.key, "page"])


def _in_pdf(photo: Photo) -> str:
    """The file itself: the printer asks nobody for anything."""
    return "data:image/jpeg;base64," + b64encode(photo_file_path(photo, "page").read_bytes()).decode()


def _pictures(project: Project, address: Callable[[Photo], str]) -> Iterator[Picture]:
    """The project's photographs for the sheet, oldest first; one whose file is missing is left out."""
    for photo in photos_of(project).filter(on_sheet=True).select_related("step").order_by("pk"):
        caption = photo.caption or (photo.step.title if photo.step else "")
        if photo_file_path(photo, "page").is_file():
            yield Picture(address(photo), caption)


def _sheet(request: HttpRequest, project: Project, address_of_photo: Callable[[Photo], str]) -> Sheet:
    base = request.workroom.public_address.rstrip("/")
    address = base + reverse("project", args=[project.pk]) if base else ""
    return make_sheet(
        _plan(request, project),
        request.workroom,
        today=timezone.localdate(),
        address=address,
        pictures=_pictures(project, address_of_photo),
        own_hours=not request.user.is_owner,
        made=made_cuts(project),
    )


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet in the browser; what it shows is what its own print command prints."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    made = _sheet(request, project, _on_page)
    extra = {
        "pdf": False,
        "fonts": static("css/fonts-page.css"),
        "style": static("css/sheet.css"),
        "screen_style": static("css/sheet-screen.css"),
        "paper_style": static(f"css/paper-{made.paper.lower()}.css"),
        "pdf_url": reverse("sheet_pdf", args=[pk]) if pdf_available() else "",
        "why_not": why_not(),
    }
    return HttpResponse(sheet_html(made, **extra))


def _print_styles(made: Sheet) -> dict[str, str]:
    names = {"fonts": "fonts-print", "style": "sheet", "paper_style": f"paper-{made.paper.lower()}"}
    return {key: f"{STATIC}css/{name}.css" for key, name in names.items()}


@require_safe
def sheet_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet as a PDF; where PDFs can't be made here, the page for the browser's own print."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    if not pdf_available():
        return redirect("sheet", pk=pk)
    made = _sheet(request, project, _in_pdf)
    body = render_pdf(sheet_html(made, pdf=True, **_print_styles(made)))
    answer = HttpResponse(body, content_type="application/pdf")
    name = slugify(f"{project.number} {project.title}") or str(project.number)
    answer["Content-Disposition"] = f'inline; filename="job-sheet-{name[:60]}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


urlpatterns = [
    path("projects/<int:pk>/sheet/", sheet, name="sheet"),
    path("projects/<int:pk>/sheet.pdf", sheet_pdf, name="sheet_pdf"),
]
