"""Booking one panel of an accepted lay as cut, or taking that back."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from projects.activities import lay_cutting as cutting
from projects.activities.stock import StockError
from projects.calc.lengths import System
from projects.models import KeptLay, Panel

from . import posts
from .cutting_said import refused, said
from .lay_shown import rows


def _cutting(request: HttpRequest, pk: int, fabric_id: int, panel_pk: int, *, cut: bool) -> HttpResponse:
    """Book a panel of the kept lay as cut, or take that back, with the ledger of the length."""
    project, fabric = rows(pk, fabric_id)
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
    path("projects/<int:pk>/lay/<int:fabric_id>/cut/<int:panel_pk>/", lay_cut, name="lay_cut"),
    path("projects/<int:pk>/lay/<int:fabric_id>/uncut/<int:panel_pk>/", lay_uncut, name="lay_uncut"),
]
