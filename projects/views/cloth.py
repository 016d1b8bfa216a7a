"""Pages of fabrics: one fabric with its lengths, new, edit, delete."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import balances
from projects.activities import fabrics as activity
from projects.forms.fabric import FabricForm
from projects.models import ClothLength, Fabric, Piece, Project, Sample
from projects.planning import cautions

from . import posts
from .editing import offer_undo, save
from .photo_strip import strip_of

MOST_SHOWN = 50


def _lengths_of(fabric: Fabric) -> list[ClothLength]:
    """Living lengths with their balances and whom they are held for, in three queries."""
    lengths = list(ClothLength.objects.live().filter(fabric=fabric).order_by("label", "pk"))
    held = balances.balances(lengths)
    projects = Project.objects.in_bulk({pk for b in held.values() for pk in b.held if pk})
    for length in lengths:
        length.balance = held[length.pk]
        length.held_for = [(projects[pk], n) for pk, n in length.balance.held.items() if pk in projects]
    return lengths


def _used_by(fabric: Fabric) -> QuerySet[Piece]:
    pieces = Piece.objects.live().filter(fabric=fabric, project__deleted_at=None)
    return pieces.select_related("project", "version__recipe").order_by("-project__number", "order", "pk")


def _samples_on(fabric: Fabric) -> QuerySet[Sample]:
    samples = Sample.objects.live().filter(fabric=fabric, version__recipe__deleted_at=None)
    return samples.select_related("version__recipe").order_by("-made_on", "-pk")


@require_safe
def fabric_page(request: HttpRequest, pk: int) -> HttpResponse:
    fabric = get_object_or_404(Fabric.objects.live(), pk=pk)
    lengths = _lengths_of(fabric)
    context = {
        "fabric": fabric,
        "rules": cautions.of_cloth([fabric]),
        "lengths": lengths,
        "on_shelf": sum(x.balance.on_shelf for x in lengths),
        "reserved": sum(x.balance.reserved for x in lengths),
        "free": sum(x.balance.free for x in lengths),
        "samples": _samples_on(fabric)[:MOST_SHOWN],
        "pieces": _used_by(fabric)[:MOST_SHOWN],
        "strip": strip_of(fabric, request),
    }
    return posts.show(request, "cloth/fabric.html", context)


def _form_page(request: HttpRequest, form: FabricForm, context: dict[str, Any], do: Any) -> HttpResponse:
    page = "cloth/fabric_form.html"
    if request.method != "POST":
        return posts.show(request, page, {**context, "form": form})
    return save(request, form, do, page=page, context=context, back=context["back"])


@require_http_methods(["GET", "HEAD", "POST"])
def fabric_new(request: HttpRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = FabricForm(data, workroom=request.workroom, owner=request.user.is_owner)

    def do() -> str:
        return reverse("fabric", args=[activity.add_fabric(values=form.changes()).pk])

    return _form_page(request, form, {"back": reverse("cloth")}, do)


@require_http_methods(["GET", "HEAD", "POST"])
def fabric_edit(request: HttpRequest, pk: int) -> HttpResponse:
    fabric = get_object_or_404(Fabric.objects.live(), pk=pk)
    back = reverse("fabric", args=[pk])
    data = request.POST if request.method == "POST" else None
    form = FabricForm(data, instance=fabric, workroom=request.workroom, owner=request.user.is_owner)

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_fabric(fabric=fabric, revision=revision, changes=form.changes())
        return back

    return _form_page(request, form, {"back": back, "fabric": fabric}, do)


@require_POST
def fabric_delete(request: HttpRequest, pk: int) -> HttpResponse:
    fabric = get_object_or_404(Fabric.objects.live(), pk=pk)

    def do() -> str:
        try:
            deletion = activity.delete_fabric(fabric=fabric, person=request.user)
        except ValidationError as error:
            messages.error(request, f"{fabric.name} was not deleted. " + " ".join(error.messages))
            return reverse("fabric", args=[pk])
        offer_undo(request, f"{fabric.name} was deleted, with its lengths.", deletion)
        return reverse("cloth")

    return posts.once(request, do)


urlpatterns = [
    path("cloth/fabrics/new/", fabric_new, name="fabric_new"),
    path("cloth/fabrics/<int:pk>/", fabric_page, name="fabric"),
    path("cloth/fabrics/<int:pk>/edit/", fabric_edit, name="fabric_edit"),
    path("cloth/fabrics/<int:pk>/delete/", fabric_delete, name="fabric_delete"),
]
