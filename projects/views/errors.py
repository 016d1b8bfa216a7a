"""Plain pages for what went wrong: what was asked, what can be done."""

from typing import Any

from django.core.exceptions import BadRequest, RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from .see import gone


def _page(request: HttpRequest, status: int, title: str, text: str, **more: str) -> HttpResponse:
    if request.path.startswith("/see/"):
        # Who comes by a client's link gets one answer to everything that is wrong, and no cookie.
        return gone()
    return render(request, "error.html", {"heading": title, "text": text, **more}, status=status)


UNREADABLE = "The request was not in a form this page understands. Go back and try again."
TOO_MUCH = {
    RequestDataTooBig: "More was typed or pasted than a form takes. Nothing was saved; send it in parts.",
    TooManyFieldsSent: "The form had more fields than a page takes. Nothing was saved; send it in parts.",
    TooManyFilesSent: "More files were chosen than a page takes. Nothing was saved; choose fewer at once.",
}


def too_large(request: HttpRequest, most: int) -> HttpResponse:
    """What was posted is larger than the ``most`` bytes that the page takes."""
    text = (
        f"More was sent than this page takes, {most // 1_000_000} MB. Nothing was saved. "
        "Go back, and send smaller files or fewer at once."
    )
    return _page(request, 413, "Too much at once", text)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    if type(exception) in TOO_MUCH:
        return _page(request, 400, "Too much at once", TOO_MUCH[type(exception)])
    # What a page of the studio's own says is wrong; anything else may hold what is nobody's business.
    said = str(exception) if type(exception) is BadRequest else ""
    return _page(request, 400, "That could not be read", said or UNREADABLE)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    text = str(exception) if exception and str(exception) else "This page is not for you to see or change."
    return _page(request, 403, "Not for this sign-in", text)


def missing(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _page(
        request,
        404,
        "Nothing here",
        "There is no such page, or what it showed was deleted. "
        "What was deleted can be brought back for thirty days, under Deleted.",
        also="deleted",
    )


def broken(request: HttpRequest) -> HttpResponse:
    return HttpResponse(
        "<!doctype html><html lang='en'><title>Something broke</title><h1>Something broke</h1>"
        "<p>Nothing was half saved. Go back and try again; what happened is in the server's log.</p>",
        status=500,
    )


def csrf_failure(request: HttpRequest, reason: str = "", **kwargs: Any) -> HttpResponse:
    text = (
        "This form was opened before the last sign-in or sign-out, so nothing was saved. "
        "Go back, copy what you typed, load the page again and send it once more."
    )
    return _page(request, 403, "This form is too old", text)
