"""Flaws of a length: put down and taken out on its page."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_POST

from projects.activities import flaws as activity
from projects.forms.flaw import FlawForm
from projects.models import ClothLength
from projects.planning.lay_uncut import uncut_of

from . import booking, posts
from .editing import add_problems

PAGE = "cloth/length.html"
IDS = "flaw_%s"
"""Its fields stand on one page with those of the booking form."""


def of_length(request: HttpRequest, length: ClothLength, form: FlawForm | None = None) -> dict[str, Any]:
    """What a length's page shows of its flaws, of where it was cut from and of what was cut from it."""
    above = length.cut_from
    return {
        "flaws": list(length.flaws.all()),
        "flaw_form": form or FlawForm(workroom=request.workroom, auto_id=IDS),
        "cut_from": above if above is not None and above.is_live else None,
        "on_table": uncut_of(length),
        "remnants": list(length.remnants.live().order_by("pk")),
    }


def _length(pk: int) -> ClothLength:
    lengths = ClothLength.objects.live().filter(fabric__deleted_at=None)
    return get_object_or_404(lengths.select_related("fabric", "cut_from"), pk=pk)


@require_POST
def flaw_add(request: HttpRequest, pk: int) -> HttpResponse:
    length = _length(pk)
    form = FlawForm(request.POST, workroom=request.workroom, auto_id=IDS)
    back = reverse("length", args=[pk])

    def do() -> str:
        names = ("along", "across", "length", "width", "note")
        activity.add(length=length, values={name: form.cleaned_data[name] for name in names})
        messages.success(request, "The flaw is put down; lays keep off it.")
        return back

    if form.is_valid():
        try:
            return posts.once(request, do)
        except ValidationError as error:
            add_problems(form, error)
    context = {"length": length, **booking.context(request, length), **of_length(request, length, form)}
    return posts.show(request, PAGE, context, status=422)


@require_POST
def flaw_remove(request: HttpRequest, pk: int) -> HttpResponse:
    length = _length(pk)

    def do() -> str:
        text = request.POST.get("flaw", "")
        activity.remove(flaw_id=int(text) if text.isdecimal() and len(text) < 19 else 0, length=length)
        messages.success(request, "The flaw is taken out.")
        return reverse("length", args=[pk])

    return posts.once(request, do)


urlpatterns = [
    path("cloth/lengths/<int:pk>/flaws/add/", flaw_add, name="flaw_add"),
    path("cloth/lengths/<int:pk>/flaws/remove/", flaw_remove, name="flaw_remove"),
]
