"""Sharing a project with its client: links that are made, shown once, listed and revoked."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import segno
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path, reverse
from django.utils import dateformat, timezone
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import sharing
from projects.activities.photos import photos_of
from projects.activities.revising import Stale
from projects.forms.sharing import ShareForm
from projects.models import Project, ShareLink

from . import posts
from .editing import add_problems
from .projects import living
from .stale import renew
from .telling import outside, told_once

WORDS = {
    "show_progress": "how far it is",
    "show_photos": "photographs",
    "show_drawing": "the texture",
    "show_cloth": "the cloth",
    "show_date": "the promised date",
}

PHOTOS = 12
"""Newest photographs to choose from beside the link; the others are on the project's own page of them."""


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


def list_page(request: HttpRequest, project: Project, form: ShareForm, status: int = 200) -> HttpResponse:
    """The page of a project's links, with the form as it is."""
    context: dict[str, Any] = {"project": project, "form": form, "lines": _lines(project, timezone.now())}
    if len(form.photos) == PHOTOS:
        context["photos_in_all"] = photos_of(project).count()
    return posts.show(request, "share/share.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def share(request: HttpRequest, pk: int) -> HttpResponse:
    """The project's links and what they show; a posted form saves this, makes a link and shows it, once."""
    project = living(pk)
    photos = list(photos_of(project)[:PHOTOS])
    form = ShareForm(request.POST or None, workroom=request.workroom, project=project, photos=photos)
    if request.method != "POST":
        return list_page(request, project, form)
    if not form.is_valid():
        return list_page(request, project, form, status=422)
    try:
        return _saved(request, project, form)
    except ValidationError as error:
        add_problems(form, error)
        return list_page(request, project, form, status=422)
    except Stale as stale:
        return _changed_meanwhile(request, form, stale)


def _saved(request: HttpRequest, project: Project, form: ShareForm) -> HttpResponse:
    here = reverse("share", args=[project.pk])
    if not form.words_alone:
        return told_once(request, lambda: _made(request, project, form), here)

    def do() -> str:
        _say(project, form)
        messages.success(request, "Saved. Whoever has a link that works sees it.")
        return here

    return posts.once(request, do)


def _say(project: Project, form: ShareForm) -> None:
    if form.says:
        revision = form.cleaned_data["revision"]
        sharing.say_to_client(
            project, revision=revision, says=form.says, chosen=form.chosen, left_out=form.left_out
        )


def _changed_meanwhile(request: HttpRequest, form: ShareForm, stale: Stale) -> HttpResponse:
    """What is saved is said above what was typed, which stays; sent again, it is kept."""
    renew(form, stale.current)
    project = living(stale.current.pk)
    day = dateformat.format(project.promised, "j F Y") if project.promised else "none"
    form.add_error(
        None,
        f"This project was changed while you wrote. Saved now: promised for {day}; note: "
        f"“{project.client_note or 'none'}”. Your own words are still below; send them again to keep them.",
    )
    return list_page(request, project, form, status=409)


@transaction.atomic
def _made(request: HttpRequest, project: Project, form: ShareForm) -> HttpResponse:
    _say(project, form)
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
