"""Search over everything the studio holds, grouped by noun, live while typing."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from . import posts
from .editing import keep
from .finding import GROUPS, Found, Group, found_in
from .searching import MOST_LETTERS, words_of

PAGE = 50
FIRST = 10


def _all(words: list[str], owner: bool) -> list[Found]:
    """The first few of every group, with how many there are: one query a group."""
    found = [found_in(group, words, owner=owner, first=FIRST) for group in GROUPS]
    return [group for group in found if group.total]


def _one(group: Group, words: list[str], request: HttpRequest) -> dict[str, Any]:
    rows = group.rows(words, request.user.is_owner)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    found = Found(group, [group.line(row) for row in page], page.paginator.count)
    return {"groups": [found], "rows": page, "only": group, "total": found.total}


@require_safe
def search(request: HttpRequest) -> HttpResponse:
    """``q`` is what to look for; ``in`` narrows to one noun, 50 a page."""
    q = request.GET.get("q", "").replace("\x00", " ").strip()[:MOST_LETTERS]
    words, group = words_of(q), next((g for g in GROUPS if g.key == request.GET.get("in")), None)
    context: dict[str, Any] = {"query": q, "words": words, "groups": [], "total": 0}
    if words and group:
        context |= _one(group, words, request) | {"keep": keep(q=q, **{"in": group.key})}
    elif words:
        context["groups"] = _all(words, request.user.is_owner)
        context["total"] = sum(found.total for found in context["groups"])
    return posts.show(request, "search/search.html", context, fragment="search/_found.html")


urlpatterns = [path("search/", search, name="search")]
