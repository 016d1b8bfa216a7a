"""The studio's settings beside every request, and what every page needs of them."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from projects.models import Workroom

from .bench_worker import whose

NAV = {
    "": "today",
    "projects": "projects",
    "pieces": "projects",
    "clients": "projects",
    "cloth": "cloth",
    "recipes": "recipes",
    "samples": "recipes",
    "compare": "recipes",
    "hours": "hours",
}
"""The first part of an address -> which of the five it belongs to."""


class WorkroomMiddleware:
    """Puts the studio's settings on the request (one small query) and turns times to its zone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.workroom = Workroom.load()
        with timezone.override(request.workroom.zone):
            return self.get_response(request)


def page_context(request: HttpRequest) -> dict[str, Any]:
    """``workroom`` for every template, which of the five an address belongs to (``nav``), ``whose`` it is."""
    workroom = getattr(request, "workroom", None) or Workroom.load()
    first = request.path.strip("/").split("/")[0]
    return {"workroom": workroom, "nav": NAV.get(first, ""), "whose": partial(whose, request)}
