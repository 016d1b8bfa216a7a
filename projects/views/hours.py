"""Hours: the week, logs by hand, and their changes."""

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import logs, overlaps, steps
from projects.activities.revising import Stale
from projects.calc import labour
from projects.forms.hours import LogForm
from projects.models import LabourLog, Person, Project, Step
from projects.planning import load_rows, plan_project, plan_rows
from projects.planning.first_budget import read_budget
from projects.planning.forecasts import forecast_of
from projects.planning.moments import span_text
from projects.planning.plan import PlannedStep
from projects.planning.stages import stage_titles
from projects.planning.steps import OWN

from . import hour_lines, week
from .bench_person import bench_person
from .posts import go, once, show
from .stale import stale_page


@require_safe
def hours(request: HttpRequest) -> HttpResponse:
    """One week: days, projects, and each log; an owner may look at everybody's."""
    context = week.context(request)
    initial = {"date": timezone.localdate(), "person": bench_person(request).pk}
    context["log_form"] = LogForm(workroom=request.workroom, person=request.user, initial=initial)
    return show(request, "hours/week.html", context | {"others_run": _others_run(request)})


@require_safe
def project_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """All hours of one project: sums by stage, then the logs, newest first; and where they will end."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    rows = load_rows(project)
    forecast, first = forecast_of(rows, plan_rows(rows)), read_budget(project.first_budget)
    context = {"project": project, "forecast": forecast, "first": first}
    return show(request, "hours/project.html", {**context, **week.project_context(request, project)})


@require_http_methods(["GET", "HEAD", "POST"])
def log_new(request: HttpRequest) -> HttpResponse:
    """Hours by hand. The button ``choose_step`` shows what was typed again, with the project's steps."""
    posted = request.POST if request.method == "POST" else None
    project = _asked_project((posted or request.GET).get("project", ""))
    came_from = _asked_project(request.GET.get("project", ""))
    initial = {
        "date": timezone.localdate(),
        "stage": request.GET.get("stage", ""),
        "step": request.GET.get("step", ""),
        "project": came_from.pk if came_from else None,
        "person": bench_person(request).pk,
    }
    if posted and "choose_step" in posted:
        typed = {name: posted[name] for name in LogForm.base_fields if posted.get(name)}
        initial |= {**typed, "op": "", "step": "", "project": project.pk if project else None}
        posted, came_from = None, project
    if posted is None:
        initial["steps_of"] = project.pk if project else None
    form = LogForm(
        posted, workroom=request.workroom, person=request.user, initial=initial, steps=_steps(project)
    )
    if form.is_bound:
        if form.is_valid():
            return once(request, lambda: _log(request, form, came_from))
        form.ask_step_again()
    context = {"form": form, "heading": "Log hours", "others_run": _others_run(request)}
    return show(request, "hours/log.html", context, status=422 if form.is_bound else 200)


def _others_run(request: HttpRequest) -> Person | None:
    """Who took over, where what is logged by hand is not theirs all the same: a maker logs only their own."""
    person = bench_person(request)
    return None if request.user.is_owner or person.pk == request.user.pk else person


def _asked_project(asked: str) -> Project | None:
    known = asked.isascii() and asked.isdigit() and len(asked) < 12
    return Project.objects.live().filter(pk=int(asked)).first() if known else None


def _steps(project: Project | None, also: Step | None = None) -> list[tuple[str, str]]:
    """The steps of a project to choose from, and the one a log already has; a project must be known first."""
    if project is None:
        return []
    found = {step.key: _called(step) for step in plan_project(project).steps}
    if also is not None and also.project_id == project.pk:
        found.setdefault(_key(also), also.title)
    return list(found.items())


def _called(step: PlannedStep) -> str:
    return f"{step.title}, {step.panel}" if step.panel and step.panel not in step.title else step.title


def _key(step: Step) -> str:
    return step.key or f"{OWN}{step.pk}"


def _values(form: LogForm) -> dict[str, Any]:
    """What the form says of a log. Where a step is chosen its stage is the step's."""
    names = ("project", "stage", "minutes", "started_at", "ended_at", "note", "rework")
    found = {name: form.cleaned_data[name] for name in names}
    key = form.cleaned_data.get("step", "")
    found["step"] = steps.row_for(project=found["project"], key=key) if key else None
    if found["step"]:
        found["stage"] = found["step"].stage
    return found


