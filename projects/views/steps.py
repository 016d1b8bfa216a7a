"""The steps of a project: tick, skip with a reason, put in another order, add one's own."""

from collections.abc import Callable
from itertools import groupby
from typing import Any, NamedTuple

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import noting_steps, panels, photos, timing
from projects.activities import steps as activity
from projects.activities.revising import Stale
from projects.activities.stock import StockError
from projects.calc.lengths import System
from projects.forms.step import OwnStepForm
from projects.models import Project, Step
from projects.planning import plan_project
from projects.planning.plan import PlannedStep
from projects.planning.steps_seen import changes_since, mark_of

from . import cutting_said, posts, timer
from .bench_after import next_place
from .bench_person import bench_person, come_back
from .stale import stale_page

OPEN = "open"


def _project(pk: int) -> Project:
    return get_object_or_404(Project.objects.live(), pk=pk)


def _context(request: HttpRequest, project: Project, **extra: Any) -> dict[str, Any]:
    plan = plan_project(project)
    done = sum(step.state != OPEN for step in plan.steps)
    return {
        "project": project,
        "groups": _groups(plan.steps),
        "changes": changes_since(project.steps_seen, plan.steps),
        "mark": mark_of(plan.steps),
        "done": done,
        "left": len(plan.steps) - done,
        "minutes_left": sum(step.minutes for step in plan.steps if step.state == OPEN),
        "next_key": next((step.key for step in plan.next_steps(1)), ""),
        "removed": list(project.steps.filter(key=None, removed_at__isnull=False)[:50]),
        "running": timing.running(bench_person(request)),
        "photo_counts": photos.counts_by_step(project),
        **extra,
    }


class Group(NamedTuple):
    """Steps in a row under one heading, and how many of them are done or skipped."""

    heading: str
    steps: list[PlannedStep]
    done: int


def _groups(steps: tuple[PlannedStep, ...]) -> list[Group]:
    found = [(heading, list(group)) for heading, group in groupby(steps, lambda step: step.heading)]
    return [Group(heading, group, sum(s.state != OPEN for s in group)) for heading, group in found]


@require_safe
def steps(request: HttpRequest, pk: int) -> HttpResponse:
    """All steps in working order, a panel on the table from beginning to end."""
    return posts.show(request, "steps/steps.html", _context(request, _project(pk)))


def _change(
    request: HttpRequest,
    pk: int,
    do: Callable[[Project, str], object],
    lands: Callable[[Project, str], str] | None = None,
) -> HttpResponse:
    """Do something to one step, then show the list again or go where it ``lands``; what can't be done is said
    beside the step."""
    project, key = _project(pk), request.POST.get("key", "")
    try:
        do(project, key)
    except activity.StepGone:
        raise Http404("no such step") from None
    except (ValidationError, panels.NotToCut) as error:
        typed = request.POST.get("reason", "")
        return _refused(request, project, key, " ".join(error.messages), typed)
    except StockError as error:
        why = cutting_said.refused(error, System(request.workroom.units))
        return _refused(request, project, key, why)
    if lands is not None:
        return posts.go(request, lands(project, key))
    if request.htmx:
        return _list(request, _context(request, project, said=_messages(request)))
    return posts.go(request, f"{reverse('steps', args=[pk])}#step-{key}")


def _refused(request: HttpRequest, project: Project, key: str, why: str, typed: str = "") -> HttpResponse:
    problem = {"problem_key": key, "problem": why, "typed": typed}
    return _list(request, _context(request, project, **problem), status=422)


def _messages(request: HttpRequest) -> list[str]:
    """What is to be said, for the list itself where the page stays."""
    return [str(message) for message in messages.get_messages(request)]


def _list(request: HttpRequest, context: dict[str, Any], status: int = 200) -> HttpResponse:
    return posts.show(request, "steps/steps.html", context, fragment="steps/_steps.html", status=status)


@require_POST
def step_tick(request: HttpRequest, pk: int) -> HttpResponse:
    """Tick a step as done, or take the tick back (``state`` says which is wanted)."""
    change = activity.untick if request.POST.get("state") == OPEN else activity.tick
    # At the bench it is whose taps they are who ticks.
    at_bench = bool(request.POST.get("bench"))
    person = bench_person(request) if at_bench else request.user
    common = {"person": person, "now": timezone.now(), "tell": _tell(request)}
    timing.seen(person=bench_person(request), now=common["now"])
    lands = _after_tick(request) if at_bench and change is activity.tick else None
    return _change(request, pk, lambda project, key: change(project=project, key=key, **common), lands)


def _after_tick(request: HttpRequest) -> Callable[[Project, str], str]:
    """At the bench the next one is opened, and what was ticked is said there."""

    def lands(project: Project, key: str) -> str:
        row = Step.objects.filter(project=project, key=key).first()
        messages.success(request, f"Ticked as done: {row.title if row else 'the step'}.")
        place, to = next_place(project, key, request.POST.get("on", ""))
        following = activity.row_for(project=project, key=to) if row and to else None
        return timer.goes_along(request, row, following, place) if row else place

    return lands


def _tell(request: HttpRequest) -> activity.Tell:
    """Says on the page what became of a panel and its length."""
    system = System(request.workroom.units)
    return lambda booked: messages.success(request, cutting_said.said(booked, system))


