"""Pages of notions: one notion with its ledger and who needs it, new, edit, delete."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import notions as activity
from projects.forms.notion import NotionForm
from projects.forms.stock import BookingForm
from projects.models import Notion, NotionNeed

from . import booking, posts
from .editing import offer_undo, save
from .photo_strip import strip_of


def _context(request: HttpRequest, notion: Notion, form: BookingForm | None = None) -> dict[str, Any]:
    shown = {"notion": notion, "needs": _needs(notion)[:50], "strip": strip_of(notion, request)}
    return {**shown, **booking.context(request, notion, form)}


def _needs(notion: Notion) -> QuerySet[NotionNeed]:
    needs = NotionNeed.objects.filter(notion=notion, project__deleted_at=None)
    return needs.select_related("project").order_by("-project__number")


@require_safe
def notion_page(request: HttpRequest, pk: int) -> HttpResponse:
    notion = get_object_or_404(Notion.objects.live(), pk=pk)
    return posts.show(request, "cloth/notion.html", _context(request, notion))


@require_POST
def notion_book(request: HttpRequest, pk: int) -> HttpResponse:
    notion = get_object_or_404(Notion.objects.live(), pk=pk)
    form = BookingForm(request.POST, row=notion, workroom=request.workroom)
    back = reverse("notion", args=[pk])

    def do() -> str:
        booking.book(notion, form, request)
        messages.success(request, "Booked.")
        return back

    context = _context(request, notion, form)
    return save(request, form, do, page="cloth/notion.html", context=context, back=back)


def _form_page(request: HttpRequest, form: NotionForm, context: dict[str, Any], do: Any) -> HttpResponse:
    page = "cloth/notion_form.html"
    if request.method != "POST":
        return posts.show(request, page, {**context, "form": form})
    return save(request, form, do, page=page, context=context, back=context["back"])


@require_http_methods(["GET", "HEAD", "POST"])
def notion_new(request: HttpRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = NotionForm(data, workroom=request.workroom, owner=request.user.is_owner)

    def do() -> str:
        received = form.cleaned_data["received"]
        notion = activity.add_notion(values=form.changes(), received=received, person=request.user)
        return reverse("notion", args=[notion.pk])

    return _form_page(request, form, {"back": reverse("notions")}, do)


@require_http_methods(["GET", "HEAD", "POST"])
def notion_edit(request: HttpRequest, pk: int) -> HttpResponse:
    notion = get_object_or_404(Notion.objects.live(), pk=pk)
    back = reverse("notion", args=[pk])
    data = request.POST if request.method == "POST" else None
    form = NotionForm(data, instance=notion, workroom=request.workroom, owner=request.user.is_owner)

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_notion(notion=notion, revision=revision, changes=form.changes())
        return back

    return _form_page(request, form, {"back": back, "notion": notion}, do)


@require_POST
def notion_delete(request: HttpRequest, pk: int) -> HttpResponse:
    notion = get_object_or_404(Notion.objects.live(), pk=pk)

    def do() -> str:
        try:
            deletion = activity.delete_notion(notion=notion, person=request.user)
        except ValidationError as error:
            messages.error(request, f"{notion.name} was not deleted. " + " ".join(error.messages))
            return reverse("notion", args=[pk])
        offer_undo(request, f"{notion.name} was deleted.", deletion)
        return reverse("notions")

    return posts.once(request, do)


urlpatterns = [
    path("cloth/notions/new/", notion_new, name="notion_new"),
    path("cloth/notions/<int:pk>/", notion_page, name="notion"),
    path("cloth/notions/<int:pk>/book/", notion_book, name="notion_book"),
    path("cloth/notions/<int:pk>/edit/", notion_edit, name="notion_edit"),
    path("cloth/notions/<int:pk>/delete/", notion_delete, name="notion_delete"),
]
