"""The page of a lay: how one fabric's panels lie on the cloth; keep it, or let go of it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_GET, require_POST

from projects.activities import lays as activity
from projects.activities.stock import StockError
from projects.calc.lengths import System
from projects.drawings import lay as drawing
from projects.forms.lay import KeepLayForm
from projects.models import Fabric, KeptLay, Project
from projects.planning import plan_project
from projects.planning.lay_choice import cut_names, lengths_for
from projects.planning.plan import FabricPlan

from . import posts
from .editing import save

PAGE = "lays/lay.html"
WIDE = 960
"""The drawing's width in pixels; on a phone it scrolls inside its frame, so letters stay readable."""


def _rows(pk: int, fabric_id: int) -> tuple[Project, Fabric]:
    project = get_object_or_404(Project.objects.live().select_related("client"), pk=pk)
    return project, get_object_or_404(Fabric, pk=fabric_id)


def _drawn(line: FabricPlan, request: HttpRequest, width: int) -> str:
    if line.lay is None or not line.lay.placements:
        return ""
    title = f"The lay of {line.name}: {len(line.lay.placements)} panels on the cloth"
    system = System(request.workroom.units)
    return drawing.lay(line.lay, cloth_width=width, system=system, title=title, width=WIDE)


def _context(request: HttpRequest, project: Project, fabric: Fabric, data: Any = None) -> dict[str, Any]:
    """What the page shows; the form keeps the lay that is shown."""
    plan = plan_project(project)
    line = next((f for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    kept = KeptLay.objects.filter(project=project, fabric=fabric).select_related("cloth", "kept_by").first()
    shown = kept if line and line.kept_lay else None
    width = shown.width if shown else line.width if line else fabric.width
    length = line.lay.length if line and line.lay else None
    form = KeepLayForm(
        data,
        workroom=request.workroom,
        stock=lengths_for(fabric, project),
        initial={"seen": length, "cloth": kept.cloth_id if kept else None},
    )
    return {
        "project": project,
        "fabric": fabric,
        "line": line,
        "cut": cut_names(plan, fabric.pk),
        "left_out": [p for p in plan.pieces if p.fabric_id == fabric.pk and p.problem],
        "kept": kept,
        "width": width,
        "form": form,
        "drawing": _drawn(line, request, width) if line else "",
    }


@require_GET
def lay_page(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    return posts.show(request, PAGE, _context(request, *_rows(pk, fabric_id)))


@require_POST
def lay_keep(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = _rows(pk, fabric_id)
    context = _context(request, project, fabric, request.POST)
    form: KeepLayForm = context["form"]
    back = reverse("lay", args=[pk, fabric_id])

    def do() -> str:
        values = form.cleaned_data
        try:
            activity.keep_lay(
                project=project,
                fabric=fabric,
                cloth=values["cloth"],
                reserve=values["reserve"],
                seen=values["seen"],
                person=request.user,
            )
        except StockError as error:
            raise ValidationError({"cloth": error.text(form.written)}) from error
        messages.success(request, "The lay is kept.")
        return back

    try:
        return save(request, form, do, page=PAGE, context=context, back=back)
    except activity.LayMoved:
        return _moved(request, project, fabric)


def _moved(request: HttpRequest, project: Project, fabric: Fabric) -> HttpResponse:
    """The plan changed while somebody looked: nothing was kept, here is the lay as it is now."""
    context = _context(request, project, fabric) | {"moved": True}
    return posts.show(request, PAGE, context, status=409)


@require_POST
def lay_forget(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = _rows(pk, fabric_id)

    def do() -> str:
        activity.forget_lay(project=project, fabric=fabric)
        messages.success(request, "The lay is no longer kept. What was reserved for it stays reserved.")
        return reverse("lay", args=[pk, fabric_id])

    return posts.once(request, do)


urlpatterns = [
    path("projects/<int:pk>/lay/<int:fabric_id>/", lay_page, name="lay"),
    path("projects/<int:pk>/lay/<int:fabric_id>/keep/", lay_keep, name="lay_keep"),
    path("projects/<int:pk>/lay/<int:fabric_id>/forget/", lay_forget, name="lay_forget"),
]
