"""The studio's people, for its owners: who is here, links to join by, roles, fresh passwords."""

from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import people as activity
from projects.activities import pins
from projects.forms.people import InviteForm, PersonForm
from projects.models import Invitation, Person

from . import access, posts
from .editing import save
from .telling import outside, told_once


def _list_page(request: HttpRequest, form: InviteForm, *, status: int = 200) -> HttpResponse:
    rows = Person.objects.order_by("-is_active", "shown_name", "pk")
    context = {"rows": rows, "form": form, "open_links": activity.open_invitations(timezone.now())}
    return render(request, "people/list.html", context, status=status)


@require_safe
@access.owner_only
def people(request: HttpRequest) -> HttpResponse:
    return _list_page(request, InviteForm(workroom=request.workroom))


@require_POST
@access.owner_only
def invite(request: HttpRequest) -> HttpResponse:
    """Make a link and show it, this once."""
    form = InviteForm(request.POST, workroom=request.workroom)
    if not form.is_valid():
        return _list_page(request, form, status=422)
    data = form.cleaned_data

    def tell() -> HttpResponse:
        token = activity.invite(shown_name=data["shown_name"], role=data["role"], by=request.user)
        link = outside(request, reverse("join", args=[token]))
        context = {"link": link, "name": data["shown_name"], "role": data["role"]}
        return render(request, "people/link.html", context)

    return told_once(request, tell, reverse("people"))


@require_POST
@access.owner_only
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    invitation = get_object_or_404(Invitation, pk=pk)

    def do() -> str:
        activity.revoke(invitation)
        messages.success(request, f"The link for {invitation.shown_name} no longer works.")
        return reverse("people")

    return posts.once(request, do)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One person: name and role, and what else an owner can do."""
    found = get_object_or_404(Person, pk=pk)
    page, context = "people/person.html", {"person": found}
    if request.method != "POST":
        initial = {"shown_name": found.shown_name, "role": found.role}
        form = PersonForm(initial=initial, workroom=request.workroom)
        return posts.show(request, page, {**context, "form": form})
    form = PersonForm(request.POST, workroom=request.workroom)

    def do() -> str:
        data = form.cleaned_data
        activity.change_person(found, shown_name=data["shown_name"], role=data["role"])
        messages.success(request, f"Saved {data['shown_name']}.")
        return reverse("people")

    return save(request, form, do, page=page, context=context, back=reverse("person", args=[pk]))


def _switch(request: HttpRequest, pk: int, change: Callable[[Person], None], said: str) -> HttpResponse:
    found = get_object_or_404(Person, pk=pk)

    def do() -> str:
        try:
            change(found)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return reverse("person", args=[pk])
        messages.success(request, said.format(found))
        return reverse("people")

    return posts.once(request, do)


@require_POST
@access.owner_only
def switch_off(request: HttpRequest, pk: int) -> HttpResponse:
    return _switch(request, pk, activity.switch_off, "{} can no longer sign in. Their hours and work stay.")


@require_POST
@access.owner_only
def switch_on(request: HttpRequest, pk: int) -> HttpResponse:
    return _switch(request, pk, activity.switch_on, "{} can sign in again.")


@require_POST
@access.owner_only
def fresh_password(request: HttpRequest, pk: int) -> HttpResponse:
    """Give somebody a fresh password and show it, this once."""
    found = get_object_or_404(Person, pk=pk)

    def tell() -> HttpResponse:
        password = activity.reset_password(found)
        if found.pk == request.user.pk:
            update_session_auth_hash(request, found)
        return render(request, "people/password.html", {"person": found, "password": password})

    return told_once(request, tell, reverse("person", args=[pk]))


@require_POST
@access.owner_only
def pin_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take somebody's PIN away; they set another under their own account."""
    said = "{} has no PIN any more. Nobody can change to them at a bench until they set another."
    return _switch(request, pk, pins.remove_pin, said)


urlpatterns = [
    path("studio/people/", people, name="people"),
    path("studio/people/invite/", invite, name="invite"),
    path("studio/people/links/<int:pk>/revoke/", revoke, name="invitation_revoke"),
    path("studio/people/<int:pk>/", person, name="person"),
    path("studio/people/<int:pk>/off/", switch_off, name="person_off"),
    path("studio/people/<int:pk>/on/", switch_on, name="person_on"),
    path("studio/people/<int:pk>/pin/", pin_off, name="person_pin_off"),
    path("studio/people/<int:pk>/password/", fresh_password, name="person_password"),
]