def _log(request: HttpRequest, form: LogForm, project: Project | None) -> str:
    data = form.cleaned_data
    log = logs.log_by_hand(
        person=data.get("person") or request.user,
        entered_by=request.user,
        on=data["date"],
        **_values(form),
    )
    whose = "" if log.person_id == request.user.pk else f" of {log.who}"
    messages.success(
        request, f"Logged {labour.format_minutes(log.minutes)}{whose} for {log.project or 'no project'}."
    )
    _say_overlaps(request, log)
    if project is not None and log.project_id == project.pk:
        return reverse("project_hours", args=[log.project_id])
    return f"{reverse('hours')}?week={log.date:%Y-%m-%d}"


def _say_overlaps(request: HttpRequest, log: LabourLog) -> None:
    """It is saved as typed; that two logs share time is said, since one of them may be wrong."""
    zone = request.workroom.zone
    others = [hour_lines.other(o, zone) for o in overlaps.with_log(log)]
    if others:
        more = f" and {len(others) - 3} more" if len(others) > 3 else ""
        messages.warning(request, f"It overlaps with {', '.join(others[:3])}{more}. Both are counted.")


def _own_log(request: HttpRequest, pk: int) -> LabourLog:
    """A log the person may change: one's own, or any for an owner."""
    log = get_object_or_404(LabourLog.objects.select_related("project", "person", "step"), pk=pk)
    if log.person_id != request.user.pk and not request.user.is_owner:
        raise PermissionDenied("These are somebody else's hours; only they or an owner can change them.")
    return log


@require_http_methods(["GET", "HEAD", "POST"])
def log_edit(request: HttpRequest, pk: int) -> HttpResponse:
    log = _own_log(request, pk)
    if log.minutes is None:
        raise PermissionDenied("This timer still runs. Stop it first; then its time can be changed.")
    data = request.POST if request.method == "POST" else None
    project = _asked_project(data.get("project", "")) if data else log.project
    form = LogForm(
        data,
        workroom=request.workroom,
        person=request.user,
        log=log,
        steps=_steps(project, log.step),
        initial=_initial(log, request.workroom.zone),
    )
    if form.is_bound and form.is_valid():
        try:
            return once(request, lambda: _change(request, log, form))
        except Stale as stale:
            return stale_page(request, form, stale.current, back=reverse("log_edit", args=[pk]))
    if form.is_bound:
        form.ask_step_again()
    context = {"form": form, "log": log, "heading": "Change a log", "stages": stage_titles()}
    context |= hour_lines.around(log, request.user, request.workroom.zone)
    return show(request, "hours/log.html", context, status=422 if form.is_bound else 200)


def _initial(log: LabourLog, zone: ZoneInfo) -> dict[str, Any]:
    timed = log.started_at and log.ended_at
    return {
        "project": log.project_id,
        "steps_of": log.project_id,
        "stage": log.stage,
        "step": _key(log.step) if log.step else "",
        "date": log.date,
        "note": log.note,
        "person": log.person_id,
        "rework": log.rework,
        "minutes": span_text(log.started_at, log.ended_at, zone)
        if timed
        else labour.format_minutes(log.minutes or 0),
        "revision": log.revision,
    }


def _change(request: HttpRequest, log: LabourLog, form: LogForm) -> str:
    data = form.cleaned_data
    changes = {**_values(form), "date": data["date"]}
    if "person" in data:
        changes["person"] = data["person"]
    changed = logs.change(
        log=log, revision=data["revision"] or 0, changes=changes, by=request.user, reason=data["reason"]
    )
    messages.success(request, "The log was changed.")
    _say_overlaps(request, changed)
    return f"{reverse('hours')}?week={data['date']:%Y-%m-%d}"


@require_POST
def log_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a log out, or put it back (``back`` in the form)."""
    log = _own_log(request, pk)
    if log.minutes is None:
        raise PermissionDenied("This timer still runs. Stop it first; then its time can be removed.")
    if request.POST.get("back"):
        logs.put_back(log=log, by=request.user)
        messages.success(request, "The log is back.")
    else:
        logs.remove(log=log, now=timezone.now(), by=request.user)
        gone = labour.format_minutes(log.minutes or 0)
        messages.success(request, f"Removed {gone}; it stands crossed out below and can be put back.")
    return go(request, f"{reverse('hours')}?week={log.date:%Y-%m-%d}")


urlpatterns = [
    path("hours/", hours, name="hours"),
    path("hours/new/", log_new, name="log_new"),
    path("hours/<int:pk>/edit/", log_edit, name="log_edit"),
    path("hours/<int:pk>/delete/", log_delete, name="log_delete"),
    path("projects/<int:pk>/hours/", project_hours, name="project_hours"),
]
