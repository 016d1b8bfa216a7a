"""Hours: the week, logs by hand, and the timer."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import logs, timing
from projects.activities.revising import Stale
from projects.calc import labour
from projects.forms.hours import LogForm, StartForm
from projects.models import LabourLog, Project

from . import week
from .posts import go, once, show
from .stale import stale_page

STAGE_TITLES = dict(labour.STAGES)


@require_safe
def hours(request: HttpRequest) -> HttpResponse:
    """One week: days, projects, and each log; an owner may look at everybody's."""
    context = week.context(request)
    context["log_form"] = LogForm(
        workroom=request.workroom, person=request.user, initial={"date": timezone.localdate()}
    )
    return show(request, "hours/week.html", context)


@require_safe
def project_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """All hours of one project: sums by stage, then the logs, newest first."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    return show(request, "hours/project.html", {"project": project, **week.project_context(request, project)})


@require_http_methods(["GET", "HEAD", "POST"])
def log_new(request: HttpRequest) -> HttpResponse:
    initial = {
        "date": timezone.localdate(),
        "project": _asked_project(request),
        "stage": request.GET.get("stage", ""),
    }
    data = request.POST if request.method == "POST" else None
    form = LogForm(data, workroom=request.workroom, person=request.user, initial=initial)
    if request.method == "POST" and form.is_valid():
        return once(request, lambda: _log(request, form))
    return show(
        request,
        "hours/log.html",
        {"form": form, "heading": "Log hours"},
        status=422 if form.is_bound else 200,
    )


def _asked_project(request: HttpRequest) -> int | None:
    asked = request.GET.get("project", "")
    return int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 12 else None


def _log(request: HttpRequest, form: LogForm) -> str:
    data = form.cleaned_data
    log = logs.log_by_hand(
        person=data.get("person") or request.user,
        entered_by=request.user,
        project=data["project"],
        stage=data["stage"],
        on=data["date"],
        minutes=data["minutes"],
        note=data["note"],
    )
    messages.success(
        request, f"Logged {labour.format_minutes(log.minutes)} for {log.project or 'no project'}."
    )
    if log.project_id and log.project_id == _asked_project(request):
        return reverse("project_hours", args=[log.project_id])
    return f"{reverse('hours')}?week={log.date:%Y-%m-%d}"


def _own_log(request: HttpRequest, pk: int) -> LabourLog:
    """A log the person may change: one's own, or any for an owner."""
    log = get_object_or_404(LabourLog.objects.select_related("project", "person"), pk=pk)
    if log.person_id != request.user.pk and not request.user.is_owner:
        raise PermissionDenied("These are somebody else's hours; only they or an owner can change them.")
    return log


@require_http_methods(["GET", "HEAD", "POST"])
def log_edit(request: HttpRequest, pk: int) -> HttpResponse:
    log = _own_log(request, pk)
    if log.minutes is None:
        raise PermissionDenied("This timer still runs. Stop it first; then its time can be changed.")
    data = request.POST if request.method == "POST" else None
    form = LogForm(
        data, workroom=request.workroom, person=request.user, log=log, initial=_initial(log)
    )
    if request.method == "POST" and form.is_valid():
        try:
            return once(request, lambda: _change(request, log, form))
        except Stale as stale:
            return stale_page(request, form, stale.current, back=reverse("log_edit", args=[pk]))
    context = {"form": form, "log": log, "heading": "Change a log"}
    return show(request, "hours/log.html", context, status=422 if form.is_bound else 200)


def _initial(log: LabourLog) -> dict[str, Any]:
    return {
        "project": log.project_id,
        "stage": log.stage,
        "date": log.date,
        "note": log.note,
        "person": log.person_id,
        "minutes": labour.format_minutes(log.minutes or 0),
        "revision": log.revision,
    }


def _change(request: HttpRequest, log: LabourLog, form: LogForm) -> str:
    names = ("project", "stage", "date", "minutes", "person", "note")
    changes = {name: form.cleaned_data[name] for name in names if name in form.cleaned_data}
    logs.change(log=log, revision=form.cleaned_data["revision"] or 0, changes=changes)
    messages.success(request, "The log was changed.")
    return f"{reverse('hours')}?week={form.cleaned_data['date']:%Y-%m-%d}"


@require_POST
def log_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a log out, or put it back (``back`` in the form)."""
    log = _own_log(request, pk)
    if request.POST.get("back"):
        logs.put_back(log=log)
        messages.success(request, "The log is back.")
    else:
        logs.remove(log=log, now=timezone.now())
        gone = labour.format_minutes(log.minutes or 0)
        messages.success(request, f"Removed {gone}; it stands crossed out below and can be put back.")
    return go(request, f"{reverse('hours')}?week={log.date:%Y-%m-%d}")


@require_POST
def timer_start(request: HttpRequest) -> HttpResponse:
    """Start the timer; another one that runs is stopped and logged first. A second tap changes nothing."""
    form = StartForm(request.POST, workroom=request.workroom)
    if not form.is_valid():
        messages.error(request, "That project or stage could not be found; choose one from the list.")
        return go(request, reverse("hours"))
    data = form.cleaned_data
    before = timing.running(request.user)
    log = timing.start(
        person=request.user,
        project=data["project"],
        stage=data["stage"],
        now=timezone.now(),
        zone=request.workroom.zone,
    )
    if before and before.pk != log.pk:
        before.refresh_from_db()
        messages.success(
            request,
            f"Logged {labour.format_minutes(before.minutes or 0)} for {before.project or 'no project'}.",
        )
    messages.success(request, f"The timer runs for {log.project or 'no project'}.")
    return go(request, _back(request))


@require_POST
def timer_stop(request: HttpRequest) -> HttpResponse:
    log = timing.stop(person=request.user, now=timezone.now())
    if log is None:
        messages.success(request, "No timer is running; it may have been stopped on another device.")
    else:
        messages.success(
            request, f"Logged {labour.format_minutes(log.minutes or 0)} for {log.project or 'no project'}."
        )
    return go(request, _back(request))


def _back(request: HttpRequest) -> str:
    """Where the form was: a path of this site, or Hours."""
    asked = request.POST.get("back", "")
    return (
        asked
        if asked.startswith("/") and not asked.startswith("//") and "\\" not in asked
        else reverse("hours")
    )


urlpatterns = [
    path("hours/", hours, name="hours"),
    path("hours/new/", log_new, name="log_new"),
    path("hours/start/", timer_start, name="timer_start"),
    path("hours/stop/", timer_stop, name="timer_stop"),
    path("hours/<int:pk>/edit/", log_edit, name="log_edit"),
    path("hours/<int:pk>/delete/", log_delete, name="log_delete"),
    path("projects/<int:pk>/hours/", project_hours, name="project_hours"),
]
