"""Pages of clients: list, one client with their projects, new, edit, delete."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Count, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import clients as activity
from projects.forms.client import ClientForm
from projects.models import Client

from . import access, posts
from .editing import keep, offer_undo, save

PAGE = 50


def _found(words: str) -> QuerySet[Client]:
    """Living clients whose name or reference holds ``words``, each with how many projects it has."""
    rows = Client.objects.live().annotate(
        project_count=Count("projects", filter=Q(projects__deleted_at=None))
    )
    if words:
        rows = rows.filter(Q(name__icontains=words) | Q(reference__icontains=words))
    return rows.order_by("name", "pk")


@require_safe
def client_list(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("words", "").strip()[:200]
    page = Paginator(_found(words), PAGE).get_page(request.GET.get("page"))
    return posts.show(request, "clients/list.html", {"rows": page, "words": words, "keep": keep(words=words)})


@require_safe
def client_page(request: HttpRequest, pk: int) -> HttpResponse:
    client = get_object_or_404(Client.objects.live(), pk=pk)
    page = Paginator(client.projects.live().order_by("-number"), PAGE).get_page(request.GET.get("page"))
    return posts.show(request, "clients/client.html", {"client": client, "rows": page})


@require_http_methods(["GET", "HEAD", "POST"])
def client_new(request: HttpRequest) -> HttpResponse:
    form = ClientForm(request.POST or None, workroom=request.workroom, person=request.user)
    page, context = "clients/edit.html", {"back": reverse("clients"), "form": form}
    if request.method != "POST":
        return posts.show(request, page, context)

    def do() -> str:
        return reverse("client", args=[activity.create_client(values=form.changes(), person=request.user).pk])

    return save(request, form, do, page=page, context=context, back=reverse("clients"))


@require_http_methods(["GET", "HEAD", "POST"])
def client_edit(request: HttpRequest, pk: int) -> HttpResponse:
    client = get_object_or_404(Client.objects.live(), pk=pk)
    back = reverse("client", args=[pk])
    form = ClientForm(request.POST or None, instance=client, workroom=request.workroom, person=request.user)
    page, context = "clients/edit.html", {"client": client, "back": back, "form": form}
    if request.method != "POST":
        return posts.show(request, page, context)

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_client(client, values=form.changes(), revision=revision, person=request.user)
        return back

    return save(request, form, do, page=page, context=context, back=back)


@require_POST
@access.owner_only
def client_delete(request: HttpRequest, pk: int) -> HttpResponse:
    client = get_object_or_404(Client.objects.live(), pk=pk)

    def do() -> str:
        try:
            deletion = activity.delete_client(client, person=request.user)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return reverse("client", args=[pk])
        offer_undo(request, f"{client.name} was deleted.", deletion)
        return reverse("clients")

    return posts.once(request, do)


urlpatterns = [
    path("clients/", client_list, name="clients"),
    path("clients/new/", client_new, name="client_new"),
    path("clients/<int:pk>/", client_page, name="client"),
    path("clients/<int:pk>/edit/", client_edit, name="client_edit"),
    path("clients/<int:pk>/delete/", client_delete, name="client_delete"),
]
