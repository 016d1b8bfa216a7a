"""A form that came in after sign-out: nothing is saved, what was typed is kept to be sent again."""

import json
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from projects.activities.signing_in import demo_still_open
from projects.forms.people import SignInForm

BEHIND_THE_FORM = ("op", "units", "revision")
NEVER_KEPT = ("csrfmiddlewaretoken", "password", "again", "old")
Pairs = list[tuple[str, str]]


def keep_page(request: HttpRequest) -> HttpResponse:
    """The sign-in page with what was typed in it (passwords and files left out). 403, nothing saved."""
    typed = [(name, values) for name, values in request.POST.lists() if name not in NEVER_KEPT]
    kept = [(name, value) for name, values in typed for value in values]
    form = SignInForm(initial={"kept": json.dumps(kept), "kept_to": request.get_full_path()})
    return sign_in_page(request, form, status=403)


def sign_in_page(request: HttpRequest, form: SignInForm, *, status: int = 200) -> HttpResponse:
    """The sign-in page; it says so when it holds something typed, and how to enter the demo."""
    keeps = (form.data if form.is_bound else form.initial).get("kept_to")
    context = {"form": form, "keeps": keeps, "demo_open": demo_still_open(request.workroom)}
    return render(request, "people/sign_in.html", context, status=status)


def send_again_page(request: HttpRequest, form: SignInForm) -> HttpResponse | None:
    """After the sign-in: what was typed, to send again or leave. ``None`` when nothing readable is kept."""
    address, kept = form.cleaned_data["kept_to"], _pairs(form.cleaned_data["kept"])
    safe = address.startswith("/") and url_has_allowed_host_and_scheme(address, allowed_hosts=None)
    if kept is None or not safe:
        return None
    shown = [(_words(name), value) for name, value in kept if value and name not in BEHIND_THE_FORM]
    return render(request, "people/send_again.html", {"address": address, "kept": kept, "shown": shown})


def _pairs(text: str) -> Pairs | None:
    """The kept fields, or ``None`` for anything that is not a list of pairs of text."""
    try:
        given: Any = json.loads(text)
    except (ValueError, RecursionError):
        return None
    if not isinstance(given, list) or not all(_is_pair(pair) for pair in given):
        return None
    return [(name, value) for name, value in given]


def _is_pair(given: Any) -> bool:
    return isinstance(given, list) and len(given) == 2 and all(_is_text(part) for part in given)


def _is_text(given: Any) -> bool:
    """Text that can be written out again; half of a pair that stands for one character can't be."""
    return isinstance(given, str) and given.encode("utf-8", "ignore").decode() == given


def _words(name: str) -> str:
    return name.replace("_", " ").replace("-", " ").capitalize()
