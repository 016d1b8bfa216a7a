"""Moving a photograph: what it may be moved to, found by words or step by step of a project."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods

from projects.activities import photos as activity
from projects.activities import steps
from projects.activities.photos.owners import Owner
from projects.activities.revising import Stale
from projects.models import Photo, Project
from projects.planning import plan_project

from . import posts
from .finding import GROUPS, Line, found_in
from .photo_strip import address_of
from .photos import NAV, ROWS, page_of, photo_of, row_of
from .searching import MOST_LETTERS, words_of

FIRST = 10
GROUPS_OF = {"projects": "project", "samples": "sample", "fabrics": "fabric", "notions": "notion"}
"""Groups of the search whose rows have photographs."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One row to move to: ``value`` is what its button posts, ``steps`` leads to a project's steps."""

    value: str
    line: Line
    steps: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    title: str
    rows: list[Choice]
    more: int = 0


@require_http_methods(["GET", "HEAD", "POST"])
def photo_move(request: HttpRequest, pk: int) -> HttpResponse:
    photo = photo_of(pk)
    if request.method != "POST":
        return _page(request, photo)

    @transaction.atomic
    def do() -> str:
        to = _asked(request.POST.get("to", ""))
        typed = request.POST.get("revision", "")
        revision = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 9 else -1
        moved = activity.move_photo(photo, revision=revision, to=to)
        messages.success(request, f"The photograph is now of {_said(moved)}.")
        return reverse("photo", args=[pk])

    try:
        return posts.once(request, do)
    except Stale:
        return _page(request, photo_of(pk), status=409)


def _said(photo: Photo) -> str:
    return f"“{photo.step.title}” of {photo.project}" if photo.step else activity.owner_name(photo)


def _asked(value: str) -> Owner:
    """The row a button names: "fabric:12", or "step:3:KEY" for a step of project 3."""
    kind, _, rest = value.partition(":")
    number, _, key = rest.partition(":")
    if not (number.isascii() and number.isdigit() and len(number) < 19):
        raise Http404("no such row")
    if kind == "step":
        project = get_object_or_404(Project.objects.live(), pk=int(number))
        try:
            return steps.row_for(project=project, key=key[:200])
        except steps.StepGone:
            raise Http404("no such step") from None
    if kind == "project":
        return get_object_or_404(Project.objects.live(), pk=int(number))
    if kind not in ROWS:
        raise Http404("photographs are of projects, steps, samples, fabrics and notions")
    rows = ROWS[kind].objects.live()
    if kind == "sample":
        rows = rows.filter(version__recipe__deleted_at=None)
    return get_object_or_404(rows, pk=int(number))


def _page(request: HttpRequest, photo: Photo, status: int = 200) -> HttpResponse:
    """With 409: somebody changed the photograph first, and it is shown as it is now."""
    of = row_of(photo)
    q = request.GET.get("q", "").replace("\x00", " ").strip()[:MOST_LETTERS]
    project = _project(request.GET.get("project", ""))
    context: dict[str, Any] = {
        "photo": photo, "row": of, "row_page": page_of(of), "all": address_of(of),
        "nav": NAV[activity.kind_of(of)], "query": q, "project": project, "stale": status == 409,
        "lists": _steps(project) if project else _found(photo, words_of(q), request.user.is_owner),
    }  # fmt: skip
    return posts.show(request, "photos/move.html", context, fragment="photos/_move.html", status=status)


def _project(typed: str) -> Project | None:
    if not (typed.isascii() and typed.isdigit() and len(typed) < 19):
        return None
    return get_object_or_404(Project.objects.live(), pk=int(typed))


def _steps(project: Project) -> list[Choices]:
    """The project and its steps, in working order under the headings they have there."""
    here = Choice(f"project:{project.pk}", Line(project.title, "the project itself", ""))
    found = [Choices("The project", [here])]
    for step in plan_project(project).steps:
        if not found[1:] or found[-1].title != step.heading:
            found.append(Choices(step.heading, []))
        found[-1].rows.append(Choice(f"step:{project.pk}:{step.key}", Line(step.title, "", "")))
    return found


def _found(photo: Photo, words: list[str], owner: bool) -> list[Choices]:
    """Rows with every word; without a word the newest projects, the photograph's own first."""
    lists = []
    for group in GROUPS:
        kind = GROUPS_OF.get(group.key)
        if kind is None or (not words and kind != "project"):
            continue
        found = found_in(group, words, owner=owner, first=FIRST)
        shown = zip(found.rows, found.lines, strict=True)
        rows = [_choice(kind, row.pk, line) for row, line in shown if words or row != photo.project]
        if rows:
            title = group.title if words else "The newest projects"
            lists.append(Choices(title, rows, found.more if words else 0))
    own = photo.project
    if own is not None and not words:
        line = Line(own.title, f"number {own.number}, where it is now", "")
        lists.insert(0, Choices("Its own project", [_choice("project", own.pk, line)]))
    return lists


def _choice(kind: str, pk: int, line: Line) -> Choice:
    return Choice(f"{kind}:{pk}", line, f"?project={pk}" if kind == "project" else "")


urlpatterns = [path("photos/<int:pk>/move/", photo_move, name="photo_move")]
