"""Secrets told once: links and passwords that are shown on one page and kept nowhere."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse

from projects.activities import operations

from . import posts

ONCE = "This was shown already and is shown only once. Make a new one if it was lost."


def told_once(request: HttpRequest, tell: Callable[[], HttpResponse], again: str) -> HttpResponse:
    """Do a post that shows a secret. The same post again can't show it any more and leads to ``again``."""
    try:
        claimed = operations.claim(request.POST.get("op", ""), person=request.user)
    except operations.Doubled:
        messages.info(request, ONCE)
        return posts.go(request, again)
    try:
        answer = tell()
    except BaseException:
        operations.finish(claimed, location=None)
        raise
    operations.finish(claimed, location=again)
    return answer


def outside(request: HttpRequest, address: str) -> str:
    """The whole address, on the studio's public address where it has one."""
    public = request.workroom.public_address.rstrip("/")
    return f"{public}{address}" if public else request.build_absolute_uri(address)
