"""What was deleted in the last thirty days, and bringing it back."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from projects.activities import deleting
from projects.models import Deletion, LabourLog

from . import posts

SHOWN_HOURS = 100

def days_left(deletion: Deletion, now: datetime) -> int:
    """Whole days in which it can still be brought back; 0 on the last one."""
    return max(0, (deletion.deleted_at + deleting.KEPT_FOR - now).days)


@require_safe
def deleted(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    found = deleting.restorable(owner=request.user.is_owner)
    rows = [(deletion, days_left(deletion, now)) for deletion in found]
    hours = _removed_hours(request, now - deleting.KEPT_FOR)
    return render(request, "studio/deleted.html", {"rows": rows, "hours": hours})


def _removed_hours(request: HttpRequest, since: datetime) -> list[LabourLog]:
    """Logs taken out since then, newest first: one's own, everybody's for owners."""
    found = LabourLog.objects.filter(removed_at__gte=since).select_related("project", "person")
    if not request.user.is_owner:
        found = found.filter(person=request.user)
    return list(found.order_by("-removed_at", "-pk")[:SHOWN_HOURS])


@require_POST
def restore(request: HttpRequest, number: int) -> HttpResponse:
    """Bring back everything that went with this number; what hours cost, owners alone."""
    deletion = get_object_or_404(Deletion, pk=number)
    if deleting.for_owners(deletion) and not request.user.is_owner:
        raise PermissionDenied("What an hour costs is for an owner of the studio. Ask one of them.")

    def do() -> str:
        if deletion.restored_at is not None:
            messages.info(request, f"Back already: {deletion.what}.")
        elif deletion.deleted_at < timezone.now() - deleting.KEPT_FOR:
            messages.error(request, f"Too late to bring back after thirty days: {deletion.what}.")
        else:
            deleting.restore(deletion)
            messages.success(request, f"Brought back: {deletion.what}.")
        return _back(request)

    return posts.once(request, do)


def _back(request: HttpRequest) -> str:
    """The page the button stood on, where that is one of the studio's."""
    came_from = request.META.get("HTTP_REFERER", "")
    known = url_has_allowed_host_and_scheme(came_from, allowed_hosts={request.get_host()})
    return came_from if known else reverse("deleted")


urlpatterns = [
    path("deleted/", deleted, name="deleted"),
    path("deleted/<int:number>/restore/", restore, name="restore"),
]
