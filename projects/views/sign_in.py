"""Signing in and out, claiming a studio that nobody owns yet, joining by a link."""

from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import people, signing_in, workroom
from projects.forms.people import JoinForm, SignInForm
from projects.forms.workroom import ClaimForm

from . import access, posts
from .editing import add_problems
from .signed_out import send_again_page, sign_in_page

WRONG = "This user name and password don't belong together. Type both again; capitals matter in the password."
TOO_MANY = "Too many wrong passwords for this name."
ASK_OWNER = "Forgotten? An owner of the studio can give you a fresh password."
SECRETS = ("password", "again", "old", "code")


@access.open_to_all
@sensitive_post_parameters(*SECRETS)
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if not workroom.has_owner():
        return posts.go(request, reverse("claim"))
    if request.method == "POST":
        return _try_sign_in(request, SignInForm(request.POST))
    if request.user.is_authenticated:
        return posts.go(request, _next(request, request.GET.get("next", "")))
    return sign_in_page(request, SignInForm(initial={"next": request.GET.get("next", "")}))


def _try_sign_in(request: HttpRequest, form: SignInForm) -> HttpResponse:
    """Sign in, or the page again: 422 for a wrong password, 429 while the next try has to wait."""
    if not form.is_valid():
        return sign_in_page(request, form, status=422)
    name, address = form.cleaned_data["username"], client_address(request)
    try:
        signing_in.begin_try(name=name, address=address, now=timezone.now())
    except signing_in.TooSoon as soon:
        form.add_error(None, f"{TOO_MANY} Wait {soon.words}, then try again. {ASK_OWNER}")
        answer = sign_in_page(request, form, status=429)
        answer["Retry-After"] = str(soon.seconds)
        return answer
    person = authenticate(request, username=name, password=form.cleaned_data["password"])
    if person is None:
        form.add_error(None, f"{WRONG} {ASK_OWNER}")
        return sign_in_page(request, form, status=422)
    signing_in.forget_tries(name=name, address=address)
    login(request, person)
    return send_again_page(request, form) or posts.go(request, _next(request, form.cleaned_data["next"]))


def client_address(request: HttpRequest) -> str:
    """Where the request came from; behind TLS the last proxy's word for it."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if request.is_secure() else ""
    return forwarded.rsplit(",", 1)[-1].strip() or request.META.get("REMOTE_ADDR", "")


def _next(request: HttpRequest, address: str) -> str:
    """Where to go after signing in: an address of this studio, else Today."""
    safe = url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return address if safe else reverse("today")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    messages.success(request, "You are signed out.")
    return posts.go(request, reverse("sign_in"))


@access.open_to_all
@sensitive_post_parameters(*SECRETS)
@require_http_methods(["GET", "HEAD", "POST"])
def claim(request: HttpRequest) -> HttpResponse:
    """The first owner of a studio takes it over with the code from the console; later visits sign in."""
    if workroom.has_owner():
        return posts.go(request, reverse("sign_in"))
    form = ClaimForm(request.POST if request.method == "POST" else None, workroom=request.workroom)
    if form.is_bound and form.is_valid():
        try:
            person = workroom.claim_studio(
                code=form.cleaned_data["code"], person=form.person(), values=form.settings()
            )
        except workroom.Claimed:
            return posts.go(request, reverse("sign_in"))
        except ValidationError as error:
            add_problems(form, error)
        else:
            login(request, person)
            name = form.cleaned_data["name"]
            messages.success(request, f"{name} is yours. Begin with a recipe, or with a project.")
            return posts.go(request, reverse("today"))
    context = {"form": form, "has_code": bool(request.workroom.claim_hash)}
    return render(request, "people/claim.html", context, status=422 if form.is_bound else 200)


@access.open_to_all
@sensitive_post_parameters(*SECRETS)
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Somebody joins by a one-time link. Wrong, used, old and revoked links get one and the same answer."""
    form = JoinForm(request.POST if request.method == "POST" else None, workroom=request.workroom)
    try:
        invitation = people.find_invitation(token, timezone.now())
        if form.is_bound and form.is_valid():
            data = form.cleaned_data
            person = people.join(token=token, username=data["username"], password=data["password"])
            login(request, person)
            messages.success(request, f"Welcome to {request.workroom.name}.")
            return posts.go(request, reverse("today"))
    except people.NoSuchLink:
        return render(request, "people/no_link.html", status=404)
    except ValidationError as error:
        add_problems(form, error)
    context = {"form": form, "invitation": invitation}
    return render(request, "people/join.html", context, status=422 if form.is_bound else 200)


urlpatterns = [
    path("sign-in/", sign_in, name="sign_in"),
    path("sign-out/", sign_out, name="sign_out"),
    path("claim/", claim, name="claim"),
    path("join/<str:token>/", join, name="join"),
]
