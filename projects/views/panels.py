"""Booking a panel as cut, and taking that back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from projects.activities import panels as activity
from projects.models import Panel

from . import posts
from .pieces import living_piece


@require_POST
def panel_cut(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    panel = _panel(pk, panel_pk)

    def do() -> str:
        try:
            activity.book_cut(panel, person=request.user, now=timezone.now())
        except activity.NotToCut as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, f"{panel.name} is booked as cut; its numbers stay as they are now.")
        return _back(panel)

    return posts.once(request, do)


@require_POST
def panel_uncut(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    panel = _panel(pk, panel_pk)

    def do() -> str:
        activity.unbook(panel)
        messages.success(request, f"{panel.name} is not cut after all; it follows its piece again.")
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
