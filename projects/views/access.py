"""Who may see what: everything needs a sign-in unless a view says otherwise; some need an owner."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import BadRequest, PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse

View = Callable[..., HttpResponse]
LARGEST_NUMBER = 2**63 - 1
"""No row has a number above this, and a database driver breaks on asking for one."""


def open_to_all(view: View) -> View:
    """Mark a view that needs no sign-in."""
    view.open_to_all = True  # type: ignore[attr-defined]
    return view


def answers_json(view: View) -> View:
    """Mark a view that a script asks: without a sign-in it says so as JSON, and leads nowhere."""
    view.answers_json = True  # type: ignore[attr-defined]
    return view


def owner_only(view: View) -> View:
    """Only an owner of the studio may use the view; a maker gets a plain 403."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_owner:
            raise PermissionDenied(
                "This page is for an owner of the studio. Ask one of them to do it or to make you an owner."
            )
        return view(request, *args, **kwargs)

    guarded.owner_only = True  # type: ignore[attr-defined]
    return guarded


class RequireSignIn:
    """Leads to the sign-in page; with HTMX the whole page goes there, not a fragment of it.

    A form that was posted after sign-out is not saved; a plain page keeps what was typed until the sign-in.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: View, args: Any, kwargs: Any) -> HttpResponse | None:
        if any(isinstance(value, int) and value > LARGEST_NUMBER for value in kwargs.values()):
            raise Http404
        if "%00" in request.META.get("QUERY_STRING", ""):
            raise BadRequest("A database can't be asked for a NUL character.")
        if getattr(view, "open_to_all", False) or request.user.is_authenticated:
            return None
        if getattr(view, "answers_json", False):
            why = "You are signed out. Sign in again; what waits here stays."
            return JsonResponse({"why": why}, status=403)
        if request.method == "POST" and not request.htmx:
            # Imported here: that page is itself a view with an access rule.
            from .signed_out import keep_page

            return keep_page(request)
        read = request.method in ("GET", "HEAD")
        here = request.get_full_path() if read else request.META.get("HTTP_REFERER", "/")
        answer = redirect_to_login(here)
        if request.htmx:
            leave = HttpResponse(status=204)
            leave["HX-Redirect"] = answer["Location"]
            return leave
        return answer
