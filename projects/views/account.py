"""One's own password."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from projects.activities import people as activity
from projects.forms.people import OwnPasswordForm

from . import posts
from .editing import save


@sensitive_post_parameters("password", "again", "old")
@require_http_methods(["GET", "HEAD", "POST"])
def account(request: HttpRequest) -> HttpResponse:
    """Change one's own password; other computers this person is signed in on are signed out."""
    data = request.POST if request.method == "POST" else None
    form = OwnPasswordForm(data, workroom=request.workroom, person=request.user)
    if data is None:
        return posts.show(request, "people/account.html", {"form": form})

    def do() -> str:
        activity.change_password(request.user, password=form.cleaned_data["password"])
        update_session_auth_hash(request, request.user)
        messages.success(request, "Your password is changed. Elsewhere you are signed out.")
        return reverse("account")

    return save(request, form, do, page="people/account.html", context={}, back=reverse("account"))


urlpatterns = [path("account/", account, name="account")]
