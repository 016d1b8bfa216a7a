"""The build page before anybody has a link to it: for people of the studio, marked as a preview.

It is the client's own template with the client's own headers. It answers to a sign-in, never to a token, and
keeps nothing of what is typed.
"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from projects.activities.photos import photos_of
from projects.forms.sharing import ShareForm
from projects.models import Project, ShareLink
from projects.planning.build_page import BuildPage, build_page
from projects.printing.build_page import build_page_html, pictures

from .projects import living
from .see import kept_private, page_styles
from .sharing import PHOTOS, list_page


@require_http_methods(["GET", "HEAD", "POST"])
def share_preview(request: HttpRequest, pk: int) -> HttpResponse:
    """What stands typed in the form of a link, else what a link (``?link=``) or a new one shows now."""
    project = living(pk)
    today = timezone.localdate()
    if request.method != "POST":
        return _shown(request, project, build_page(_link(request, project), request.workroom, today=today))
    form = ShareForm(
        request.POST, workroom=request.workroom, project=project, photos=list(photos_of(project)[:PHOTOS]),
        preview=True,
    )  # fmt: skip
    if not form.is_valid():
        return list_page(request, project, form, status=422)
    for name, words in form.says.items():
        setattr(project, name, words)
    link = ShareLink(project=project, **form.shows)
    page = build_page(link, request.workroom, today=today, chosen=form.chosen, left_out=form.left_out)
    return _shown(request, project, page)


def _link(request: HttpRequest, project: Project) -> ShareLink:
    asked = request.GET.get("link", "")
    if not asked:
        return ShareLink(project=project)
    number = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 19 else 0
    return get_object_or_404(ShareLink.objects.select_related("project"), pk=number, project=project)


def _shown(request: HttpRequest, project: Project, page: BuildPage) -> HttpResponse:
    def address(key: str, size: str) -> str:
        return reverse("photo_file", args=[key, size])

    back = reverse("share", args=[project.pk])
    html = build_page_html(page, pictures(page.photos, address), preview=back, **page_styles())
    return kept_private(HttpResponse(html))


urlpatterns = [path("projects/<int:pk>/share/preview/", share_preview, name="share_preview")]
