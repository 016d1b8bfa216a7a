"""The page of a lay: how one fabric's panels lie on the cloth; keep it, or let go of it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from projects.activities import lay_cutting as cutting
from projects.activities import lays as activity
from projects.activities.lay_cutting import stretches_taken
from projects.activities.stock import StockError
from projects.calc.lengths import System
from projects.drawings import lay as drawing
from projects.forms.lay import KeepLayForm
from projects.models import Fabric, KeptLay, Panel, Project
from projects.planning import plan_project
from projects.planning.lay_choice import lengths_for
from projects.planning.lay_places import Place, places_of
from projects.planning.plan import FabricPlan

from . import posts
from .cutting_said import refused, said
from .editing import save

PAGE = "lays/lay.html"
WIDE, TALLEST = 996, 640
"""The drawing in pixels: the sheet's width; on a phone it scrolls in its frame, so letters stay readable."""


def _rows(pk: int, fabric_id: int) -> tuple[Project, Fabric]:
    project = get_object_or_404(Project.objects.live().select_related("client"), pk=pk)
    return project, get_object_or_404(Fabric, pk=fabric_id)


def _drawn(line: FabricPlan | None, places: tuple[Place, ...], request: HttpRequest) -> str:
    if line is None or line.lay is None or not places:
        return ""
    return drawing.lay(
        line.lay,
        cloth_width=line.lay_width,
        system=System(request.workroom.units),
        title=f"The lay of {line.name}: how {len(places)} parts lie on the cloth, listed below",
        cut=[i for i, place in enumerate(places) if place.cut],
        width=WIDE,
        tallest=TALLEST,
    )


def _form(
    request: HttpRequest, data: Any, project: Project, fabric: Fabric, line: FabricPlan | None, kept: Any
) -> KeepLayForm:
    """The form that keeps the lay that is shown; where it is kept already is not offered again."""
    form = KeepLayForm(
        data,
        workroom=request.workroom,
        stock=lengths_for(fabric, project),
        initial={
            "seen": line.lay.length if line and line.lay else None,
            "cloth": kept.cloth_id if kept else None,
        },
    )
    if data is None and kept and line and line.kept_lay:
        form.leave_out(kept.cloth_id)
    return form


def _context(request: HttpRequest, project: Project, fabric: Fabric, data: Any = None) -> dict[str, Any]:
    """What the page shows; the form keeps the lay that is shown."""
    plan = plan_project(project)
    line = next((f for f in plan.fabrics if f.fabric_id == fabric.pk), None)
    kept = KeptLay.objects.filter(project=project, fabric=fabric).select_related("cloth", "kept_by").first()
    places = places_of(plan, fabric.pk)
    on_length = bool(line and line.kept_lay and kept and kept.cloth)
    return {
        "project": project,
        "fabric": fabric,
        "line": line,
        "places": places,
        "to_cut": len({(p.panel_id, p.panel) for p in places if not p.cut}),
        "on_length": on_length,
        "taken": stretches_taken(kept) if kept and on_length else frozenset(),
        "reserved": activity.reserved_by(kept) if kept else 0,
        "left_out": [p for p in plan.pieces if p.fabric_id == fabric.pk and p.problem],
        "kept": kept,
        "width": line.lay_width if line else fabric.width,
        "form": _form(request, data, project, fabric, line, kept),
        "drawing": _drawn(line, places, request),
    }


@require_safe
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
            raise ValidationError({"cloth": error.text(form.at_least, form.at_most)}) from error
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
        release = request.POST.get("release") == "on"
        freed = activity.forget_lay(project=project, fabric=fabric, person=request.user, release=release)
        then = "What it had reserved is free again." if freed else "Nothing was released."
        messages.success(request, f"The lay is no longer kept. {then}")
        return reverse("lay", args=[pk, fabric_id])

    return posts.once(request, do)


def _cutting(request: HttpRequest, pk: int, fabric_id: int, panel_pk: int, *, cut: bool) -> HttpResponse:
    """Book a panel of the kept lay as cut, or take that back, with the ledger of the length."""
    project, fabric = _rows(pk, fabric_id)
    lays = KeptLay.objects.select_related("cloth", "fabric", "project")
    kept = lays.filter(project=project, fabric=fabric).first()
    panel = get_object_or_404(Panel.objects.select_related("piece"), pk=panel_pk, piece__project=project)
    change, system = cutting.cut_panel if cut else cutting.uncut_panel, System(request.workroom.units)

    def do() -> str:
        try:
            if kept is None:
                raise ValidationError("Nothing was booked: this lay is no longer kept. Keep it first.")
            amount = change(kept=kept, panel=panel, person=request.user, now=timezone.now())
            messages.success(request, said(cutting.Booked(panel, cut, kept.cloth, amount), system))
        except StockError as error:
            messages.error(request, refused(error, system))
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return reverse("lay", args=[pk, fabric_id])

    return posts.once(request, do)


@require_POST
def lay_cut(request: HttpRequest, pk: int, fabric_id: int, panel_pk: int) -> HttpResponse:
    return _cutting(request, pk, fabric_id, panel_pk, cut=True)


@require_POST
def lay_uncut(request: HttpRequest, pk: int, fabric_id: int, panel_pk: int) -> HttpResponse:
    return _cutting(request, pk, fabric_id, panel_pk, cut=False)


urlpatterns = [
    path("projects/<int:pk>/lay/<int:fabric_id>/", lay_page, name="lay"),
    path("projects/<int:pk>/lay/<int:fabric_id>/keep/", lay_keep, name="lay_keep"),
    path("projects/<int:pk>/lay/<int:fabric_id>/forget/", lay_forget, name="lay_forget"),
    path("projects/<int:pk>/lay/<int:fabric_id>/cut/<int:panel_pk>/", lay_cut, name="lay_cut"),
    path("projects/<int:pk>/lay/<int:fabric_id>/uncut/<int:panel_pk>/", lay_uncut, name="lay_uncut"),
]
