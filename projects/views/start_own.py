"""From the demo to a studio of one's own."""

from django.contrib import messages
from django.contrib.auth import login
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path, reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from projects.activities import starting_own as activity
from projects.forms.people import StartOwnForm

from . import access, posts
from .editing import add_problems


@sensitive_post_parameters("password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def start_own(request: HttpRequest) -> HttpResponse:
    """Ask, then clear the demo and sign in its new owner. There is no such page in a studio of one's own."""
    if not request.workroom.is_demo:
        raise Http404
    form = StartOwnForm(request.POST if request.method == "POST" else None, workroom=request.workroom)
    if form.is_bound and form.is_valid():
        try:
            return _start(request, form)
        except activity.NotDemo:
            raise Http404 from None
        except ValidationError as error:
            add_problems(form, error)
    return posts.show(request, "studio/start_own.html", {"form": form}, status=422 if form.is_bound else 200)


def _start(request: HttpRequest, form: StartOwnForm) -> HttpResponse:
    """No operation key here: it would be cleared with the rest. A doubled post finds no demo any more."""
    names = ("name", "username", "shown_name", "password")
    owner = activity.start_own(**{name: form.cleaned_data[name] for name in names})
    request.session.flush()
    login(request, owner)
    messages.success(request, "The demo is cleared and the studio is yours. Look through its settings first.")
    return posts.go(request, reverse("settings"))


urlpatterns = [path("studio/start-own/", start_own, name="start_own")]
