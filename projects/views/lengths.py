"""Pages of one length of cloth: new, its ledger and bookings, edit, delete."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import fabrics as activity
from projects.forms.fabric import ClothLengthForm
from projects.forms.stock import BookingForm
from projects.models import ClothLength, Fabric

from . import booking, posts
from .editing import offer_undo, save
from .flaws import of_length

PAGE = "cloth/length.html"


def _living() -> QuerySet[ClothLength]:
    return ClothLength.objects.live().filter(fabric__deleted_at=None).select_related("fabric", "cut_from")


@require_safe
def length_page(request: HttpRequest, pk: int) -> HttpResponse:
    length = get_object_or_404(_living(), pk=pk)
    context = {"length": length, **booking.context(request, length), **of_length(request, length)}
    return posts.show(request, PAGE, context)


@require_POST
def length_book(request: HttpRequest, pk: int) -> HttpResponse:
    length = get_object_or_404(_living(), pk=pk)
    form = BookingForm(request.POST, row=length, workroom=request.workroom)
    back = reverse("length", args=[pk])

    def do() -> str:
        booking.book(length, form, request)
        messages.success(request, "Booked.")
        return back

    context = {"length": length, **booking.context(request, length, form), **of_length(request, length)}
    return save(request, form, do, page=PAGE, context=context, back=back)


def _form_page(request: HttpRequest, form: ClothLengthForm, context: dict[str, Any], do: Any) -> HttpResponse:
    page = "cloth/length_form.html"
    if request.method != "POST":
        return posts.show(request, page, {**context, "form": form})
    return save(request, form, do, page=page, context=context, back=context["back"])


@require_http_methods(["GET", "HEAD", "POST"])
def length_new(request: HttpRequest, fabric_id: int) -> HttpResponse:
    fabric = get_object_or_404(Fabric.objects.live(), pk=fabric_id)
    form = ClothLengthForm(request.POST if request.method == "POST" else None, workroom=request.workroom)

    def do() -> str:
        received = form.cleaned_data["received"]
        length = activity.add_length(
            fabric=fabric, values=form.changes(), received=received, person=request.user
        )
        return reverse("length", args=[length.pk])

    return _form_page(request, form, {"fabric": fabric, "back": reverse("fabric", args=[fabric_id])}, do)


@require_http_methods(["GET", "HEAD", "POST"])
def length_edit(request: HttpRequest, pk: int) -> HttpResponse:
    length = get_object_or_404(_living(), pk=pk)
    back = reverse("length", args=[pk])
    data = request.POST if request.method == "POST" else None
    form = ClothLengthForm(data, instance=length, workroom=request.workroom)

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_length(length=length, revision=revision, changes=form.changes())
        return back

    return _form_page(request, form, {"fabric": length.fabric, "length": length, "back": back}, do)


@require_POST
def length_delete(request: HttpRequest, pk: int) -> HttpResponse:
    length = get_object_or_404(_living(), pk=pk)

    def do() -> str:
        try:
            deletion = activity.delete_length(length=length, person=request.user)
        except ValidationError as error:
            messages.error(request, f"{length.label} was not deleted. " + " ".join(error.messages))
            return reverse("length", args=[pk])
        offer_undo(request, f"The length {length.label} was deleted.", deletion)
        return reverse("fabric", args=[length.fabric_id])

    return posts.once(request, do)


urlpatterns = [
    path("cloth/lengths/new/<int:fabric_id>/", length_new, name="length_new"),
    path("cloth/lengths/<int:pk>/", length_page, name="length"),
    path("cloth/lengths/<int:pk>/book/", length_book, name="length_book"),
    path("cloth/lengths/<int:pk>/edit/", length_edit, name="length_edit"),
    path("cloth/lengths/<int:pk>/delete/", length_delete, name="length_delete"),
]
