"""One's own account: password, PIN, and the reminder of a break."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import people as activity
from projects.activities import pins
from projects.forms.account import BreakForm
from projects.forms.people import OwnPasswordForm
from projects.forms.pin import OwnPinForm

from . import posts
from .editing import save

PAGE = "people/account.html"


def _forms(request: HttpRequest, **bound: forms.BaseForm) -> dict[str, Any]:
    """The page's three forms; one that was posted stands in its place."""
    common = {"workroom": request.workroom}
    return {
        "password_form": OwnPasswordForm(**common, person=request.user),
        "pin_form": OwnPinForm(**common, auto_id="pin_%s"),
        "break_form": BreakForm(**common, person=request.user, auto_id="break_%s"),
        **bound,
    }


def _save(request: HttpRequest, name: str, form: forms.BaseForm, change: Callable[[], None]) -> HttpResponse:
    def do() -> str:
        change()
        return reverse("account")

    context = _forms(request, **{name: form})
    return save(request, form, do, page=PAGE, context=context, back=reverse("account"))


@sensitive_post_parameters("password", "again", "old")
@require_http_methods(["GET", "HEAD", "POST"])
def account(request: HttpRequest) -> HttpResponse:
    """Change one's own password; other computers this person is signed in on are signed out."""
    if request.method != "POST":
        return posts.show(request, PAGE, _forms(request))
    form = OwnPasswordForm(request.POST, workroom=request.workroom, person=request.user)

    def change() -> None:
        activity.change_password(request.user, password=form.cleaned_data["password"])
        update_session_auth_hash(request, request.user)
        messages.success(request, "Your password is changed. Elsewhere you are signed out.")

    return _save(request, "password_form", form, change)


@sensitive_post_parameters("pin", "pin_again")
@require_POST
def account_pin(request: HttpRequest) -> HttpResponse:
    """Set one's own PIN, or another in its place."""
    form = OwnPinForm(request.POST, workroom=request.workroom, auto_id="pin_%s")

    def change() -> None:
        pins.set_pin(request.user, pin=form.cleaned_data["pin"])
        messages.success(request, "Your PIN is set. With your name it makes taps and timer yours.")

    return _save(request, "pin_form", form, change)


@require_POST
def account_pin_off(request: HttpRequest) -> HttpResponse:
    pins.remove_pin(request.user)
    messages.success(request, "You have no PIN any more.")
    return posts.go(request, reverse("account"))


@require_POST
def account_break(request: HttpRequest) -> HttpResponse:
    form = BreakForm(request.POST, workroom=request.workroom, person=request.user, auto_id="break_%s")

    def change() -> None:
        after = form.cleaned_data["break_after"]
        activity.set_break(request.user, after=after)
        said = f"You are reminded of a break after {after} min." if after else "No breaks are reminded of."
        messages.success(request, said)

    return _save(request, "break_form", form, change)


urlpatterns = [
    path("account/", account, name="account"),
    path("account/pin/", account_pin, name="account_pin"),
    path("account/pin/remove/", account_pin_off, name="account_pin_off"),
    path("account/break/", account_break, name="account_break"),
]
