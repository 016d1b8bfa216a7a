"""Plain pages for what went wrong: what was asked, what can be done."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def _page(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    return render(request, "error.html", {"heading": title, "text": text}, status=status)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _page(
        request,
        400,
        "That could not be read",
        "The request was not in a form this page understands. Go back and try again.",
    )


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
