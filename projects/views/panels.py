"""Booking a panel as cut with its cloth, and taking that back."""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from projects.activities import lay_cutting
from projects.activities.lay_cutting import Booked
from projects.activities.stock import StockError
from projects.calc.lengths import System
from projects.models import Panel

from . import posts
from .cutting_said import refused, said
from .pieces import living_piece


@require_POST
def panel_cut(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    return _booking(request, pk, panel_pk, lay_cutting.mark_cut)


@require_POST
def panel_uncut(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    return _booking(request, pk, panel_pk, lay_cutting.mark_uncut)


def _booking(request: HttpRequest, pk: int, panel_pk: int, mark: Callable[..., Booked]) -> HttpResponse:
    """Book a panel with its cloth, and say what became of both."""
    panel, system = _panel(pk, panel_pk), System(request.workroom.units)

    def do() -> str:
        try:
            booked = mark(panel=panel, person=request.user, now=timezone.now())
            messages.success(request, said(booked, system))
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        except StockError as error:
            messages.error(request, f"{panel.name} was not booked. " + refused(error, system))
        return _back(panel)

    return posts.once(request, do)


def _panel(pk: int, panel_pk: int) -> Panel:
    """A panel of this living piece, or 404."""
    return get_object_or_404(Panel, pk=panel_pk, piece=living_piece(pk))


def _back(panel: Panel) -> str:
    return reverse("piece", args=[panel.piece_id]) + f"?panel={panel.number}"


urlpatterns = [
    path("pieces/<int:pk>/panels/<int:panel_pk>/cut/", panel_cut, name="panel_cut"),
    path("pieces/<int:pk>/panels/<int:panel_pk>/uncut/", panel_uncut, name="panel_uncut"),
]
