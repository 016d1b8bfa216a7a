"""Whose taps and whose timer they are: who is signed in, or who took over with a name and a PIN.

It holds in this browser until changed back, sign-out, or ``LASTS``. It gives the taps at the bench and that
person's timer, nothing else: what may be seen and changed depends on who is signed in.
"""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import pins, signing_in
from projects.forms.pin import PinForm
from projects.models import Person

from . import posts

KEY = "bench_person"
LASTS = timedelta(hours=12)
MOST_NAMES = 4
"""So many names stand on the bench itself; any more are in its fold of people."""


def bench_person(request: HttpRequest) -> Person:
    """Whose hours run and whose taps they are; asked once a request."""
    if not hasattr(request, "_bench_person"):
        request._bench_person = _changed_to(request) or request.user
    return request._bench_person


def _changed_to(request: HttpRequest) -> Person | None:
    kept = request.session.get(KEY)
    if not isinstance(kept, dict) or kept.get("until", 0) < timezone.now().timestamp():
        return None
    found = Person.objects.filter(pk=kept.get("person"), is_active=True).first()
    return found if found and found.pin and pins.mark(found) == kept.get("mark") else None


@dataclass(frozen=True)
class Who:
    """For ``bench/_person.html``: whose hours run, who else works here, and where to come back to."""

    person: Person
    signed_in: Person
    others: list[Person]
    back: str

    @property
    def changed(self) -> bool:
        return self.person.pk != self.signed_in.pk

    @property
    def ready(self) -> list[Person]:
        """Who takes over with one tap and a PIN."""
        return self._with_pin[:MOST_NAMES]

    @property
    def more(self) -> list[Person]:
        """Those with a PIN that the row of names has no room for."""
        return self._with_pin[MOST_NAMES:]

    @property
    def without(self) -> list[Person]:
        return [p for p in self.others if not p.pin and p.pk != self.signed_in.pk]

    @property
    def _with_pin(self) -> list[Person]:
        return [p for p in self.others if p.pin and p.pk != self.signed_in.pk]


def who(request: HttpRequest, back: str = "") -> Who:
    person = bench_person(request)
    others = Person.objects.filter(is_active=True).exclude(pk=person.pk).order_by("shown_name", "pk")
    return Who(person, request.user, list(others), back or request.get_full_path())


def come_back(request: HttpRequest, usual: str) -> str:
    """The address of this studio that the form or link named, else ``usual``."""
    asked = request.POST.get("back", "") or request.GET.get("back", "")
    safe = url_has_allowed_host_and_scheme(
        asked, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return asked if safe and asked.startswith("/") and len(asked) < 300 else reverse(usual)


@sensitive_post_parameters("pin")
@require_http_methods(["GET", "HEAD", "POST"])
def bench_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the PIN of the person whose name was tapped."""
    person = get_object_or_404(Person, pk=pk, is_active=True)
    form = PinForm(request.POST if request.method == "POST" else None)
    context = {"form": form, "person": person, "back": come_back(request, "today")}
    if person.pk == request.user.pk:
        return posts.go(request, _back_to_oneself(request)) if form.is_bound else _page(request, context)
    if not form.is_bound:
        return _page(request, context)
    if not form.is_valid():
        return _page(request, context, 422)
    return _try(request, form, context)


def _try(request: HttpRequest, form: PinForm, context: dict[str, Any]) -> HttpResponse:
    person, now = context["person"], timezone.now()
    try:
        pins.check(person=person, pin=form.cleaned_data["pin"], asked_by=request.user, now=now)
    except signing_in.TooSoon as soon:
        form.add_error("pin", f"Too many wrong PINs for {person}. Wait {soon.words}, then try again.")
        answer = _page(request, context, 429)
        answer["Retry-After"] = str(soon.seconds)
        return answer
    except pins.WrongPin:
        form.add_error("pin", f"That is not the PIN of {person}. Type it again.")
        return _page(request, context, 422)
    until = (now + LASTS).timestamp()
    request.session[KEY] = {"person": person.pk, "until": until, "mark": pins.mark(person)}
    messages.success(request, f"Taps and timer are {person}’s now.")
    return posts.go(request, context["back"])


def _page(request: HttpRequest, context: dict[str, Any], status: int = 200) -> HttpResponse:
    """The PIN alone where the bench asks for it in place, else a page of its own."""
    page = "bench/change_person.html"
    return posts.show(request, page, context, fragment="bench/_pin.html", status=status)


def _back_to_oneself(request: HttpRequest) -> str:
    request.session.pop(KEY, None)
    messages.success(request, f"Taps and timer are {request.user}’s again.")
    return come_back(request, "today")


@require_POST
def bench_change_back(request: HttpRequest) -> HttpResponse:
    """Back to who is signed in: no PIN is asked, since all of theirs is open here anyway."""
    return posts.go(request, _back_to_oneself(request))


urlpatterns = [
    path("bench/person/back/", bench_change_back, name="bench_change_back"),
    path("bench/person/<int:pk>/", bench_change, name="bench_change"),
]
