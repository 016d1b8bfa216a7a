"""The build page: what a client sees, who has no sign-in. Everything here answers to a link's token alone.

No session is read and no cookie set; what does not work any more answers as what never was.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import path, reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_safe

from projects.activities import sharing
from projects.activities.people import NoSuchLink
from projects.activities.photos import SIZES, photo_file_path
from projects.models import ShareLink
from projects.planning.build_page import BuildPage, build_page, photos_shown
from projects.printing.available import pdf_available
from projects.printing.build_page import Picture, build_page_html, build_page_pdf, pictures, printable

from .access import open_to_all

HEADERS = {
    "X-Robots-Tag": "noindex, nofollow, noarchive, noimageindex",
    "Cache-Control": "private, no-store",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
}
FILE_POLICY = "default-src 'none'; frame-ancestors 'none'; sandbox"
PRINTED_SIZE = "page"

Seen = Callable[..., HttpResponse]


def kept_private(answer: HttpResponse, **headers: str) -> HttpResponse:
    """``answer`` with the headers of everything a client sees."""
    for name, value in {**HEADERS, **headers}.items():
        answer[name] = value
    return answer


def gone() -> HttpResponse:
    """The one answer to a token that is wrong, expired, revoked or of a deleted project."""
    return kept_private(HttpResponse(render_to_string("see/gone.html"), status=404))


def by_link(view: Seen) -> Any:
    """A view for the holder of a living link: it gets the link in place of the token."""

    @wraps(view)
    def found(request: HttpRequest, token: str, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            link = sharing.find_link(token, timezone.now())
        except NoSuchLink:
            return gone()
        return view(request, link, token, *args, **kwargs)

    return open_to_all(csrf_exempt(require_safe(found)))


def _page(request: HttpRequest, link: ShareLink) -> BuildPage:
    return build_page(link, request.workroom, today=timezone.localdate())


def page_styles() -> dict[str, str]:
    names = {"fonts": "see-fonts", "style": "see", "print_style": "see-print"}
    return {key: static(f"css/{name}.css") for key, name in names.items()}


@by_link
def see(request: HttpRequest, link: ShareLink, token: str) -> HttpResponse:
    page = _page(request, link)

    def address(key: str, size: str) -> str:
        return reverse("see_photo", args=[token, key, size])

    pdf = reverse("see_pdf", args=[token]) if pdf_available() else ""
    shown = pictures(page.photos, address)
    return kept_private(HttpResponse(build_page_html(page, shown, pdf_address=pdf, **page_styles())))


@by_link
def photo(request: HttpRequest, link: ShareLink, token: str, key: str, size: str) -> HttpResponse:
    """A photograph that the link's page shows; every other one is not there."""
    row = photos_shown(link).filter(key=key[:64]).first()
    if row is None or size not in SIZES:
        return gone()
    file = photo_file_path(row, size)
    if not file.is_file():
        return gone()
    answer = HttpResponse(file.read_bytes(), content_type="image/jpeg")
    policy = {"Content-Security-Policy": FILE_POLICY, "Cross-Origin-Resource-Policy": "same-origin"}
    return kept_private(answer, **policy)


@by_link
def pdf(request: HttpRequest, link: ShareLink, token: str) -> HttpResponse:
    """The page on paper; where no PDF can be made here, the page itself, which prints the same."""
    if not pdf_available():
        return kept_private(HttpResponseRedirect(reverse("see", args=[token]) + "#print"))
    page = _page(request, link)
    answer = HttpResponse(build_page_pdf(page, _printed(link, page)), content_type="application/pdf")
    name = slugify(page.title)[:60] or "project"
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return kept_private(answer)


def _printed(link: ShareLink, page: BuildPage) -> tuple[Picture, ...]:
    files = {row.key: photo_file_path(row, PRINTED_SIZE) for row in photos_shown(link)}
    return printable([photo for photo in page.photos if photo.key in files], files.__getitem__)


urlpatterns = [
    path("see/<str:token>/", see, name="see"),
    path("see/<str:token>/page.pdf", pdf, name="see_pdf"),
    path("see/<str:token>/<str:key>/<str:size>.jpg", photo, name="see_photo"),
]
