"""Sharing a project with its client: links that are made, shown once, listed and revoked."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import segno
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import sharing
from projects.forms.sharing import ShareForm
from projects.models import Project, ShareLink

from . import posts
from .editing import add_problems
from .projects import living
from .telling import outside, told_once

WORDS = {
    "show_progress": "how far it is",
    "show_photos": "photographs",
    "show_drawing": "the texture",
    "show_cloth": "the cloth",
    "show_date": "the promised date",
}


@dataclass(frozen=True, slots=True)
class LinkLine:
    """One link in the list: ``state`` is "open", "over" or "revoked"."""

    link: ShareLink
    state: str
    shows: str


def _lines(project: Project, now: datetime) -> list[LinkLine]:
    """Links of a project, those that work first, then newest first."""
    rows = project.links.select_related("created_by").order_by("-pk")
    lines = [LinkLine(link, sharing.state_of(link, now), _shows(link)) for link in rows]
    return sorted(lines, key=lambda line: line.state != sharing.OPEN)


def _shows(link: ShareLink) -> str:
    shown = [words for name, words in WORDS.items() if getattr(link, name)]
    return ", ".join(shown) or "the note alone"


def _list_page(request: HttpRequest, project: Project, form: ShareForm, status: int = 200) -> HttpResponse:
    chosen = project.photos.filter(deleted_at=None, for_client=True).count()
    context: dict[str, Any] = {"project": project, "form": form, "lines": _lines(project, timezone.now())}
    return posts.show(request, "share/share.html", {**context, "photos_chosen": chosen}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def share(request: HttpRequest, pk: int) -> HttpResponse:
    """The project's links; a posted form makes one and shows it, this once."""
    project = living(pk)
    form = ShareForm(request.POST or None, workroom=request.workroom)
    if request.method != "POST":
        return _list_page(request, project, form)
    if not form.is_valid():
        return _list_page(request, project, form, status=422)
    try:
        return told_once(request, lambda: _made(request, project, form), reverse("share", args=[pk]))
    except ValidationError as error:
        add_problems(form, error)
        return _list_page(request, project, form, status=422)


def _made(request: HttpRequest, project: Project, form: ShareForm) -> HttpResponse:
    name, expires_at = form.cleaned_data["name"], form.expires_at
    token = sharing.make_link(
        project=project, name=name, expires_at=expires_at, shows=form.shows, person=request.user
    )
    link = outside(request, reverse("see", args=[token]))
    code = segno.make(link, error="m").svg_data_uri(scale=5, border=3)
    context = {"project": project, "name": name, "expires_at": expires_at, "host": request.get_host()}
    return render(request, "share/link.html", {**context, "link": link, "qr": code})


@require_POST
def share_revoke(request: HttpRequest, pk: int, link: int) -> HttpResponse:
    project = living(pk)
    found = get_object_or_404(ShareLink, pk=link, project=project)

    def do() -> str:
        sharing.revoke(found)
        messages.success(request, f"The link for {found.name} no longer works.")
        return reverse("share", args=[pk])

    return posts.once(request, do)


urlpatterns = [
    path("projects/<int:pk>/share/", share, name="share"),
    path("projects/<int:pk>/share/<int:link>/revoke/", share_revoke, name="share_revoke"),
]
