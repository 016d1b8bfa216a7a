"""Accepting a lay, putting its part of cloth to buy on a length, and letting go of it."""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.views.decorators.http import require_POST

from projects.activities import lays as activity
from projects.activities.stock import StockError
from projects.calc.lengths import System
from projects.forms.lay import AcceptForm, OnLengthForm
from projects.models import ClothLength, Fabric, Project
from projects.planning.lay_choice import lengths_for

from . import posts
from .cutting_said import uncut
from .editing import add_problems
from .lay_shown import kept_lay, lay_now, rows


def _answered(
    request: HttpRequest,
    project: Project,
    fabric: Fabric,
    form: OnLengthForm,
    name: str,
    do: Callable[[], None],
) -> HttpResponse:
    """Answer the form; what the ledger refused stands beside the length that was chosen."""

    def doing() -> str:
        try:
            do()
        except StockError as error:
            text = error.text(form.at_least, form.at_most)
            raise ValidationError({"cloth": text} if form.cleaned_data["cloth"] else text) from error
        return reverse("lay", args=[project.pk, fabric.pk])

    if form.is_valid():
        try:
            return posts.once(request, doing)
        except activity.LayMoved:
            return lay_now(request, project, fabric, status=409, moved=True)
        except ValidationError as error:
            add_problems(form, error)
    return lay_now(request, project, fabric, status=422, form=form, **{name: form})


@require_POST
def lay_accept(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)
    form = AcceptForm(request.POST, workroom=request.workroom, stock=lengths_for(fabric, project))

    def do() -> None:
        values, over = form.cleaned_data, list[ClothLength]()
        lay = activity.accept(
            project=project,
            fabric=fabric,
            seen=values["seen"],
            person=request.user,
            reserve=values["reserve"],
            cloth=values["cloth"],
            over=over,
        )
        said = ["The lay is accepted. It stays as it is."]
        if lay.length and lay.cloth is None and values["reserve"]:
            said.append("What of it is still to buy can’t be reserved yet.")
        said.append(uncut(over, System(request.workroom.units)))
        messages.success(request, " ".join(text for text in said if text))

    return _answered(request, project, fabric, form, "accept", do)


@require_POST
def lay_give(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    """The cloth was bought: the part of the roll lies on this length from now on."""
    project, fabric = rows(pk, fabric_id)
    form = OnLengthForm(request.POST, workroom=request.workroom, stock=lengths_for(fabric, project))

    def do() -> None:
        values, kept = form.cleaned_data, kept_lay(project, fabric)
        if kept is None:
            raise ValidationError("This lay is no longer accepted. Accept it first, then choose the length.")
        activity.give_cloth(kept=kept, cloth=values["cloth"], person=request.user, reserve=values["reserve"])
        messages.success(request, f"The lay is cut from {values['cloth'].label} now.")

    return _answered(request, project, fabric, form, "give", do)


@require_POST
def lay_let_go(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    project, fabric = rows(pk, fabric_id)

    def do() -> str:
        release = request.POST.get("release") == "on"
        gone = activity.let_go(project=project, fabric=fabric, person=request.user, release=release)
        then = "What it had reserved is free again." if gone.freed else "Nothing was reserved for it."
        over = uncut(gone.kept, System(request.workroom.units))
        messages.success(request, f"The lay is let go. {then} {over}".strip())
        return reverse("lay", args=[pk, fabric_id])

    try:
        return posts.once(request, do)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return posts.go(request, reverse("lay", args=[pk, fabric_id]))


AT = "projects/<int:pk>/lay/<int:fabric_id>/"
urlpatterns = [
    path(f"{AT}accept/", lay_accept, name="lay_accept"),
    path(f"{AT}give/", lay_give, name="lay_give"),
    path(f"{AT}let-go/", lay_let_go, name="lay_let_go"),
]