@require_POST
def step_skip(request: HttpRequest, pk: int) -> HttpResponse:
    person, now, reason = request.user, timezone.now(), request.POST.get("reason", "")
    return _change(
        request, pk, lambda p, key: activity.skip(project=p, key=key, reason=reason, person=person, now=now)
    )


@require_POST
def step_move(request: HttpRequest, pk: int) -> HttpResponse:
    up = request.POST.get("to") == "up"
    return _change(request, pk, lambda project, key: activity.move(project=project, key=key, up=up))


@require_POST
def steps_noted(request: HttpRequest, pk: int) -> HttpResponse:
    """Take note of the steps as they stand; what changes from now on is said."""
    project, now = _project(pk), timezone.now()
    try:
        noting_steps.note(project=project, mark=request.POST.get("mark", ""), now=now)
    except ValidationError as error:
        again = " ".join(error.messages)
        return _list(request, _context(request, _project(pk), noted_problem=again), status=422)
    if request.htmx:
        return _list(request, _context(request, _project(pk)))
    return posts.go(request, reverse("steps", args=[pk]))


@require_POST
def step_time(request: HttpRequest, pk: int) -> HttpResponse:
    """Start the timer on one step, from its list or from Today (``back``)."""
    project, key = _project(pk), request.POST.get("key", "")
    try:
        step = activity.row_for(project=project, key=key)
    except activity.StepGone:
        raise Http404("no such step") from None
    here = f"{reverse('steps', args=[pk])}#step-{key}"
    back = come_back(request, "today") if "back" in request.POST else here
    return timer.start(request, project=project, stage=step.stage, step=step, back=back)


@require_http_methods(["GET", "HEAD", "POST"])
def step_new(request: HttpRequest, pk: int) -> HttpResponse:
    project = _project(pk)
    data = request.POST if request.method == "POST" else None
    form = OwnStepForm(data, workroom=request.workroom, initial={"stage": "finish"})
    if request.method == "POST" and form.is_valid():
        return posts.once(request, lambda: _add(request, project, form))
    context = {"form": form, "project": project, "heading": "Add a step"}
    return posts.show(request, "steps/edit.html", context, status=422 if form.is_bound else 200)


def _add(request: HttpRequest, project: Project, form: OwnStepForm) -> str:
    data = form.cleaned_data
    step = activity.add_own(
        project=project,
        title=data["title"],
        stage=data["stage"],
        detail=data["detail"],
        minutes=data["minutes"],
    )
    messages.success(request, f"Added: {step.title}.")
    return reverse("steps", args=[project.pk]) + f"#step-own:{step.pk}"


def _own(pk: int, step_pk: int) -> tuple[Project, Step]:
    project = _project(pk)
    return project, get_object_or_404(Step, pk=step_pk, project=project, key=None)


@require_http_methods(["GET", "HEAD", "POST"])
def step_edit(request: HttpRequest, pk: int, step_pk: int) -> HttpResponse:
    project, step = _own(pk, step_pk)
    data = request.POST if request.method == "POST" else None
    form = OwnStepForm(data, workroom=request.workroom, instance=step)
    if request.method == "POST" and form.is_valid():
        try:
            return posts.once(request, lambda: _save(request, project, step, form))
        except Stale as stale:
            return stale_page(request, form, stale.current, back=reverse("step_edit", args=[pk, step_pk]))
    context = {"form": form, "project": project, "step": step, "heading": "Change a step"}
    return posts.show(request, "steps/edit.html", context, status=422 if form.is_bound else 200)


def _save(request: HttpRequest, project: Project, step: Step, form: OwnStepForm) -> str:
    activity.change_own(step, revision=form.cleaned_data["revision"] or 0, values=form.changes())
    messages.success(request, "The step was changed.")
    return reverse("steps", args=[project.pk]) + f"#step-own:{step.pk}"


@require_POST
def step_remove(request: HttpRequest, pk: int, step_pk: int) -> HttpResponse:
    """Take one's own step out, or put it back (``back`` in the form)."""
    project, step = _own(pk, step_pk)
    if request.POST.get("back"):
        activity.restore_own(step)
        messages.success(request, f"“{step.title}” is back.")
    else:
        activity.remove_own(step, now=timezone.now())
        messages.success(request, f"Removed “{step.title}”; it can be put back at the end of the list.")
    return posts.go(request, reverse("steps", args=[project.pk]))


urlpatterns = [
    path("projects/<int:pk>/steps/", steps, name="steps"),
    path("projects/<int:pk>/steps/tick/", step_tick, name="step_tick"),
    path("projects/<int:pk>/steps/skip/", step_skip, name="step_skip"),
    path("projects/<int:pk>/steps/move/", step_move, name="step_move"),
    path("projects/<int:pk>/steps/time/", step_time, name="step_time"),
    path("projects/<int:pk>/steps/noted/", steps_noted, name="steps_noted"),
    path("projects/<int:pk>/steps/new/", step_new, name="step_new"),
    path("projects/<int:pk>/steps/<int:step_pk>/edit/", step_edit, name="step_edit"),
    path("projects/<int:pk>/steps/<int:step_pk>/remove/", step_remove, name="step_remove"),
]
