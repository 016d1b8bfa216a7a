"""How much may be posted: looked at before any of it is read."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from .errors import too_large

View = Callable[..., HttpResponse]


def takes_up_to(most: int) -> Callable[[View], View]:
    """Let a view take posts of ``most`` bytes instead of the few that forms need."""

    def mark(view: View) -> View:
        view.largest_post = most  # type: ignore[attr-defined]
        return view

    return mark


class UploadLimit:
    """Answers 413 with a plain page where more comes than the page takes.

    It stands before the check of the form's token, which reads the whole post.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: View, args: Any, kwargs: Any) -> HttpResponse | None:
        most = getattr(view, "largest_post", settings.LARGEST_POST)
        try:
            coming = int(request.META.get("CONTENT_LENGTH") or 0)
        except ValueError:
            return None
        return too_large(request, most) if coming > most else None
