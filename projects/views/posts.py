"""What every changing view shares: doubled posts, stale forms, answers with and without HTMX."""

import uuid
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from projects.activities.operations import Doubled, claim, finish


def new_key() -> str:
    """A fresh operation key for a form's hidden ``op`` field."""
    return str(uuid.uuid4())


def go(request: HttpRequest, location: str) -> HttpResponse:
    """Lead to another page: a redirect, or HTMX's own when the request was HTMX's."""
    if request.htmx:
        answer = HttpResponse(status=204)
        answer["HX-Redirect"] = location
        return answer
    answer = HttpResponseRedirect(location)
    answer.status_code = 303
    return answer


def once(request: HttpRequest, do: Callable[[], str]) -> HttpResponse:
    """Do a posted change once. ``do`` returns where to go; the same ``op`` again leads to the same place.

    A form without a readable ``op`` is simply done: old forms keep working.
    """
    key = request.POST.get("op", "")
    try:
        claimed = claim(key, person=request.user if request.user.is_authenticated else None)
    except Doubled as doubled:
        return go(request, doubled.location)
    try:
        location = do()
    except BaseException:
        finish(claimed, location=None)
        raise
    finish(claimed, location=location)
    return go(request, location)


def show(
    request: HttpRequest, page: str, context: dict[str, Any], *, fragment: str = "", status: int = 200
) -> HttpResponse:
    """The whole page, or its fragment when HTMX asks and one is named."""
    name = fragment if fragment and request.htmx else page
    answer = render(request, name, context, status=status)
    answer["Vary"] = "HX-Request, Cookie"
    return answer
